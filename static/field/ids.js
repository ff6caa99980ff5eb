// Fresh ids, hashes, and the time of day as the phone has it.
const ids = (() => {
  const HEX = Array.from({ length: 256 }, (_, number) => number.toString(16).padStart(2, "0"));

  // A UUID of version 7 (RFC 9562 section 5.7): milliseconds since 1970, then 74 random bits.
  function uuid7(now = Date.now()) {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    for (let at = 5, rest = now; at >= 0; at -= 1, rest = Math.floor(rest / 256)) bytes[at] = rest % 256;
    bytes[6] = 0x70 | (bytes[6] & 0x0f);
    bytes[8] = 0x80 | (bytes[8] & 0x3f);
    const text = Array.from(bytes, (byte) => HEX[byte]).join("");
    return [text.slice(0, 8), text.slice(8, 12), text.slice(12, 16), text.slice(16, 20), text.slice(20)].join("-");
  }

  const two = (number) => String(number).padStart(2, "0");

  // The wall time here with its offset, to the second: 2026-03-02T14:05:00-05:00.
  function now(time = new Date()) {
    const east = -time.getTimezoneOffset();
    const away = Math.abs(east);
    const date = [time.getFullYear(), two(time.getMonth() + 1), two(time.getDate())].join("-");
    const clock = [time.getHours(), time.getMinutes(), time.getSeconds()].map(two).join(":");
    return date + "T" + clock + (east < 0 ? "-" : "+") + two(Math.floor(away / 60)) + ":" + two(away % 60);
  }

  function hex(buffer) {
    return Array.from(new Uint8Array(buffer), (byte) => HEX[byte]).join("");
  }

  // Canonical JSON (RFC 8785) of what an event is made of: text, whole numbers, truths, lists, objects.
  function canonical(thing) {
    if (Array.isArray(thing)) return "[" + thing.map(canonical).join() + "]";
    if (thing === null || typeof thing !== "object") return JSON.stringify(thing);
    return "{" + Object.keys(thing).sort().map((name) => JSON.stringify(name) + ":" + canonical(thing[name])).join() + "}";
  }

  const digest = async (text) => hex(await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text)));
  const hashOf = (event) => digest(canonical(event));

  return { uuid7, now, hex, digest, hashOf };
})();
