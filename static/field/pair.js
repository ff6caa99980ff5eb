// The pages that pair a phone: one takes the code from the address (the part that is never sent), the
// other, on the phone in the hand, gets one for the password. The worker does it, and the page says
// how far it is. Words stand in the page; here is only which.
(function () {
  "use strict";

  const form = document.getElementById("pair");
  const said = document.getElementById("pair-said");
  if (!form || !said) return;

  const LOOK = 500; // milliseconds

  function say(name, number = "") {
    form.hidden = name === "ready";
    for (const part of said.children) part.hidden = part.dataset.when !== name;
    const count = said.querySelector('[data-when="' + name + '"] [data-count]');
    if (count) count.textContent = String(number);
  }

  // The page has words for some codes; any other is told as it is.
  function failed(code) {
    const known = Array.from(said.children).some((part) => part.dataset.when === code);
    say(known ? code : "failed", code);
    form.querySelector("button").disabled = false;
  }

  // The worker, once it works. WebKit may tell nothing of a change that comes while it registers, so
  // it is asked now and then as well.
  async function worker() {
    const made = await navigator.serviceWorker.register("/sw.js", { scope: "/field", updateViaCache: "none" });
    const next = made.active || made.installing || made.waiting;
    for (;;) {
      const { active } = (await navigator.serviceWorker.getRegistration("/field")) || made;
      if (active) return active;
      if (next.state === "redundant") throw new Error("install");
      await new Promise((resolve) => {
        next.addEventListener("statechange", resolve, { once: true });
        setTimeout(resolve, LOOK);
      });
    }
  }

  // A code for this very phone: the office gives it to who knows the password.
  async function codeHere() {
    const body = new URLSearchParams({ password: form.elements.password.value });
    const how = { method: "POST", body, headers: { accept: "application/json" }, redirect: "error" };
    const answer = await fetch(form.action, how).catch(() => { throw new Error("no-answer"); });
    const { code, error } = await answer.json().catch(() => ({}));
    if (answer.status === 401) throw new Error("signed-out");
    if (!code) throw new Error(error?.code || "not-sillbook");
    return code;
  }

  // Ready: said, with what the browser promised.
  async function ready() {
    const lasting = (await navigator.storage?.persisted?.().catch(() => false)) || false;
    said.querySelector("[data-lasting]").hidden = !lasting;
    said.querySelector("[data-fleeting]").hidden = lasting;
    say("ready");
  }

  async function pair(event) {
    event.preventDefault();
    form.querySelector("button").disabled = true;
    say("installing");
    try {
      if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = ({ data }) => hear(data);
      const here = "here" in form.dataset;
      const code = here ? await codeHere() : form.elements.code.value.trim();
      const message = { kind: "pair", code, name: here ? form.dataset.here : form.elements.name.value.trim() };
      (await worker()).postMessage(message, [port2]);
    } catch (error) {
      failed(error.message);
    }
  }

  // A phone on which this person works already is ready: nothing is asked.
  async function lookWhetherReady() {
    const made = await navigator.serviceWorker.getRegistration("/field");
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => { if (data.names.includes(form.dataset.here)) ready(); };
    made?.active?.postMessage({ kind: "paired" }, [port2]);
  }

  function hear({ stage, count, code }) {
    if (stage === "failed") failed(code);
    else if (stage === "done" && "here" in form.dataset) ready();
    else if (stage === "done") location.replace("/field");
    else say(stage, count);
  }

  const able = "serviceWorker" in navigator && "indexedDB" in window && window.WebAssembly && window.isSecureContext;
  if (!able) {
    say("unable");
    return;
  }
  const code = decodeURIComponent(location.hash.slice(1));
  if (code && form.elements.code) {
    form.elements.code.value = code;
    history.replaceState(null, "", location.pathname); // it stays in no history
  }
  form.addEventListener("submit", pair);
  form.querySelector("button").disabled = false;
  if ("here" in form.dataset) lookWhetherReady();
})();
