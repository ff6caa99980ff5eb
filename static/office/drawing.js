// A drawing's form that was refused: what was mended is no longer called wrong. The answer to each
// change, which draws the door anew, says which fields still are, and why.
"use strict";

document.addEventListener("htmx:afterSwap", () => {
  const told = document.getElementById("still-wrong");
  if (!told) return;
  const wrong = new Set(told.dataset.wrong.split(" "));
  for (const field of document.querySelectorAll("#drawing-form [aria-invalid]")) {
    const link = document.querySelector(`.error-summary a[href="#${field.id}"]`);
    if (wrong.has(field.id)) {
      const now = document.querySelector(`#preview li[data-field="${field.id}"]`);
      const words = document.querySelector(`#${field.id}-error span`);
      if (now && words) words.textContent = now.textContent;
      if (now && link) link.textContent = now.textContent;
      continue;
    }
    field.removeAttribute("aria-invalid");
    field.removeAttribute("aria-describedby");
    document.getElementById(`${field.id}-error`)?.remove();
    link?.closest("li").remove();
  }
  const summary = document.querySelector(".error-summary");
  if (summary && !summary.querySelector("li")) summary.remove();
});
