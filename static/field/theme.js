// The theme that somebody chose on this phone, set before anything is painted; its buttons stand
// on the page of what is sent. Nothing chosen: the phone's own wish counts.
(function () {
  "use strict";

  const KEY = "sillbook-theme";
  const root = document.documentElement;

  function chosen() {
    try {
      return localStorage.getItem(KEY) || "";
    } catch {
      return ""; // no storage for this page
    }
  }

  function show() {
    if (chosen()) root.dataset.theme = chosen();
    else delete root.dataset.theme;
    for (const button of document.querySelectorAll(".screens button")) {
      button.setAttribute("aria-pressed", String(button.value === chosen()));
    }
  }

  function offer() {
    for (const row of document.querySelectorAll(".screens")) row.hidden = false;
    show();
  }

  show();
  document.addEventListener("click", ({ target }) => {
    const button = target.closest?.(".screens button");
    if (!button) return;
    localStorage.setItem(KEY, button.value);
    show();
  });
  document.addEventListener("DOMContentLoaded", offer);
  document.addEventListener("htmx:afterSwap", offer);
})();
