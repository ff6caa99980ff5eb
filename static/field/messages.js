// Whether this browser, or this phone, is told at once: asked for on a page, by a button alone. Which
// words the page shows is its data-when; here is only how it stands.
(function () {
  "use strict";

  const part = document.getElementById("messages");
  const able = part && "PushManager" in window && "Notification" in window && navigator.serviceWorker;
  if (!able) return;
  const way = part.dataset.way === "office" ? office() : phone();

  // The office's pages: a worker of their own, which hears no request; the address goes in a form.
  function office() {
    const send = async (fields) => {
      const how = { method: "POST", body: new URLSearchParams(fields), headers: { accept: "application/json" }, redirect: "error" };
      const answer = await fetch("/office/push", how);
      if (!answer.ok) throw new Error("refused");
    };
    return {
      key: async () => part.dataset.key,
      worker: () => navigator.serviceWorker.register("/office-worker.js", { scope: "/office/", updateViaCache: "none" }),
      keep: (given) => send({ act: "keep", ...given }),
      end: () => send({ act: "end" }),
    };
  }

  // A paired phone: its worker knows the token by which the office knows the phone.
  function phone() {
    const ask = async (message) => {
      const made = await navigator.serviceWorker.getRegistration("/field");
      if (!made?.active) throw new Error("no-worker");
      const { port1, port2 } = new MessageChannel();
      const answered = new Promise((resolve) => { port1.onmessage = ({ data }) => resolve(data); });
      made.active.postMessage({ kind: "messages", ...message }, [port2]);
      const answer = await answered;
      if (answer.failed) throw new Error(answer.failed);
      return answer;
    };
    return {
      key: async () => (await ask({ want: "key" })).key,
      worker: () => navigator.serviceWorker.getRegistration("/field"),
      keep: (given) => ask({ want: "keep", given }),
      end: () => ask({ want: "end" }),
    };
  }

  function say(when) {
    part.hidden = false;
    for (const one of part.querySelectorAll("[data-when]")) one.hidden = one.dataset.when !== when;
  }

  function text(buffer) {
    const signs = String.fromCharCode(...new Uint8Array(buffer));
    return btoa(signs).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
  }

  const addressOf = (made) => ({ endpoint: made.endpoint, p256dh: text(made.getKey("p256dh")), auth: text(made.getKey("auth")) });

  async function tellMe(key) {
    if ((await Notification.requestPermission()) !== "granted") return say("denied");
    const { pushManager } = await way.worker();
    const before = await pushManager.getSubscription();
    if (before && text(before.options.applicationServerKey) !== key) await before.unsubscribe();
    const made = await pushManager.subscribe({ userVisibleOnly: true, applicationServerKey: key });
    await way.keep(addressOf(made));
    return say("on");
  }

  // The office forgets the address first: what cannot be reached then stays as it is.
  async function leaveMe() {
    await way.end();
    const made = await (await way.worker())?.pushManager.getSubscription();
    await made?.unsubscribe();
    say("off");
  }

  async function start() {
    const key = await way.key();
    if (!key) return; // this office sends no messages to browsers: nothing is shown
    part.addEventListener("click", ({ target }) => {
      const act = target.closest("button")?.dataset.act;
      if (act === "on") tellMe(key).catch(() => say("failed"));
      if (act === "off") leaveMe().catch(() => say("failed"));
    });
    const made = Notification.permission === "granted" && await (await way.worker())?.pushManager.getSubscription();
    if (!made) return say(Notification.permission === "denied" ? "denied" : "off");
    await way.keep(addressOf(made)); // signing out had ended it at the office
    say("on");
  }

  start().catch(() => {});
})();
