// From the list to an opening, from card to step to opening: the next page is swapped in for the one
// that stands there, so that nothing is read and built twice. A page says itself that it can be
// (body.swaps). What cannot is loaded as ever, and so is a link that is followed while a form is sent.
const swap = (() => {
  const PAGES = /^\/field(\/o\/[^/]+(\/(next|step|point)(\/[^/]+)*)?)?$/;
  const AS_SCRIPT = { accept: "text/html", "HX-Request": "true" }; // signed out: told as a piece
  const AS_FORM = { ...AS_SCRIPT, "Next-Page": "yes" }; // the phone answers with the page that follows

  const address = () => location.pathname + location.search;
  const isBusy = () => document.querySelector("#main[aria-busy=true], #main [aria-busy=true]") !== null;
  const isFit = (whole) => whole.body.classList.contains("swaps");
  const CARD = ["strip", "notices", "main"]; // what differs from card to card
  const isCard = (page) => CARD.every((id) => page.getElementById(id));
  const sheets = (page) => Array.from(page.head.querySelectorAll("link[rel=stylesheet]"));
  let shown = address();

  // The style sheets and scripts of a page that are not here yet. A script that is here runs on.
  async function fetchParts(whole) {
    const missing = Array.from(whole.head.querySelectorAll("link[rel=stylesheet], script[src]")).filter((part) => {
      const name = part.localName === "link" ? "href" : "src";
      return !document.head.querySelector(part.localName + "[" + name + '="' + part.getAttribute(name) + '"]');
    });
    await Promise.all(missing.map(fetchPart));
  }

  function fetchPart({ localName, attributes }) {
    const part = document.createElement(localName);
    for (const { name, value } of attributes) part.setAttribute(name, value);
    if (localName === "link") part.media = "not all"; // until its page stands there
    part.async = false;
    return new Promise((resolve, reject) => {
      [part.onload, part.onerror] = [resolve, reject];
      document.head.append(part);
    });
  }

  // Put a page in place of this one; the address is set by who asked for it. The line of what is
  // kept and sent stays: it is told what changes.
  function put(whole) {
    const styles = new Set(sheets(whole).map((link) => link.getAttribute("href")));
    for (const link of sheets(document)) {
      const media = styles.has(link.getAttribute("href")) ? "all" : "not all";
      if (link.media !== media) link.media = media;
    }
    document.title = whole.title;
    document.documentElement.lang = whole.documentElement.lang;
    if (isCard(document) && isCard(whole)) CARD.forEach((id) => document.getElementById(id).replaceWith(whole.getElementById(id)));
    else putBody(whole);
    window.htmx?.process(document.body);
    shown = address();
  }

  function putBody(whole) {
    const line = document.getElementById("kept-and-sent");
    if (line) whole.getElementById("kept-and-sent")?.replaceWith(line);
    document.body.className = whole.body.className;
    document.body.replaceChildren(...whole.body.childNodes);
  }

  // Where a screen reader reads on, and a keyboard goes on from.
  function focusHeading() {
    const heading = document.querySelector("#main h1") || document.getElementById("main");
    heading.tabIndex = -1;
    heading.focus({ preventScroll: true });
  }

  // Nothing that takes keys has the focus.
  const isIdle = () => (document.activeElement?.tabIndex ?? -1) === -1;

  async function open(href, back) {
    const main = document.getElementById("main");
    let answer = null;
    let whole = null;
    main.setAttribute("aria-busy", "true");
    try {
      answer = await fetch(href, { headers: AS_SCRIPT });
      whole = new DOMParser().parseFromString(await answer.text(), "text/html");
      if (answer.ok && isFit(whole)) await fetchParts(whole);
    } catch {
      document.getElementById("needs-network").hidden = false;
      return;
    } finally {
      main.removeAttribute("aria-busy");
    }
    if (!main.isConnected) return; // a form was sent meanwhile, and its page stands there
    if (answer.ok && isFit(whole)) show(whole, answer.url, back);
    else if (back) location.reload();
    else location.assign(answer.redirected ? answer.url : href);
  }

  function show(whole, url, back) {
    document.dispatchEvent(new CustomEvent("swap:leave"));
    if (!back) note(url);
    put(whole);
    document.dispatchEvent(new CustomEvent("htmx:afterSwap", { detail: {} }));
    scrollTo(0, history.state?.scroll ?? 0);
    history.scrollRestoration = "auto"; // should a page be loaded next
    if (isIdle()) focusHeading();
  }

  // The page that is left keeps how far it was scrolled.
  function note(url) {
    if (url === location.href) return;
    history.replaceState({ scroll: scrollY }, "");
    history.scrollRestoration = "manual";
    history.pushState(null, "", url);
  }

  function onClick(event) {
    const link = event.target.closest?.("a[href]");
    if (!link || event.defaultPrevented || event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
    const { origin, pathname, hash } = new URL(link.href);
    if (link.target || hash || origin !== location.origin || !PAGES.test(pathname) || isBusy()) return;
    event.preventDefault();
    open(link.href, false);
  }

  // Back, and on again: but for going to a part of the page that stands there.
  function onHistory() {
    if (isBusy()) location.reload();
    else if (address() !== shown) open(location.href, true);
  }

  if (history.scrollRestoration === "manual") scrollTo(0, history.state?.scroll ?? 0);
  window.addEventListener("popstate", onHistory);
  document.addEventListener("click", onClick);

  return { AS_FORM, isFit, fetchParts, put, focusHeading, isIdle };
})();
