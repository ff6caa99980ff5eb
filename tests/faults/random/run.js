// Carries out a schedule on two phones and tells what came of it.
const PATIENCE = 30000; // milliseconds for one action: whatever takes longer hangs
const ROUNDS = 4; // looks of each phone at the office within which all must have arrived
const COPY = 2; // the phone that may be made as a copy of another
const MOMENTS = ["begun", "kept", "asked", "answered", "none"]; // at which a phone may die while it is paired anew
const CREWS = ["op-1,inga,otto", "op-2,inga,otto"]; // as they are in the beginning and in the end
const ROOT = "/field/o/";

// A generator of numbers in 0..1 from a seed (mulberry32): the same schedule has the same chance.
function chance(seed) {
  let at = seed >>> 0;
  return () => {
    at = (at + 0x6d2b79f5) >>> 0;
    let x = Math.imul(at ^ (at >>> 15), at | 1);
    x ^= x + Math.imul(x ^ (x >>> 7), x | 61);
    return ((x ^ (x >>> 14)) >>> 0) / 2 ** 32;
  };
}

const within = (promise, what, patience = PATIENCE) => Promise.race([
  promise,
  new Promise((_, reject) => setTimeout(() => reject(new Error("no end: " + what)), patience)),
]);

class Run {
  constructor(kit, office) {
    this.office = office; // (command) -> Promise: what only the machine can do to the office
    this.phones = [0, 1, COPY].map((at) => new Phone(kit, "phone " + at, () => this.random()));
    this.templates = [];
  }

  get present() {
    return this.phones.filter(({ off }) => !off);
  }

  // Pair both phones for good, and keep what their books hold then.
  async prepare(codes) {
    this.random = chance(1);
    await this.phones[COPY].worker().parts.book.open();
    for (const [at, phone] of this.phones.slice(0, COPY).entries()) {
      await phone.worker().parts.pairing.pair(codes[at], phone.name, () => {});
      await phone.worker().parts.vm.start();
      await phone.worker().parts.sync.run("asked");
      this.templates.push(await dump(phone));
    }
  }

  async schedule({ seed, actions }) {
    this.random = chance(seed);
    for (const phone of this.phones) phone.reset();
    this.phones[COPY].off = true;
    this.moved = false;
    await fetch("/as-at-the-start", { cache: "no-store" });
    await Promise.all(this.templates.map((template, at) => fill(this.phones[at], template)));
    for (const [at, action] of actions.entries()) {
      await within(this.act(action), "action " + at + " " + JSON.stringify(action));
    }
    const rounds = await within(this.reconnect(), "reconnecting", 3 * PATIENCE);
    for (const phone of this.present) await phone.worker().parts.vm.start();
    return JSON.stringify({ rounds, phones: this.report() });
  }

  async act(action) {
    const phone = this.phones[action.phone];
    if (phone?.off) return phone.count("idle");
    if (action.do in ENTRIES) await this.enter(phone, action);
    else await ACTIONS[action.do].call(this, phone, action);
    if (phone && !action.rush) await this.rest(phone);
  }

  // Wait until nothing runs on a phone, or what runs waits for the line.
  async rest(phone) {
    while (phone.busy.size && !phone.line.stalled.length) {
      await Promise.race([Promise.all(phone.busy), phone.line.block()]);
    }
  }

  // As the worker's script does: answer, then send what was written, without making anybody wait.
  async enter(phone, action) {
    const entry = await ENTRIES[action.do](phone, action);
    if (!entry) return phone.count("idle");
    phone.count("entry " + action.do);
    const kept = this.post(phone, entry);
    return action.rush ? void phone.aside(kept) : kept;
  }

  async post(phone, entry) {
    phone.sent.add(entry.form.id);
    phone.last = entry;
    let answer = null;
    for (let tries = 0; !answer && tries < 3; tries += 1) {
      const worker = phone.worker();
      answer = await Promise.race([answered(worker, entry.path, entry.form, entry.photo), worker.dead]);
      if (!answer) phone.count("form sent again"); // as browsers do when a worker dies under a form
      if (!answer && phone.browserDied) return; // nobody is there to send it again
    }
    if (answer) await this.look(phone, entry, answer);
  }

  async look(phone, entry, { response, wrote, worker }) {
    if (response.status >= 500) phone.faults.push({ what: "a page of a bug", entry, says: await response.text() });
    if (response.status === 303) await this.tell(phone, entry.form.id);
    if (wrote && !worker.gone) phone.aside(worker.parts.talk.changed().then(() => worker.parts.sync.run("entry")));
  }

  // The person is told that it is saved: from here on it may never be lost.
  async tell(phone, id) {
    const { event } = await dump(phone, (stores) => ({ event: stores.events.get(id) }));
    if (event) phone.told.push(event.event);
    else phone.faults.push({ what: "told as saved, and not in the book", id });
  }

