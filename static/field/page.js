// In every page of the field book: the line that says what is kept and sent, and the worker's
// ears and eyes: when a network comes, when the page is shown, whether the store is to last.
(function () {
  "use strict";

  const LINE = "/field/status/line";
  const EVERY = 60000; // milliseconds
  const AWAKE = 20000; // browsers end a worker that was told nothing for half a minute
  const WAS_PAIRED = "paired-with-sillbook"; // marker.js sets it
  const LENT = 423; // the owner has the phone in hand: every page is theirs
  const LOW = 0.9; // of the room that the browser gives
  const STATUS = "/field/status"; // the page that tells it at length
  const PROBE = 4000; // milliseconds in which a network is there or not
  const LEAVING = 1000; // milliseconds in which a page that is being left is gone
  const workers = navigator.serviceWorker;
  const line = document.getElementById("kept-and-sent");
  let asked = 0;

  // The line is made by the same core as every page, here or at the office.
  async function showLine() {
    if (!line) return;
    const mine = (asked += 1);
    try {
      const answer = await fetch(LINE + (await ability()), { headers: { accept: "text/html" }, redirect: "error" });
      const text = await answer.text();
      if (mine === asked && answer.ok) put(text);
      // but what could not be kept, and is shown to be copied, stays
      if (answer.status === LENT && !document.getElementById("kept-title")) location.replace("/field");
    } catch {
      // No network and no worker: what stands there stays.
    }
  }

  // Where the server answers, it cannot know: no worker here, or the browser has cleared the book.
  async function ability() {
    if (!workers || !window.WebAssembly) return "?able=no";
    const wasPaired = window.caches && (await caches.has(WAS_PAIRED).catch(() => false));
    return wasPaired ? "?able=emptied" : ""; // a phone that is paired answers by itself, and does not look
  }

  function put(text) {
    const made = new DOMParser().parseFromString(text, "text/html").getElementById("kept-and-sent-now");
    if (made && made.outerHTML !== line.innerHTML) line.replaceChildren(document.adoptNode(made));
  }

  // The page of what is saved and sent says the same as the line, at the same time.
  async function showStatus() {
    if (location.pathname !== STATUS || isTyping()) return;
    const answer = await fetch(STATUS, { headers: { accept: "text/html" }, redirect: "error" });
    const made = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("main");
    if (answer.ok && made && !isTyping()) swapStatus(document.getElementById("main"), document.adoptNode(made));
  }

  // What was unfolded, what was answered, and what has the focus stay so: it may be the button that sends.
  function swapStatus(main, made) {
    const refused = document.getElementById("clear-refused")?.hidden === false;
    const open = Array.from(main.querySelectorAll("details"), (fold) => fold.open);
    const held = main.contains(document.activeElement) ? document.activeElement : null;
    main.replaceChildren(...made.childNodes);
    main.querySelectorAll("details").forEach((fold, at) => { fold.open = Boolean(open[at]); });
    document.dispatchEvent(new CustomEvent("htmx:afterSwap"));
    if (refused) sayRefused();
    if (held) (document.getElementById(held.id) || main.querySelector(held.localName))?.focus({ preventScroll: true });
  }

  // Only the field book is on this phone: before any other page is gone to, the network is tried,
  // so that nobody ever meets the browser's own page of an error.
  async function goOut(event) {
    const link = event.target.closest?.("a[href]");
    const said = document.getElementById("needs-network");
    if (!link || !said || event.defaultPrevented || event.button || event.ctrlKey || event.metaKey) return;
    const { origin, pathname } = new URL(link.href);
    if (origin !== location.origin || /^\/(field|static|photos)(\/|$)/.test(pathname)) return;
    event.preventDefault();
    const how = { method: "HEAD", cache: "no-store", redirect: "manual", signal: AbortSignal.timeout(PROBE) };
    try {
      await fetch(link.href, how);
      location.assign(link.href);
    } catch {
      said.hidden = false;
      said.scrollIntoView({ block: "nearest" });
    }
  }

  function tell(message) {
    if (workers && workers.controller) workers.controller.postMessage(message);
  }

  // Something was typed, or chosen, and not sent.
  function isTyping() {
    return Array.from(document.querySelectorAll("input, textarea")).some((field) => {
      if (field.type === "hidden") return false;
      if (field.type === "checkbox" || field.type === "radio") return field.checked !== field.defaultChecked;
      return field.type === "file" ? field.files.length > 0 : field.value !== field.defaultValue;
    });
  }

  function hear({ data, ports }) {
    if (data && data.kind === "changed") {
      showLine();
      showStatus().catch(() => {});
    }
    if (data && data.kind === "typing?" && ports[0]) ports[0].postMessage(isTyping());
  }

  // A page of the version before is of no use under the new one: load it anew, if nothing is lost.
  // Not at once: the switch comes while a person goes to another page, and loading this one anew
  // would (in WebKit) keep them here.
  function renewed() {
    setTimeout(() => { if (!isTyping()) location.reload(); }, LEAVING);
  }

  // Told before the browser is asked to let the store last: it may ask the person, and wait.
  async function tellState() {
    if (!navigator.storage || !navigator.storage.persist) return;
    const { usage, quota } = await navigator.storage.estimate();
    const room = quota && usage / quota > LOW ? "low" : "";
    const lasting = await navigator.storage.persisted();
    tell({ kind: "state", lasting, room });
    if (!lasting && (await navigator.storage.persist())) tell({ kind: "state", lasting: true, room });
  }

  // A phone that is paired and whose worker was taken away gets it back. Outside the field book,
  // where it was led to sign in for want of a worker, it is led back.
  async function mend() {
    if (!window.indexedDB.databases || (await workers.getRegistration("/field"))) return;
    const books = await indexedDB.databases();
    if (!books.some((each) => each.name === "sillbook")) return;
    const made = await workers.register("/sw.js", { scope: "/field", updateViaCache: "none" });
    const next = made.installing;
    if (line || !next) return;
    next.addEventListener("statechange", () => {
      if (next.state === "activated" && !isTyping()) location.assign("/field");
    });
  }

  function sayRefused() {
    const said = document.getElementById("clear-refused");
    if (said) said.hidden = false;
  }

  // Clear the phone, when the person asked for it on the page of what is saved and sent.
  function clearPhone() {
    const sure = document.getElementById("clear-sure");
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => {
      if (data.cleared) location.replace("/field"); // the office's sign-in, or that it needs a network
      else sayRefused();
    };
    workers.controller.postMessage({ kind: "clear", sure: Boolean(sure && sure.checked) }, [port2]);
  }

  const isLookedAt = () => document.visibilityState === "visible";

  // Whoever holds a tape for a minute finds the worker as it was, and not one that reads all anew.
  function keepReady() {
    if (isLookedAt()) tell({ kind: "ready", path: location.pathname });
  }

  function start() {
    showLine();
    window.addEventListener("pageshow", ({ persisted }) => { if (persisted) showLine(); });
    if (!workers) return;
    workers.addEventListener("message", hear);
    workers.startMessages();
    if (!workers.controller) {
      mend().catch(() => {});
      return;
    }
    workers.addEventListener("controllerchange", renewed);
    document.addEventListener("click", goOut);
    tellState().catch(() => {});
    document.addEventListener("click", ({ target }) => {
      if (target.id === "send-now") tell({ kind: "sync", why: "asked" });
      if (target.id === "clear-phone") clearPhone();
    });
    tell({ kind: "sync", why: "shown" });
    window.addEventListener("online", () => tell({ kind: "sync", why: "shown" }));
    document.addEventListener("visibilitychange", () => {
      keepReady();
      if (isLookedAt()) tell({ kind: "sync", why: "shown" });
    });
    setInterval(keepReady, AWAKE);
    setInterval(() => tell({ kind: "sync", why: "timer" }), EVERY);
  }

  start();
})();
