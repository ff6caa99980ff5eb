// The bundle: what this worker needs to answer without a network, whole or not at all.
const bundle = (() => {
  const PREFIX = "sillbook-";
  const NAME = PREFIX + VERSION;
  const MANIFEST = "/bundle/manifest.json"; // cached last: where it stands, all else does
  const PATIENCE = 60000; // milliseconds for one file
  const ASK_AGAIN = 8000; // milliseconds
  const ANSWER_IN = 1500; // milliseconds for an open page to say whether something is typed in it

  // The headers that every page of the server has, taken from the server itself.
  const HEADERS = ["content-security-policy", "x-content-type-options", "referrer-policy",
    "cross-origin-opener-policy", "cross-origin-resource-policy", "cache-control"];

  let headers = null; // of this version: they never change

  async function get(url) {
    const answer = await fetch(url, {
      cache: "no-store", credentials: "omit", redirect: "error", signal: AbortSignal.timeout(PATIENCE),
    });
    if (!answer.ok) throw new Error(url + ": " + answer.status);
    return answer;
  }

  async function checked(file) {
    const answer = await get(file.url);
    const content = await answer.arrayBuffer();
    const hash = ids.hex(await crypto.subtle.digest("SHA-256", content));
    if (hash !== file.sha256) throw new Error(file.path + ": damaged on the way");
    return new Response(content, { headers: { "content-type": answer.headers.get("content-type") } });
  }

  // Nothing is cached before every file has been checked; a failure leaves the old worker alone.
  async function install() {
    await caches.delete(NAME);
    const answer = await get(MANIFEST);
    const manifest = await answer.clone().json();
    if (manifest.version !== VERSION) throw new Error("the server has another version by now");
    if (!answer.headers.get("content-security-policy")) throw new Error("not our server");
    const files = await Promise.all(manifest.files.map(checked));
    const cache = await caches.open(NAME);
    await Promise.all(manifest.files.map((file, at) => cache.put(file.path, files[at])));
    await cache.put(MANIFEST, answer);
  }

  // Older versions go once this one is in charge; no page of theirs is left then.
  async function sweep() {
    const names = await caches.keys();
    await Promise.all(
      names.filter((name) => name.startsWith(PREFIX) && name !== NAME).map((name) => caches.delete(name)),
    );
  }

  function isWhole() {
    return caches.match(MANIFEST, { cacheName: NAME }).then(Boolean);
  }

  async function file(path) {
    const found = await caches.match(path, { cacheName: NAME, ignoreSearch: true });
    if (!found) throw new Error(path + " is not in the bundle");
    return found;
  }

  // Beside the bundle's own files, to go with them.
  async function keep(path, response) {
    await (await caches.open(NAME)).put(path, response);
  }

  // The files with the words of other languages.
  async function words() {
    const { files } = await (await file(MANIFEST)).json();
    return files.filter(({ part }) => part === "words").map(({ path }) => path);
  }

  // Static files straight from the cache, without waking the worker, in browsers that can.
  function route() {
    const condition = { urlPattern: new URLPattern({ pathname: "/static/*" }), requestMethod: "GET" };
    return { condition, source: { cacheName: NAME } };
  }

  async function pageHeaders() {
    headers ??= (await file(MANIFEST)).headers;
    const kept = HEADERS.filter((name) => headers.has(name)).map((name) => [name, headers.get(name)]);
    return Object.fromEntries(kept);
  }

  // Whether an open page holds something that was typed and not sent.
  function isTyping(client) {
    return new Promise((resolve) => {
      const { port1, port2 } = new MessageChannel();
      const late = setTimeout(() => resolve(false), ANSWER_IN);
      port1.onmessage = ({ data }) => {
        clearTimeout(late);
        resolve(data === true);
      };
      client.postMessage({ kind: "typing?" }, [port2]);
    });
  }

  // A newer worker waits, and no open page would lose or mix anything by the switch.
  async function mayRenew() {
    if (!self.registration.waiting) return false;
    const pages = await self.clients.matchAll({ type: "window" });
    return !(await Promise.all(pages.map(isTyping))).includes(true);
  }

  // Hand over to the newer worker; the browser asks again at once, and that one answers. Where it
  // does not, or is left without an answer in the change, the page asks once more, and there is a
  // link; where another page was quicker, that one is in charge already.
  function renew() {
    self.registration.waiting?.postMessage({ kind: "take over" });
    const page = '<!doctype html><title>Sillbook</title><p><a href="/field">Sillbook</a></p>'
      + "<script>setTimeout(() => location.reload(), " + ASK_AGAIN + ")</script>";
    return new Response(page, { headers: { "content-type": "text/html; charset=utf-8", Refresh: "0" } });
  }

  return { install, isWhole, sweep, file, keep, words, route, pageHeaders, mayRenew, renew };
})();
