"use strict";
// The way the field book loads the interpreter: importScripts in a classic service worker.
importScripts("/micropython.js");

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  if (new URL(event.request.url).pathname !== "/sum") return;
  event.respondWith(
    (async () => {
      const mp = await loadMicroPython({ url: "/micropython.wasm" });
      mp.runPython("answer = str(sum(range(101)))");
      return new Response(mp.globals.get("answer"));
    })(),
  );
});
