// What the office says through the browser's push service, while no page is open: a line, and the page
// behind it. It is part of the field's worker; by itself it is the office's (/office-worker.js).
self.addEventListener("push", (event) => event.waitUntil(notify.show(event.data)));
self.addEventListener("notificationclick", (event) => {
  event.notification.close();
  event.waitUntil(notify.open(event.notification.data?.path));
});

const notify = (() => {
  const ICON = "/static/icons/sillbook-192.png";

  // A browser takes the right to be told away from who shows nothing: what cannot be read is said so.
  function show(data) {
    const told = read(data);
    return self.registration.showNotification(told.title, {
      lang: told.lang, tag: told.tag, icon: ICON, badge: ICON, data: { path: told.path },
    });
  }

  function read(data) {
    try {
      const { title, path, lang, tag } = data.json();
      if (typeof title === "string" && title) return { title, path: ours(path), lang: lang || "", tag: tag || "" };
    } catch {
      // no message of ours
    }
    return { title: "Sillbook", path: ours(""), lang: "", tag: "" };
  }

  // Only a page of this very Sillbook is gone to, and one that this worker is for.
  function ours(path) {
    const home = new URL(self.registration.scope);
    const found = typeof path === "string" && path.startsWith("/") ? new URL(path, home) : home;
    return found.origin === home.origin ? found.pathname + found.hash : home.pathname;
  }

  async function open(path) {
    const wanted = ours(path);
    const pages = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
    const there = pages.find(({ url }) => new URL(url).pathname + new URL(url).hash === wanted);
    return there ? there.focus() : self.clients.openWindow(wanted);
  }

  return { show, open };
})();
