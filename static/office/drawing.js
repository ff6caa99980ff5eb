// A drawing's form that was refused: what was mended is no longer called wrong. The answer to each
// change, which draws the door anew, says which fields still are.
"use strict";

document.addEventListener("htmx:afterSwap", () => {
  const told = document.getElementById("still-wrong");
  if (!told) return;
  const wrong = new Set(told.dataset.wrong.split(" "));
  for (const field of document.querySelectorAll("#drawing-form [aria-invalid]")) {
    if (wrong.has(field.id)) continue;
    field.removeAttribute("aria-invalid");
    field.removeAttribute("aria-describedby");
    document.getElementById(`${field.id}-error`)?.remove();
    document.querySelector(`.error-summary a[href="#${field.id}"]`)?.closest("li").remove();
  }
  const summary = document.querySelector(".error-summary");
  if (summary && !summary.querySelector("li")) summary.remove();
});
