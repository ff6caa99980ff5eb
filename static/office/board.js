// Keeps the board fresh without losing one's place. The page works without it.
"use strict";
(() => {
  const board = document.getElementById("board");
  if (!board || !window.EventSource) return;
  let stale = false;
  let busy = false;

  // The first row on the screen, to be put back where it was.
  function anchor() {
    for (const row of board.querySelectorAll("tr[id]")) {
      const top = row.getBoundingClientRect().top;
      if (top >= 0) return { id: row.id, top };
    }
    return null;
  }

  function replace(html) {
    const held = board.contains(document.activeElement) ? document.activeElement.id : "";
    const at = anchor();
    const scrolled = board.querySelector(".scroll")?.scrollLeft ?? 0;
    board.innerHTML = html;
    const row = at && document.getElementById(at.id);
    if (row) window.scrollBy(0, row.getBoundingClientRect().top - at.top);
    const box = board.querySelector(".scroll");
    if (box) box.scrollLeft = scrolled;
    if (held) document.getElementById(held)?.focus({ preventScroll: true });
  }

  async function refresh() {
    if (document.hidden || busy) {
      stale = true;
      return;
    }
    busy = true;
    stale = false;
    try {
      const answer = await fetch("/office/board" + location.search, { redirect: "error" });
      if (answer.ok) replace(await answer.text());
    } catch {
      stale = true; // no network now: the next change, or coming back to the page, tries again
    } finally {
      busy = false;
    }
    if (stale && !document.hidden) setTimeout(refresh, 2000);
  }

  const source = new EventSource("/office/changes");
  source.addEventListener("changed", refresh);
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden && stale) refresh();
  });
})();
