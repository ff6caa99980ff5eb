// The worker: the phone's own server for /field. It only wires the parts together; each part
// is a file of one purpose. The server puts VERSION in front (app/field/bundle_server.py): a new
// bundle is a new worker, and a worker only ever uses the bundle of its own version.
const PARTS = ["ids", "bundle", "book", "vm", "image", "keys", "pins", "picture", "photos", "shop", "known", "act", "offer", "pull",
  "sync", "pairing", "carry", "marker", "tidy", "rescue", "notify", "talk"];
const VERDICT = 1000; // milliseconds in which the page after an entry is made and shown
importScripts(
  "/bundle/" + VERSION + "/static/vendor/micropython/micropython.js",
  ...PARTS.map((name) => "/bundle/" + VERSION + "/static/field/" + name + ".js"),
);

self.addEventListener("install", (event) => event.waitUntil(
  bundle.install().then(() => image.make().catch(() => {})), // without an image it only starts slower
));
self.addEventListener("install", (event) => event.addRoutes?.(bundle.route()).catch(() => {}));
self.addEventListener("activate", (event) => event.waitUntil(bundle.sweep()));
self.addEventListener("message", (event) => talk.hear(event));
self.addEventListener("sync", (event) => event.waitUntil(sync.run("network")));

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== self.location.origin) return;
  if (url.pathname === "/field" || url.pathname.startsWith("/field/")) {
    event.respondWith(field(event, url));
  } else if (event.request.method === "GET" && url.pathname.startsWith("/static/")) {
    event.respondWith(bundle.file(url.pathname).catch(() => fetch(event.request)));
  } else if (event.request.method === "GET" && url.pathname.startsWith("/photos/")) {
    event.respondWith(photo(event, url));
  }
});

// A page or a form of the field book: the server's while the phone is not paired.
async function field(event, url) {
  if (!(await act.isReady())) {
    const copy = event.request.clone();
    await sync.leaveAtLast().catch(() => {});
    return fetch(event.request).catch(() => act.emptied(copy, url));
  }
  if (url.pathname === "/field/unsent.json" && !(await act.isLent())) return rescue.file(Number(url.searchParams.get("part")) || 1);
  if (isPage(event.request) && (await bundle.mayRenew())) {
    return event.request.mode === "navigate" ? bundle.renew() : new Response(""); // swap.js then loads the page
  }
  try {
    await vm.start().catch(mend);
  } catch {
    if (await act.isLent()) return act.plainly();
    return fetch(event.request).catch(() => act.plainly()); // no WebAssembly: the server has the same pages
  }
  const answer = await act.answer(event.request, url);
  if (answer.lent) event.waitUntil(sync.leaveOffice());
  if (answer.wrote) event.waitUntil(afterwards());
  return answer.response;
}

// A page that is gone to, by the browser or by swap.js.
function isPage({ method, mode, headers }) {
  return method === "GET" && (mode === "navigate" || headers.has("HX-Request"));
}

// A picture is part of a page; by itself it is not for the owner who has the phone in hand.
async function photo(event, url) {
  if (event.request.mode === "navigate" && (await act.isLent().catch(() => false))) return Response.redirect("/field", 303);
  return photos.serve(event.request, url.pathname.slice(8));
}

// Once the page with the verdict is there: sending would keep it waiting.
async function afterwards() {
  await new Promise((resolve) => setTimeout(resolve, VERDICT));
  await talk.changed();
  await sync.run("entry");
}

// The browser may have cleared the program and left the book: it is fetched once more.
async function mend(error) {
  if (await bundle.isWhole()) throw error;
  await bundle.install();
  await vm.start();
}
