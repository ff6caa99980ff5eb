// A finger on the screen of a page: it touches only what can be seen, scrolls only where it must,
// and notes how long it waits until the screen that follows is painted and ready.
(() => {
  if (self.hand) return;
  const READY = 2; // frames for which a screen must stay as it is

  // What only a screen reader finds: cut to a point, or a name beside a sign that stands for it.
  const isSaidAlone = (each) => {
    const style = getComputedStyle(each);
    return style.fontSize === "0px" || (style.position === "absolute" && style.clipPath === "inset(50%)");
  };
  const isSeen = (each) => !isSaidAlone(each) && each.checkVisibility({ visibilityProperty: true, opacityProperty: true })
    && !each.closest(".unseen, [aria-hidden=true]") && [...each.getClientRects()].some(isOnPage);

  // The link that skips to the work stands above the page until a keyboard reaches it.
  function isOnPage(box) {
    return box.bottom + scrollY > 0 && box.right + scrollX > 0;
  }

  const bareWords = (text) => text.split(/\s+/).filter((word) => /\p{L}/u.test(word));

  // What can be read, text by text.
  function texts() {
    const out = [];
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
      const parent = walk.currentNode.parentElement;
      if (parent.closest(".keys, script, style, textarea, option, footer") || !isSeen(parent)) continue;
      out.push(bareWords(walk.currentNode.nodeValue));
    }
    return out.filter((text) => text.length);
  }

  const text = (each) => (each?.innerText ?? each?.textContent ?? "").replace(/\s+/g, " ").trim();
  const bare = (each) => {
    const copy = each.cloneNode(true);
    copy.querySelectorAll(".unseen, svg").forEach((one) => one.remove());
    return (each.getAttribute("aria-label") || copy.textContent).replace(/\s+/g, " ").trim();
  };

  function screen() {
    const thing = document.querySelector(".thing");
    return {
      path: location.pathname + location.search,
      kind: thing ? [...thing.classList].find((name) => name.startsWith("thing-"))?.slice(6) : "page",
      key: document.getElementById("coming")?.dataset.for ?? "",
      title: text(document.querySelector("h1")),
      text: text(document.getElementById("main")),
      notices: text(document.getElementById("notices")),
      whole: document.querySelector("input.typed-value")?.placeholder ?? "",
      high: document.documentElement.scrollHeight,
      wide: document.documentElement.scrollWidth,
      screen: [innerWidth, innerHeight],
      texts: texts().map((text) => text.join(" ")),
      words: texts().flat(),
      acts: [...document.querySelectorAll("button, a[href], summary, label.pick")].filter(isSeen).map(bare),
    };
  }

  // What of this name can be touched: a key, a button, a link, a choice or a fold.
  function find(name, scope) {
    const all = [...(scope || document).querySelectorAll("button, a[href], summary, label, input, textarea")];
    const named = all.filter((each) => isSeen(each) && bare(each) === name);
    return named[0] || all.filter((each) => isSeen(each) && bare(each).startsWith(name))[0] || null;
  }

  function reach(each) {
    const before = scrollY;
    const box = each.getBoundingClientRect();
    if (box.top < 0 || box.bottom > innerHeight) each.scrollIntoView({ block: "center", behavior: "instant" });
    const now = each.getBoundingClientRect();
    const on = document.elementFromPoint(now.left + now.width / 2, now.top + now.height / 2);
    if (!on || !(each.contains(on) || on.contains(each) || on.closest("label")?.contains(each))) {
      throw new Error("covered: " + bare(each) + " by " + (on?.outerHTML || "").slice(0, 80));
    }
    return Math.abs(scrollY - before);
  }

  function press(each) {
    const box = each.getBoundingClientRect();
    const at = { bubbles: true, cancelable: true, button: 0, clientX: box.left + 2, clientY: box.top + 2, detail: 1 };
    each.dispatchEvent(new PointerEvent("pointerdown", { ...at, pointerType: "touch", isPrimary: true }));
    each.dispatchEvent(new PointerEvent("pointerup", { ...at, pointerType: "touch", isPrimary: true }));
    each.dispatchEvent(new MouseEvent("click", at));
  }

  // Touches these one after the other; each is a name, or {type, name} for letters into a field.
  function touch(names) {
    let scrolled = 0;
    for (const name of names) {
      if (name.type !== undefined) {
        const field = name.name ? find(name.name) : document.activeElement;
        const into = field.control || field;
        scrolled += reach(field);
        into.focus({ preventScroll: true });
        into.value += name.type;
        into.dispatchEvent(new Event("input", { bubbles: true }));
        continue;
      }
      const each = find(name);
      if (!each) throw new Error("nothing to touch named " + name + " among " + screen().acts.join(" | "));
      scrolled += reach(each);
      press(each);
    }
    return scrolled;
  }

  const busy = () => document.querySelector("[aria-busy=true], .htmx-request") !== null;
  const face = () => document.getElementById("main")?.innerHTML.length + " " + location.href + " "
    + document.querySelector("h1")?.textContent + (document.getElementById("coming")?.dataset.for ?? "");

  // Touch, and wait until another screen stands there; waited in milliseconds.
  async function act(names) {
    const was = document.getElementById("main");
    const before = face();
    const scrolled = touch(names);
    const begun = performance.now();
    sessionStorage.setItem("hand", JSON.stringify({ begun: realNow(), scrolled }));
    for (let still = 0; still < READY;) {
      await new Promise((done) => requestAnimationFrame(() => setTimeout(done, 0)));
      const other = document.getElementById("main") !== was || face() !== before;
      still = other && !busy() ? still + 1 : 0;
      if (performance.now() - begun > 60000) throw new Error("no other screen after " + JSON.stringify(names));
    }
    sessionStorage.removeItem("hand");
    return { waited: performance.now() - begun, scrolled, screen: screen() };
  }

  // Wait for a screen that comes by itself, as when a clock is over.
  async function after(kind) {
    const begun = performance.now();
    while (screen().kind === kind || busy()) {
      await new Promise((done) => setTimeout(done, 20));
      if (performance.now() - begun > 60000) throw new Error("nothing came after " + kind);
    }
    return screen();
  }

  // The clock on the wall, set forward: hours of curing are not waited for.
  const realNow = Date.now;
  let shift = Number(sessionStorage.getItem("clock set forward"));
  Date.now = () => realNow() + shift;
  function setForward(time) {
    shift = time;
    sessionStorage.setItem("clock set forward", String(time));
  }

  self.hand = { screen, touch, act, after, setForward };
})();
