// Digits belong to the reading they were typed for, even while the phone still works out the last
// one. As soon as a reading is sent, the page shows the place that follows and takes its digits; a
// tape or a laser meter that types like a keyboard need not wait. If something else comes than what
// was foreseen (a question, an error, an OUT), what was typed ahead waits for its own place.
(function () {
  "use strict";

  const FORM = "form[data-for]";
  const KEYS = /^[0-9.,/'"+\- ]$/; // what hardware sends besides Enter
  const UNFORESEEN = { key: "", nth: "", point: "", title: "" };
  let store = storeOfOpening();
  let queue = load(); // [{key, title, text, waits}], in the order of their places
  let sent = null; // {key, text} while the phone works it out

  // ---- what the page shows

  function coming() {
    return Array.from(document.querySelectorAll("#coming li"), (line) => (
      { key: line.dataset.key, nth: line.dataset.nth, point: line.dataset.point || "", title: line.textContent }
    ));
  }

  const card = () => document.getElementById("coming")?.dataset.for ?? "";
  const field = () => document.querySelector(FORM + " input.typed-value, " + FORM + " textarea");

  // The place that is asked for after this one.
  function following(key) {
    const list = coming();
    const at = key === card() ? 0 : list.findIndex((place) => place.key === key) + 1;
    return (key && (at || key === card()) && list[at]) || UNFORESEEN;
  }

  // Where digits go now: while the phone works, to the place behind all that was typed already.
  function target() {
    if (!sent) return { key: card(), nth: "", title: "" };
    return following(queue.length ? queue[queue.length - 1].key : sent.key);
  }

  function showForeseen() {
    const { nth, point, title } = target();
    const above = document.querySelector(".thing-point");
    if (above) above.textContent = point;
    const heading = document.getElementById("entry-place");
    if (!heading) return;
    const small = heading.querySelector(".entry-nth");
    if (small) small.textContent = nth;
    heading.lastChild.textContent = title || "…";
    heading.closest("section").setAttribute("aria-busy", "true");
    greyWhole();
  }

  // The whole inches that stand greyed are of the reading before, at the same point.
  function greyWhole() {
    const typed = document.querySelector("form[data-for]:has(.keys-inches) input.typed-value");
    if (!typed) return;
    const { key, text } = queue.length ? queue[queue.length - 1] : sent;
    const whole = /^\d+(?=[\s-]|$)/.exec(text)?.[0] ?? "";
    const samePoint = target().key.split("~")[1] === key.split("~")[1];
    typed.placeholder = samePoint && Number(whole) ? whole : "";
  }

  function showHeld() {
    const held = document.getElementById("held");
    if (!held) return;
    const waiting = queue.filter(({ waits }) => waits);
    held.hidden = !waiting.length;
    held.querySelector("ul").replaceChildren(...waiting.map(({ title, text }) => {
      const line = document.createElement("li");
      const figure = document.createElement("strong");
      figure.className = "typed";
      figure.textContent = text;
      line.append(figure, title ? " " + title : "");
      return line;
    }));
  }

  // ---- what was typed ahead outlives a page that is loaded anew

  function storeOfOpening() {
    return "typed ahead " + location.pathname.split("/").slice(0, 4).join("/");
  }

  function load() {
    try {
      return JSON.parse(sessionStorage.getItem(store) || "[]").map((each) => ({ ...each, waits: true }));
    } catch {
      return [];
    }
  }

  function save() {
    try {
      sessionStorage.setItem(store, JSON.stringify(queue));
    } catch {
      // No room: then only this page remembers it.
    }
  }

  function hold(place, text) {
    if (text.trim()) queue.push({ key: place.key, title: place.title, text, waits: true, open: true });
  }

  // ---- one reading after the other

  function onSubmit(event) {
    const form = event.target;
    if (event.defaultPrevented || !form.matches(FORM + ", form[data-swap]")) return;
    event.preventDefault();
    if (!form.matches(FORM)) {
      const data = new FormData(form, event.submitter);
      const body = form.enctype === "multipart/form-data" ? data : new URLSearchParams(data);
      swapIn(form.action, { method: "POST", body });
      return;
    }
    if (!sent) send(form, event.submitter);
    else if (field() && field().value.trim()) {
      queue.push({ ...target(), text: field().value, waits: false });
      field().value = "";
      save();
      showForeseen();
    }
  }

  async function send(form, submitter) {
    const body = new URLSearchParams(new FormData(form, submitter));
    const main = document.getElementById("main");
    sent = { key: card(), text: body.get("value") || "", error: false };
    complain(false);
    if (field()) {
      field().value = "";
      showForeseen();
    } else {
      form.setAttribute("aria-busy", "true");
    }
    try {
      const answer = await fetch(form.action, { method: "POST", body, headers: swap.AS_FORM });
      if (answer.status === 401) {
        failed();
        tell(await answer.text());
      } else await arrive(answer, main);
    } catch {
      failed();
    }
  }

  // The answer did not come: all stays as it was typed, and can be sent again as the same entry.
  function failed() {
    const typed = field();
    if (typed) hold(target(), typed.value);
    queue.forEach((each) => { each.waits = true; });
    save();
    if (typed) {
      typed.value = sent.text;
      typed.defaultValue = "";
      showPlace();
    }
    document.querySelectorAll("#main [aria-busy]").forEach((each) => each.removeAttribute("aria-busy"));
    sent = null;
    complain(true);
    showHeld();
  }

  // Signed out under an open form: it is said above, and all stays as it was typed.
  function tell(piece) {
    complain(false);
    document.getElementById("notices").innerHTML = piece;
  }

  let place = null; // the heading as the page came

  function keepPlace() {
    const heading = document.getElementById("entry-place");
    place = heading && Array.from(heading.childNodes, (node) => node.cloneNode(true));
  }

  function showPlace() {
    const heading = document.getElementById("entry-place");
    if (heading && place) heading.replaceChildren(...place.map((node) => node.cloneNode(true)));
  }

  function complain(loud) {
    const words = document.getElementById("not-kept");
    if (words) words.hidden = !loud;
  }

  async function arrive(answer, main) {
    const whole = new DOMParser().parseFromString(await answer.text(), "text/html");
    const address = answer.headers.get("Page-Address") || answer.url;
    const fits = swap.isFit(whole) || (!answer.ok && whole.getElementById("main"));
    if (fits) await swap.fetchParts(whole);
    const typing = target();
    const text = field() ? field().value : "";
    sent = null;
    if (!main.isConnected) { // another page was gone to meanwhile
      queue.forEach((each) => { each.waits = true; });
      save();
      return;
    }
    if (!fits) {
      hold(typing, text);
      save();
      location.assign(address); // signed out, or something else than the field book
      return;
    }
    history.replaceState(null, "", address); // loaded anew, the same card comes
    swap.put(whole);
    document.dispatchEvent(new CustomEvent("htmx:afterSwap"));
    keepPlace();
    settle(typing, text);
  }

  // Give the card that came what was typed for it, and what is still being typed its place.
  function settle(typing, text) {
    const here = card();
    const at = here ? queue.findIndex(({ key }) => key === here) : -1;
    const foreseen = at === 0 || (!queue.length && typing && typing.key === here);
    if (!foreseen) queue.forEach((each) => { each.waits = true; });
    const given = at >= 0 && field() ? queue.splice(at, 1)[0] : null;
    if (given) field().value = given.text;
    if (given && !given.waits) send(field().form);
    if (text) {
      const fits = field() && (sent ? target().key : !given && here) === typing.key && typing.key;
      if (fits) field().value = text;
      else hold(typing, text);
    }
    save();
    showHeld();
    focusField();
  }

  function focusField() {
    const typed = field();
    if (typed) {
      typed.focus({ preventScroll: true });
      typed.setSelectionRange(typed.value.length, typed.value.length);
    } else if (swap.isIdle()) {
      swap.focusHeading();
    }
  }

  // ---- other forms of a card: what changes is swapped, not the page

  async function swapIn(url, how) {
    const main = document.getElementById("main");
    if (sent || main.hasAttribute("aria-busy")) return;
    main.setAttribute("aria-busy", "true");
    try {
      const answer = await fetch(url, { ...how, headers: swap.AS_FORM });
      if (answer.status === 401) {
        main.removeAttribute("aria-busy");
        tell(await answer.text());
        return;
      }
      await arrive(answer, main);
      scrollTo(0, 0);
    } catch {
      main.removeAttribute("aria-busy");
      complain(true);
    }
  }

  // ---- keys that come where no field has the focus

  function onKey(event) {
    if (!swap.isIdle() || event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
    const typed = field();
    if (typed) {
      if (KEYS.test(event.key)) focusField(); // the key itself follows into the field
      return;
    }
    const last = queue[queue.length - 1];
    if (KEYS.test(event.key)) typeOn(event.key);
    else if (event.key === "Enter" && last?.open) last.open = false;
    else return;
    event.preventDefault();
    save();
    showHeld();
  }

  // An instrument sends on while the page shows what is wrong with an earlier reading.
  function typeOn(key) {
    const last = queue[queue.length - 1];
    if (last?.open) last.text += key;
    else if (key !== " ") queue.push({ ...following(last ? last.key : card()), text: key, waits: true, open: true });
  }

  // ---- begin

  function begin() {
    if (store !== storeOfOpening()) {
      store = storeOfOpening();
      queue = load();
    }
    keepPlace();
    settle(null, "");
  }

  function forget({ target: pressed }) {
    if (pressed.id !== "forget-held") return;
    queue = [];
    save();
    showHeld();
  }

  window.addEventListener("pagehide", () => {
    if (sent && field()) hold(target(), field().value);
    save();
  });
  // What was typed and not kept waits for its place.
  document.addEventListener("swap:leave", () => {
    const title = document.getElementById("entry-place")?.lastChild.textContent ?? "";
    if (field()) hold({ key: card(), title }, field().value);
    save();
  });
  // A half-filled moment in a fold: the browser says so only where it can be seen.
  document.addEventListener("invalid", ({ target }) => {
    const fold = target.closest("details");
    if (fold) fold.open = true;
  }, true);
  document.addEventListener("submit", onSubmit);
  document.addEventListener("keydown", onKey);
  document.addEventListener("click", forget);
  document.addEventListener("htmx:afterSwap", ({ detail }) => { if (detail) begin(); }); // by another form
  begin();
})();
