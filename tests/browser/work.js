// A person's work by the page's own forms: each is fetched, filled in and sent as a browser would.
const plain = (node) => (node?.textContent || "nothing").replace(/\s+/g, " ").trim();

async function read(answer) {
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  if (!answer.ok) throw new Error(answer.status + " at " + answer.url + ": " + plain(page.querySelector("#main")));
  return page;
}

const get = async (path) => read(await fetch(path));

async function send(form, filled = {}) {
  const body = new URLSearchParams(new FormData(form));
  for (const [name, value] of Object.entries(filled)) body.set(name, value);
  return read(await fetch(form.getAttribute("action"), { method: "POST", body }));
}

function says(page, where, words) {
  const said = plain(page.querySelector(where));
  if (!said.includes(words)) throw new Error("not " + words + " but " + said);
}

// The wall time here so many minutes ago, as a person types it.
function minutesAgo(count) {
  const here = new Date(Date.now() - count * 60000 - new Date().getTimezoneOffset() * 60000);
  return here.toISOString().slice(0, 16);
}

// Each spot is [what is typed, what a tapped button sends, words of the place, minutes since]: the page must ask
// for that place, and say afterwards that it is kept.
async function enter([path, spots, way]) {
  let page = await get(path);
  if (!page.querySelector("#entry-place")) {
    const labels = Array.from(page.querySelectorAll("form.ways label"));
    const chosen = labels.find((label) => plain(label).includes(way)).querySelector("input");
    page = await send(chosen.form, { way: chosen.value });
  }
  for (const [typed, answer, words, ago, sure] of spots) {
    says(page, "#entry-place", words);
    const at = ago ? { at: minutesAgo(ago) } : {};
    const more = sure ? { ...at, sure: "yes" } : at; // as the form that asks back would send
    page = await send(page.querySelector("section.entry form"), { value: answer || typed, ...more });
    says(page, "#notices", words);
  }
}

// A whole step: its tasks ticked, its decisions {id: choice} made, each point [title, spots] measured, signed off.
async function step([path, { points, decisions }, way]) {
  let page = await get(path);
  const open = () => page.querySelector('button.tick[aria-pressed="false"]');
  while (open()) page = await send(open().form);
  const bare = () => page.querySelector("div.photos:not(:has(figure)):not(:has(.note)) form:has(input[value=no-photo])");
  while (bare()) page = await send(bare(), { words: "No light here" });
  for (const [id, choice] of Object.entries(decisions)) {
    page = await send(page.querySelector("#decision-" + id + " form"), { choice });
  }
  for (const [title, spots] of points) {
    const titles = Array.from(page.querySelectorAll("#main .row-title"));
    const link = titles.find((each) => plain(each) === title).closest("a");
    await enter([link.getAttribute("href"), spots, way]);
  }
  page = await get(path);
  if (page.querySelector("#signing .bars")) throw new Error(plain(page.querySelector("#signing .bars")));
  page = await send(page.querySelector("#signing form"), { confirm: "yes" });
  says(page, "h1", "The opening and its steps");
}
