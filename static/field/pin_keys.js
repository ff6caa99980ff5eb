// Our own keys for the PIN that signs a step: large, and always at the same spot. The sixth digit
// signs, whoever types it. Without scripts the phone's keyboard and the button do the same.
(function () {
  "use strict";

  const DIGITS = 6;
  let pressed = 0; // when a key was handled as it went down

  const field = () => document.querySelector(".sign-card input[name=pin]");

  function press(key) {
    const typed = field();
    if (!typed || typed.value.length >= DIGITS && key !== "back") return;
    typed.value = key === "back" ? typed.value.slice(0, -1) : typed.value + key;
    typed.dispatchEvent(new Event("input", { bubbles: true }));
  }

  // As it goes down, like the keys of a reading.
  function onDown(event) {
    const key = event.button === 0 && event.target.closest?.(".pin-key");
    if (!key) return;
    event.preventDefault();
    pressed = event.timeStamp;
    press(key.dataset.digit);
  }

  function onClick(event) {
    const key = event.target.closest?.(".pin-key");
    if (key && !(event.detail && event.timeStamp - pressed < 1000)) press(key.dataset.digit);
  }

  function onInput(event) {
    const typed = field();
    if (event.target !== typed || typed.value.length < DIGITS) return;
    typed.form.requestSubmit(typed.form.querySelector(".sign"));
  }

  function start() {
    const typed = field();
    if (!typed) return;
    typed.inputMode = "none";
    typed.closest("form").classList.add("has-keys");
    document.querySelectorAll(".pin-keys[hidden]").forEach((keys) => { keys.hidden = false; });
  }

  document.addEventListener("pointerdown", onDown);
  document.addEventListener("click", onClick);
  document.addEventListener("input", onInput);
  document.addEventListener("htmx:afterSwap", start);
  start();
})();
