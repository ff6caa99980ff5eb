// What was kept is read back aloud, where somebody wants it: for whoever has both hands at the door.
// Off until it is chosen on this phone, on the page of what is sent. The voice is the phone's own.
(function () {
  "use strict";

  const KEY = "sillbook-aloud";
  const voice = window.speechSynthesis;
  if (!voice) return;

  function isOn() {
    try {
      return localStorage.getItem(KEY) === "on";
    } catch {
      return false; // no storage for this page
    }
  }

  function say(text) {
    const words = new SpeechSynthesisUtterance(text);
    words.lang = document.documentElement.lang;
    if (voice.speaking || voice.pending) voice.cancel(); // only the last one counts
    voice.speak(words);
  }

  function sayKept() {
    const kept = document.querySelector("[data-aloud]");
    if (kept?.dataset.aloud && isOn()) say(kept.dataset.aloud);
  }

  function offer() {
    for (const row of document.querySelectorAll(".aloud")) row.hidden = false;
    for (const button of document.querySelectorAll(".aloud button")) {
      button.setAttribute("aria-pressed", String(button.value === (isOn() ? "on" : "")));
    }
  }

  document.addEventListener("click", ({ target }) => {
    const button = target.closest?.(".aloud button");
    if (!button) return;
    localStorage.setItem(KEY, button.value);
    offer();
    if (isOn()) say(button.dataset.sample);
  });
  document.addEventListener("htmx:afterSwap", () => {
    offer();
    sayKept();
  });
  document.addEventListener("DOMContentLoaded", offer);
  // Browsers let a page speak once the person has touched it: a touch says nothing, once.
  document.addEventListener("pointerdown", () => { if (isOn()) say(""); }, { once: true });
})();
