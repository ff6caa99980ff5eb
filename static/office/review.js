// The review by keys: j and k go to the next and the last thing to look at, a to the acceptance.
// A key only moves there; whoever accepts still ticks the statement. Not while something is typed,
// and not where the person has switched the keys off (WCAG 2.2, 2.1.4).
(function () {
  "use strict";

  const OFF = "review-keys-off";
  const things = Array.from(document.querySelectorAll(".exception, .query"));
  const box = document.getElementById("review-keys");
  if (!box) return;

  function move(by) {
    const at = things.findIndex((thing) => thing.contains(document.activeElement));
    const next = at < 0 ? (by > 0 ? 0 : things.length - 1) : at + by;
    const thing = things[Math.min(Math.max(next, 0), things.length - 1)];
    if (!thing) return;
    thing.tabIndex = -1;
    thing.focus();
    thing.scrollIntoView({ block: "nearest" });
  }

  function toAcceptance() {
    const judging = document.getElementById("judging");
    const tick = judging.querySelector("input[name=confirm]") || judging.querySelector("a");
    if (tick) tick.focus();
    judging.scrollIntoView({ block: "nearest" });
  }

  const KEYS = { j: () => move(1), k: () => move(-1), a: toAcceptance };

  document.addEventListener("keydown", (event) => {
    const plain = !(event.ctrlKey || event.metaKey || event.altKey || event.isComposing);
    const types = event.target.closest?.("textarea, select, input:not([type=checkbox], [type=radio])");
    if (!plain || types || !box.checked || !Object.hasOwn(KEYS, event.key)) return;
    event.preventDefault();
    KEYS[event.key]();
  });

  box.checked = !localStorage.getItem(OFF);
  box.addEventListener("change", () => {
    if (box.checked) localStorage.removeItem(OFF);
    else localStorage.setItem(OFF, "1");
  });
  box.closest("[hidden]").hidden = false;
})();