  // Network, office and phones are back: look at the office until all has arrived and is alike.
  // Whoever looked last has taken what the other had sent before; the other may have to look again.
  async reconnect() {
    const { present } = this;
    for (const phone of present) phone.line.heal();
    await this.settle();
    for (const phone of present) await phone.line.arrive();
    if (this.moved) await this.giveBack();
    for (let round = 1; round <= ROUNDS * present.length; round += 1) {
      await this.visit(present[round % present.length]);
      if (round >= present.length && (await this.isDone())) return round;
    }
    return 0;
  }

  // What was entered for an opening that was taken from somebody arrives all the same; then all
  // have all again, so that they can be compared.
  async giveBack() {
    for (const phone of this.present) {
      let outbox = [];
      for (let visits = 0; !visits || (outbox.length && visits < ROUNDS); visits += 1) {
        await this.visit(phone);
        ({ outbox } = await dump(phone));
      }
      if (outbox.length) phone.faults.push({ what: "not sent, as the opening was withdrawn", outbox });
    }
    for (const crew of CREWS) await fetch("/crew?" + crew, { cache: "no-store" });
  }

  // A phone comes to the office: it sends and takes; where its book was copied it is paired anew.
  async visit(phone) {
    await phone.worker().parts.sync.run("asked");
    await this.settle();
    const { it } = await dump(phone, ({ meta }) => ({ it: meta.get("phone") }));
    if (it.forked) await this.pairAnew(phone, it.person);
  }

  // At the first try it may die in the middle of it. The page that is shown afterwards asks to send.
  async pairAnew(phone, person) {
    const code = await (await fetch("/code?" + person.id, { cache: "no-store" })).text();
    if (!phone.count("paired anew")) phone.fuse = { where: MOMENTS[Math.floor(this.random() * 5)], count: 1 + Math.floor(this.random() * 4) };
    const worker = phone.worker();
    await Promise.race([worker.parts.pairing.pair(code, phone.name, () => {}), worker.dead]);
    await this.settle();
    await phone.worker().parts.sync.run("asked");
    await this.settle();
  }

  async settle() {
    for (const phone of this.present) {
      phone.fuse = null;
      while (phone.busy.size) await Promise.all(phone.busy);
    }
  }

  async isDone() {
    this.books = await Promise.all(this.present.map((phone) => dump(phone)));
    const [some, ...others] = this.books.map(({ events }) => events.filter(({ lost }) => !lost).map(({ id }) => id).join());
    const of = (meta, name) => meta.find(({ key }) => key === name).value;
    return others.every((each) => each === some)
      && this.books.every(({ outbox, photos, meta }) => !outbox.length && photos.every(({ sent }) => sent)
        && !of(meta, "news").trouble && !of(meta, "phone").forked);
  }

  // What the books held when all had arrived, or at the last look: nothing was done on a phone since.
  report() {
    const lives = this.books.map(({ events }) => live(events));
    const texts = lives.map((each) => JSON.stringify(each));
    const folds = new Map();
    return this.present.map((phone, at) => {
      if (!folds.has(texts[at])) folds.set(texts[at], folded(phone.kit, phone.worker().machine.made, lives[at]));
      return reported(phone, this.books[at], folds.get(texts[at]));
    });
  }
}

function reported(phone, { events, outbox, photos, meta }, fold) {
  const { devices, device } = meta.find(({ key }) => key === "phone").value;
  return {
    devices: devices || [device], outbox, told: phone.told, sent: [...phone.sent], faults: phone.faults, counts: phone.counts,
    folded: fold, news: meta.find(({ key }) => key === "news").value, photos: photos.map(({ sha256, sent }) => ({ sha256, sent })),
    events: events.map(({ event, lost }) => ({ event, lost: Boolean(lost) })),
  };
}

// Ask the worker in charge for a page, or send it a form; null where it dies meanwhile.
async function answered(worker, path, form, photo) {
  const url = new URL(path, location.origin);
  const how = { referrer: location.origin + "/field" };
  if (form) Object.assign(how, { method: "POST", body: body(form, photo) });
  const made = await worker.parts.act.answer(new Request(url, how), url);
  return { ...made, worker };
}

function body(form, photo) {
  if (!photo) return new URLSearchParams(form);
  const data = new FormData();
  for (const [name, value] of Object.entries(form)) data.set(name, value);
  data.set("photo", photo);
  return data;
}

