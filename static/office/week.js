// The week: a card that is dropped on a crew's day opens its plan with that crew and day filled in.
// Without a mouse the link "Move" does the same.
"use strict";

const table = document.querySelector("table.week");
if (table) {
  for (const card of table.querySelectorAll(".week-card[data-opening]")) card.draggable = true;
  table.addEventListener("dragstart", (event) => {
    const card = event.target.closest(".week-card[data-opening]");
    if (card) event.dataTransfer.setData("text/x-opening", card.dataset.opening);
  });
  table.addEventListener("dragover", (event) => {
    if (event.target.closest("td[data-day]")) event.preventDefault();
  });
  table.addEventListener("drop", (event) => {
    const cell = event.target.closest("td[data-day]");
    const opening = event.dataTransfer.getData("text/x-opening");
    if (!cell || !opening) return;
    event.preventDefault();
    const { crew, day } = cell.dataset;
    location.assign(`/office/plan/${encodeURIComponent(opening)}?${new URLSearchParams({ crew, day })}`);
  });
}
