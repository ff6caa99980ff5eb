// The phone's key: ECDSA over P-256, made at pairing; its private half never leaves the browser.
const keys = (() => {
  const KIND = { name: "ECDSA", namedCurve: "P-256" };
  const HOW = { name: "ECDSA", hash: "SHA-256" };

  function make() {
    return crypto.subtle.generateKey(KIND, false, ["sign", "verify"]);
  }

  async function publicJwk(pair) {
    const { kty, crv, x, y } = await crypto.subtle.exportKey("jwk", pair.publicKey);
    return { kty, crv, x, y };
  }

  // Sign an object whose names stand sorted and whose values are text and whole numbers:
  // JSON.stringify then writes its canonical bytes (RFC 8785). Returns base64url of r then s.
  async function sign(pair, message) {
    const bytes = new TextEncoder().encode(JSON.stringify(message));
    return base64url(await crypto.subtle.sign(HOW, pair.privateKey, bytes));
  }

  function base64url(buffer) {
    const text = String.fromCharCode(...new Uint8Array(buffer));
    return btoa(text).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
  }

  const signHead = async (pair, device, { opening, n }, hash) => ({
    opening, n, hash, signature: await sign(pair, { device, hash, n, opening }),
  });

  const signEvent = (pair, event, hash) => sign(pair, { event, hash });

  const prove = (pair, code) => sign(pair, { pair: code });

  return { make, publicJwk, signHead, signEvent, prove };
})();
