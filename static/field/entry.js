// A pad of sixteenths under the number field, so that a fraction is one tap.
// Without this script the field takes the same text from any keyboard.
(function () {
  "use strict";

  const SIXTEENTHS = ["1/16", "1/8", "3/16", "1/4", "5/16", "3/8", "7/16", "1/2",
    "9/16", "5/8", "11/16", "3/4", "13/16", "7/8", "15/16"];
  const TAIL = /(^|[\s-])(\d{1,2})\/(\d{1,2})$/; // the fraction at the end, if there is one

  // 5 and 3/16 give "5 3/16"; a fraction that stands there already is replaced.
  function withFraction(text, fraction) {
    const whole = text.trim().replace(TAIL, "").trim();
    return whole ? whole + " " + fraction : fraction;
  }

  // One thirty-second more than what stands there: "3/16" becomes "7/32".
  function withHalfStep(text) {
    const found = TAIL.exec(text.trim());
    if (!found) return withFraction(text, "1/32");
    const bottom = Number(found[3]);
    if (!bottom || 32 % bottom) return text;
    const top = Number(found[2]) * (32 / bottom) + 1;
    return top < 32 && top % 2 ? withFraction(text, top + "/32") : text;
  }

  function button(label, field, change) {
    const made = document.createElement("button");
    made.type = "button";
    made.textContent = label;
    made.addEventListener("pointerdown", (event) => event.preventDefault()); // the field keeps the focus
    made.addEventListener("click", () => {
      field.value = change(field.value);
      field.dispatchEvent(new Event("input", { bubbles: true }));
    });
    return made;
  }

  function addPad(field) {
    const pad = document.createElement("div");
    pad.className = "pad";
    pad.setAttribute("role", "group");
    pad.setAttribute("aria-labelledby", "value-example");
    for (const fraction of SIXTEENTHS) {
      pad.append(button(fraction, field, (text) => withFraction(text, fraction)));
    }
    pad.append(button("+1/32", field, withHalfStep));
    field.inputMode = "decimal"; // the pad has the stroke that a number keyboard lacks
    field.dataset.fractions = "added";
    document.getElementById("value-example").after(pad);
  }

  function start() {
    const field = document.querySelector('input[data-fractions="yes"]');
    if (field) addPad(field);
  }

  start();
  document.addEventListener("htmx:afterSwap", start);
})();
