// Answers every page with an almost empty one: what a browser itself needs to open a page from a worker.
const PAGE = '<!doctype html><html lang="en"><meta charset="utf-8"><title>Floor</title><p>Floor</p></html>';

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  if (event.request.mode !== "navigate") return;
  event.respondWith(new Response(PAGE, { headers: { "content-type": "text/html; charset=utf-8" } }));
});
