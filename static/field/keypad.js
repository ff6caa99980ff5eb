// Our own keys under the value of a card, or of the page of a point. The phone's keyboard and hardware that types like one
// work in the same field; a tap on the field asks for the phone's keyboard.
(function () {
  "use strict";

  const FRACTION = /(^|[\s'"-])(\d{1,2})\/(\d{1,2})$/; // at the end, if there is one
  const HAIR = /[+-]$/;
  const FINEST = 32;
  let pressed = -Infinity; // when a key was handled as it went down: never yet

  const field = () => document.querySelector("form[data-for] input.typed-value");

  // "5" and "3/16" give "5 3/16"; a fraction that stands there already is replaced.
  function withFraction(text, fraction) {
    const whole = text.replace(HAIR, "").replace(FRACTION, "$1").trim();
    if (!fraction) return whole;
    return whole ? whole + " " + fraction : fraction;
  }

  // So many thirty-seconds more than what stands there: "5 15/16" and two give "6".
  function more(text, count) {
    const found = FRACTION.exec(text.replace(HAIR, ""));
    const bottom = found ? Number(found[3]) : 1;
    if (!bottom || FINEST % bottom) return text;
    const sum = (found ? Number(found[2]) * (FINEST / bottom) : 0) + count;
    if (sum >= FINEST) return plusOne(withFraction(text, ""));
    return withFraction(text, lowest(sum));
  }

  function lowest(count) {
    let [top, bottom] = [count, FINEST];
    while (top % 2 === 0 && bottom > 1) [top, bottom] = [top / 2, bottom / 2];
    return top + "/" + bottom;
  }

  function plusOne(whole) {
    const last = /(\d+)$/.exec(whole);
    return last ? whole.slice(0, last.index) + (Number(last[1]) + 1) : (whole + " 1").trim();
  }

  // A hair more, a hair less, and as it was.
  function withHair(text) {
    if (text.endsWith("+")) return text.slice(0, -1) + "-";
    if (text.endsWith("-")) return text.slice(0, -1);
    return text ? text + "+" : text;
  }

  function back(text) {
    const bare = text.trimEnd();
    return FRACTION.test(bare) ? withFraction(bare, "") : bare.slice(0, -1).trimEnd();
  }

  const KEYS = { even: (text) => withFraction(text, ""), back, hair: withHair, "+1/16": (text) => more(text, 2), "+1/32": (text) => more(text, 1) };

  function press(key) {
    const typed = field();
    if (!typed) return;
    if (key === "back" && !typed.value) {
      document.querySelector(".band form, .saved form")?.requestSubmit(); // nothing to take back here: the last one
      return;
    }
    // The whole inches of the reading before stand greyed: a fraction that is pressed takes them,
    // and so does "even", where the tape shows none.
    const stands = /\d\/\d|^even$/.test(key) ? typed.value || typed.placeholder : typed.value;
    if (KEYS[key]) typed.value = KEYS[key](stands);
    else if (/^\d+\/\d+$/.test(key)) typed.value = withFraction(stands, key);
    else typed.value += key;
    typed.inputMode = "none";
    typed.focus({ preventScroll: true });
    typed.dispatchEvent(new Event("input", { bubbles: true }));
  }

  // As it goes down: the next card may come before the finger is up again.
  function onDown(event) {
    if (event.button !== 0) return;
    const key = event.target.closest?.(".key");
    if (key) {
      event.preventDefault();
      pressed = event.timeStamp;
      act(key);
    } else if (event.target === field()) {
      event.target.inputMode = event.target.dataset.mode || "text";
    }
  }

  function onClick(event) {
    const key = event.target.closest?.(".key");
    if (!key) return;
    if (event.detail && event.timeStamp - pressed < 1000) event.preventDefault(); // it was handled
    else if (key.dataset.key) act(key); // by a screen reader or a keyboard
  }

  function act(key) {
    if (key.dataset.key) press(key.dataset.key);
    else field()?.form.requestSubmit(key);
  }

  function start() {
    document.querySelectorAll(".key[hidden]").forEach((key) => { key.hidden = false; });
    const typed = field();
    if (!typed || typed.dataset.mode) return;
    typed.dataset.mode = typed.inputMode;
    typed.inputMode = "none";
  }

  document.addEventListener("pointerdown", onDown);
  document.addEventListener("click", onClick);
  document.addEventListener("htmx:afterSwap", start);
  start();
})();