// The page at a path: loaded anew, or as it was when this phone last saw it, form and all.
async function page(phone, path, reload) {
  if (!reload && phone.pages.has(path)) return phone.pages.get(path);
  const worker = phone.worker();
  const answer = await Promise.race([answered(worker, path), worker.dead]);
  if (!answer) return null;
  const html = await answer.response.text();
  if (answer.response.status >= 500) phone.faults.push({ what: "a page of a bug", path, says: html });
  phone.pages.set(path, html);
  return html;
}

// A form as the browser would send it, with what a person fills in; null: there is none on the page.
// Where the schedule asks for no page it is put together as the page would have it: that is quicker.
async function form(phone, path, { reload, page: real, opening }, act, is, filled = {}) {
  if (!real) return { path, form: await handmade(phone, opening, reload, { form: act, act, ...is, ...filled }) };
  const html = await page(phone, path, reload);
  if (!html) return null;
  const forms = Array.from(new DOMParser().parseFromString(html, "text/html").forms);
  const wanted = Object.entries({ act, ...is });
  const found = forms.find((each) => wanted.every(([name, value]) => each.elements[name]?.value === value));
  if (!found) return null;
  const given = Object.fromEntries([...new FormData(found)].filter(([, value]) => typeof value === "string"));
  return { path, form: { ...given, ...filled } };
}

async function handmade(phone, opening, reload, fields) {
  if (reload || !(opening in phone.seen)) phone.seen[opening] = await heads(phone, opening);
  return { id: phone.worker().parts.ids.uuid7(), seen: phone.seen[opening], ...fields };
}

async function heads(phone, opening) {
  const { events } = await dump(phone, ({ events: store }) => ({ events: store.index("opening").getAll(opening) }));
  const lasts = {};
  for (const { event, lost } of events) if (!lost) lasts[event.device] = Math.max(lasts[event.device] || 0, event.n);
  return Object.entries(lasts).map((head) => head.join(":")).join(" ");
}

// The events that a phone's pages are made of, by opening.
function live(events) {
  const out = {};
  for (const { opening, event, lost } of events) if (!lost) (out[opening] ??= []).push(event);
  return out;
}

// The core's own verdict on what a phone holds: of each step what a sign-off would cover, and where
// its sign-off stands. As invariant.py has it of what the office holds.
function folded({ procedures }, machine, lives) {
  const out = {};
  for (const [opening, events] of Object.entries(lives)) {
    machine.globals.set("asked", JSON.stringify({ events, procedures }));
    machine.runPython("fold" in machine ? "answer = fold(asked)" : FOLD);
    machine.fold = true;
    out[opening] = JSON.parse(machine.globals.get("answer"));
  }
  return out;
}

const FOLD = `
import json
from app.core.record import gate
from app.core.record.state import State
def fold(asked):
    data = json.loads(asked)
    state = State(data["events"], data["procedures"])
    out = []
    for step in state.steps:
        sign = gate.sign_of(state, step)
        stands = "" if sign is None else " ".join([sign.event["id"], str(sign.true), str(sign.holds)])
        out.append([step.key, gate.cover_of(state, step)["digest"], stands])
    return json.dumps(out)
answer = fold(asked)
`;

// A phone's book over a connection of our own.
async function connect(phone) {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(phone.name + " sillbook");
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

const STORES = ["meta", "openings", "procedures", "events", "outbox", "photos"];

async function dump(phone, ask = null) {
  phone.db ??= await connect(phone);
  return new Promise((resolve, reject) => {
    const tx = phone.db.transaction(STORES);
    const stores = Object.fromEntries(STORES.map((name) => [name, tx.objectStore(name)]));
    const asked = ask ? ask(stores) : { keys: stores.meta.getAllKeys(), ...Object.fromEntries(STORES.map((name) => [name, stores[name].getAll()])) };
    tx.onabort = () => reject(tx.error);
    tx.oncomplete = () => {
      const { keys, ...found } = Object.fromEntries(Object.entries(asked).map(([name, { result }]) => [name, result]));
      if (keys) found.meta = found.meta.map((value, at) => ({ key: keys[at], value }));
      resolve(found);
    };
  });
}

async function fill(phone, template) {
  phone.db ??= await connect(phone);
  return new Promise((resolve, reject) => {
    const tx = phone.db.transaction(STORES, "readwrite");
    tx.oncomplete = () => resolve();
    tx.onabort = () => reject(tx.error);
    for (const name of STORES) tx.objectStore(name).clear();
    for (const { key, value } of template.meta) tx.objectStore("meta").put(value, key);
    for (const name of STORES.slice(1)) for (const value of template[name]) tx.objectStore(name).put(value);
  });
}

function breakWith(breaks) {
  kit.run = running(kit.scripts, breaks);
}

async function begin(office, codes, procedures) {
  globalThis.kit = await unpack();
  kit.procedures = procedures;
  globalThis.run = new Run(kit, office);
  await run.prepare(codes);
}
