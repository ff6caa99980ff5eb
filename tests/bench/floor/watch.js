// In every page of the bench: when did what was asked for stand there painted? The next screen may be
// a page that was loaded or a part that was swapped in. `bench.begin` starts the watch.
(() => {
  const KEYS = ["bench begun", "bench was"];
  const wall = () => performance.timeOrigin + performance.now();
  const face = () => {
    const title = document.querySelector("h1")?.textContent ?? location.href;
    return title + " " + (document.getElementById("coming")?.dataset.for ?? "");
  };
  const isBusy = () => document.querySelector("[aria-busy=true], .htmx-request") !== null;
  const bench = { at: 0, begin, took: () => (bench.at ? bench.at - Number(sessionStorage.getItem(KEYS[0])) : 0) };
  let waiting = false;

  function begin(how, what, value) {
    sessionStorage.setItem(KEYS[1], face());
    bench.at = 0;
    if (how === "keep") document.querySelector("input.typed-value").value = value;
    sessionStorage.setItem(KEYS[0], String(wall()));
    waiting = true;
    if (how === "open") location.assign(what);
    else document.querySelector(what).click();
  }

  function look() {
    if (!waiting || document.readyState === "loading" || isBusy() || face() === sessionStorage.getItem(KEYS[1])) return;
    waiting = false;
    requestAnimationFrame(() => setTimeout(() => { bench.at = wall(); }, 0)); // painted
  }

  try {
    waiting = sessionStorage.getItem(KEYS[0]) !== null;
  } catch {
    return; // a page without an origin
  }
  new MutationObserver(look).observe(document, { childList: true, subtree: true, attributes: true });
  document.addEventListener("readystatechange", look);
  self.bench = bench;
})();
