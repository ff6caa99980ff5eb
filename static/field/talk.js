// What pages and workers of ours tell each other; anything else is not heard.
const talk = (() => {
  const KINDS = {
    "take over": () => self.skipWaiting(),
    sync: ({ why }) => sync.run(why === "timer" ? "timer" : why === "asked" ? "asked" : "shown"),
    ready: getReady,
    state: keepState,
    pair: pairUp,
    paired: tellPaired,
    clear: clearAll,
    messages: askForMessages,
  };

  function hear(event) {
    const { data, source, ports } = event;
    const ours = source && new URL(source.url || source.scriptURL).origin === self.location.origin;
    if (!ours || data === null || typeof data !== "object" || !Object.hasOwn(KINDS, data.kind)) return;
    event.waitUntil(Promise.resolve(KINDS[data.kind](data, ports[0])));
  }

  // A worker that was begun anew reads the page's opening before anybody touches the page. One that
  // runs has done so: to be told anything keeps it from being ended.
  async function getReady({ path }) {
    if (vm.number() || typeof path !== "string" || !path.startsWith("/field/") || !(await act.isReady())) return;
    const url = new URL(path, self.location.origin);
    await act.answer(new Request(url), url);
  }

  // What only a page can find out: whether the store is to last, and how full it is.
  async function keepState({ lasting, room }) {
    const phone = await book.meta("phone");
    const told = { lasting: lasting === true, room: room === "low" ? "low" : "" };
    if (!phone || (phone.lasting === told.lasting && phone.room === told.room)) return;
    await book.transact("beside", async (tx) => {
      const meta = tx.objectStore("meta");
      const now = await book.result(meta.get("phone"));
      if (now) meta.put({ ...now, ...told }, "phone");
    });
    await changed();
  }

  // The phone is let go: all it holds is cleared. Where something was not sent, only if the person
  // said so; looked at and cleared in one act.
  async function clearAll({ sure }, port) {
    if (!port) return;
    const cleared = await book.clear(sure === true);
    if (cleared) {
      await marker.remove();
      await shop.clear();
      await sync.leaveForGood();
    }
    port.postMessage({ cleared });
    await changed();
  }

  // Whether this phone is told at once: its page asks the browser, the office is told by the phone's token.
  async function askForMessages({ want, given }, port) {
    if (!port) return;
    try {
      const phone = await book.meta("phone");
      if (!phone) throw new Error("not-paired");
      const body = JSON.stringify(want === "keep" ? given : { endpoint: "", p256dh: "", auth: "" });
      const how = want === "key" ? { method: "GET" } : { method: "POST", body, headers: { "content-type": "application/json" } };
      port.postMessage(await sync.ask("/sync/push", phone, how));
    } catch (error) {
      port.postMessage({ failed: error.code || error.message || "bug" });
    }
  }

  async function pairUp({ code, name }, port) {
    if (typeof code !== "string" || typeof name !== "string" || !port) return;
    try {
      const person = await pairing.pair(code, name, (stage, count) => port.postMessage({ stage, count }));
      port.postMessage({ stage: "done", person });
      await sync.run("asked");
    } catch (error) {
      port.postMessage({ stage: "failed", code: error.code || error.name || "bug" });
    }
  }

  // Who enters on this phone; nobody where it is to be paired again.
  async function tellPaired(_, port) {
    const phone = await book.meta("phone");
    const news = await book.meta("news");
    const again = phone?.forked || news?.trouble === "pair-again";
    port?.postMessage({ names: again ? [] : (phone?.persons || []).map(({ name }) => name) });
  }

  // Tell every open page that the line at its top may say something else now.
  async function changed() {
    const pages = await self.clients.matchAll({ type: "window" });
    for (const page of pages) page.postMessage({ kind: "changed" });
  }

  return { hear, changed };
})();
