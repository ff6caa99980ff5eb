// Finds elements as people and screen readers do: by role and name (WAI-ARIA 1.2, HTML-AAM, as far
// as the pages go), by label, by text. `steps` is a list of [kind, what]; returns the elements.
function find(steps) {
  const ROLES = {
    article: "article", button: "button, input[type=submit], [role=button]", checkbox: "input[type=checkbox]",
    columnheader: "thead th, th[scope=col]", definition: "dd", group: "details, fieldset, [role=group]",
    heading: "h1, h2, h3, h4", img: "img:not([alt='']), [role=img]", link: "a[href]", listitem: "li",
    main: "main", navigation: "nav", radio: "input[type=radio]", region: "section[aria-labelledby], section[aria-label]",
    row: "tr", status: "[role=status], output", alert: "[role=alert]", strong: "strong", table: "table",
    textbox: "input:not([type]), input[type=text], textarea",
  };
  const NAMED_BY_CONTENT = ["button", "columnheader", "heading", "link", "listitem", "row"];
  const plain = (text) => text.replace(/\s+/g, " ").trim();

  function isShown(element) {
    for (let at = element; at; at = at.parentElement) {
      const folded = at.parentElement && at.parentElement.closest("details:not([open])");
      if (folded && at.parentElement === folded && at.tagName !== "SUMMARY") return false;
      const style = getComputedStyle(at);
      if (at.hidden || style.display === "none" || (at === element && style.visibility === "hidden")) return false;
    }
    return true;
  }

  // The text of an element as it is read out: pictures by their alt, blocks apart from each other.
  function content(node) {
    if (node.nodeType === Node.TEXT_NODE) return node.data;
    if (node.nodeType !== Node.ELEMENT_NODE || node.getAttribute("aria-hidden") === "true") return "";
    if (node.tagName === "IMG") return " " + node.alt + " ";
    if (["INPUT", "TEXTAREA", "SELECT", "SCRIPT", "STYLE"].includes(node.tagName)) return "";
    const inner = Array.from(node.childNodes, content).join("");
    return getComputedStyle(node).display === "inline" ? inner : " " + inner + " ";
  }

  function name(element, role) {
    const by = (element.getAttribute("aria-labelledby") || "").split(" ").map((id) => document.getElementById(id));
    if (by.some(Boolean)) return by.filter(Boolean).map(content).join(" ");
    if (element.getAttribute("aria-label")) return element.getAttribute("aria-label");
    if (element.labels && element.labels.length) return Array.from(element.labels, content).join(" ");
    if (element.tagName === "FIELDSET") return content(element.querySelector("legend") || new Text(""));
    if (element.tagName === "IMG") return element.alt;
    return NAMED_BY_CONTENT.includes(role) ? content(element) : "";
  }

  // wanted: {text} anywhere in it, {text, exact}, or {pattern}.
  function fits(text, wanted) {
    if (!wanted) return true;
    if (wanted.pattern !== undefined) return new RegExp(wanted.pattern).test(plain(text));
    if (wanted.exact) return plain(text) === plain(wanted.text);
    return plain(text).toLowerCase().includes(plain(wanted.text).toLowerCase());
  }

  const inside = (from, selector) => from.flatMap((scope) => Array.from(scope.querySelectorAll(selector)));
  const says = (element, wanted) => fits(element.textContent, wanted);

  const KINDS = {
    css: (from, selector) => inside(from, selector),
    role: (from, { role, wanted, level }) => inside(from, ROLES[role])
      .filter((each) => (!level || each.tagName === "H" + level) && isShown(each) && fits(name(each, role), wanted)),
    label: (from, wanted) => inside(from, "input, select, textarea").filter((each) => fits(name(each, ""), wanted)),
    text: (from, wanted) => inside(from, "*")
      .filter((each) => says(each, wanted) && !Array.from(each.children).some((child) => says(child, wanted))),
    containing: (from, wanted) => from.filter((each) => says(each, wanted)),
    having: (from, inner) => {
      const found = run(inner);
      return from.filter((each) => found.some((one) => each !== one && each.contains(one)));
    },
    nth: (from, at) => from.slice(at < 0 ? from.length + at : at).slice(0, 1),
  };

  function run(list) {
    let found = [document];
    for (const [kind, what] of list) found = Array.from(new Set(KINDS[kind](found, what)));
    return found;
  }

  return { found: run(steps), isShown, plain };
}
