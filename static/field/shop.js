// The makers' shop drawings of the openings on this phone: pictures that the office keeps, taken along
// after the news, so that they are there without a network. They are no part of the book: what the
// browser clears is taken again.
const shop = (() => {
  const NAME = "shop-drawings-of-sillbook";
  const PATIENCE = 60000; // milliseconds for one

  async function take(phone) {
    const { openings } = await book.read((tx) => ({ openings: tx.objectStore("openings").getAll() }));
    const wanted = new Set(openings.flatMap(({ shop: pages }) => (pages || []).map(({ sha256 }) => "/photos/" + sha256)));
    if (!wanted.size && !(await caches.has(NAME))) return;
    const cache = await caches.open(NAME);
    const held = new Set((await cache.keys()).map(({ url }) => new URL(url).pathname));
    for (const path of held) if (!wanted.has(path)) await cache.delete(path);
    for (const path of wanted) if (!held.has(path)) await takeOne(cache, phone, path);
  }

  // Only the very picture that the office named: a portal's page is no drawing.
  async function takeOne(cache, phone, path) {
    const answer = await fetch(path, {
      cache: "no-store", credentials: "omit", redirect: "error", signal: AbortSignal.timeout(PATIENCE),
      headers: { authorization: "Bearer " + phone.token },
    });
    const bytes = answer.ok ? await answer.arrayBuffer() : new ArrayBuffer(0);
    if (ids.hex(await crypto.subtle.digest("SHA-256", bytes)) !== path.slice(8)) return;
    await cache.put(path, new Response(bytes, { headers: {
      "content-type": "image/jpeg", "x-content-type-options": "nosniff", "cache-control": "no-store",
      "content-security-policy": "default-src 'none'; sandbox",
    } }));
  }

  const find = (path) => caches.match(path, { cacheName: NAME });
  const clear = () => caches.delete(NAME);

  return { take, find, clear };
})();
