// A browser that keeps what is folded off the paper: it is unfolded while the page prints.
// (Others have ::details-content in record.css.)
let folded = [];
addEventListener("beforeprint", () => {
  folded = [...document.querySelectorAll("details:not([open])")];
  for (const part of folded) part.open = true;
});
addEventListener("afterprint", () => {
  for (const part of folded) part.open = false;
  folded = [];
});
