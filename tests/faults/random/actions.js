// What a schedule may ask for. An entry gives {path, form, photo?} or null where there is nothing to send.
const step = ({ opening, step: id }) => ROOT + opening + "/step/" + (id || "A");

const ENTRIES = {
  reading: (phone, action) => form(
    phone, ROOT + action.opening + "/point/gap?place=" + action.place, action, "keep",
    { place: action.place }, { value: action.value, sure: "yes" },
  ),
  panel: (phone, action) => form(
    phone, ROOT + action.opening + "/point/reveal/" + action.panel + "?place=" + action.place, action, "keep",
    { place: action.place }, { value: action.value, sure: "yes" },
  ),
  tick: (phone, action) => form(phone, step(action), action, "tick", { task: TASKS[action.step] }, { done: action.done }),
  decide: (phone, action) => form(
    phone, step(action), action, "decide", { decision: "go" }, { choice: action.choice, name: "R. Fenn" },
  ),
  adjust: (phone, action) => form(phone, step(action), action, "adjust", { adjustment: "moved" }),
  // Only the page knows what it covers, and whether it may be signed.
  sign: (phone, action) => form(phone, step(action), { ...action, page: true }, "sign", {}, { confirm: "yes" }),
  strike,
  photo,
  again,
};
const TASKS = { A: "seen", C: "swept" };

// Any live reading that this phone knows of, its own or another's.
async function strike(phone, action) {
  const { events } = await dump(phone);
  const isReading = ({ event, lost }) => !lost && event.opening === action.opening && event.kind === "reading.taken";
  const readings = events.filter(isReading);
  if (!readings.length) return null;
  const path = ROOT + action.opening + "/reading/" + readings[action.which % readings.length].id;
  return form(phone, path, action, "strike", {}, { words: "mistyped" });
}

// Tapped twice, or back, edited and sent again: the same form, with what it said or something else.
async function again(phone, { edit }) {
  if (!phone.last) return null;
  const { value, done, ...rest } = phone.last.form;
  const more = { ...(value && { value: edit ? "7/8" : value }), ...(done && { done: edit ? "no" : done }) };
  return { ...phone.last, form: { ...rest, ...more } };
}

// A picture of one colour, so that each is another.
async function photo(phone, action) {
  const { colour } = action;
  const entry = await form(phone, step(action), action, "photo", { task: "shot" });
  if (!entry) return null;
  const canvas = new OffscreenCanvas(16, 12);
  const brush = canvas.getContext("2d");
  brush.fillStyle = colour;
  brush.fillRect(0, 0, 16, 12);
  const made = await canvas.convertToBlob({ type: "image/png" });
  return { ...entry, photo: new File([made], "camera.png", { type: "image/png" }) };
}

const ACTIONS = {
  line(phone, { fates }) {
    phone.line.fates.push(...fates);
  },
  away(phone) {
    phone.line.away = true;
  },
  back(phone) {
    phone.line.away = false;
  },
  "let go"(phone) {
    phone.line.release();
  },
  async arrive(phone) {
    await phone.line.arrive();
  },
  sync(phone, { why }) {
    const { sync } = phone.worker().parts;
    phone.aside(sync.run(why));
  },
  // Now, or when it comes to a moment for the so-manieth time.
  kill(phone, { where, count, browser }) {
    phone.browserDied = browser;
    if (where === "now") phone.kill(where);
    else phone.fuse = { where, count };
  },
  upgrade(phone) {
    phone.count("upgrade");
    phone.upgrade();
  },
  clock(phone, { seconds, zone }) {
    phone.count("clock");
    Object.assign(phone, { away: phone.away + seconds * 1000, zone });
  },
  // Another phone made of this one, as from a backup of it: the same key, chains and outbox.
  async copy(phone) {
    const copy = this.phones[COPY];
    if (!copy.off) return phone.count("idle");
    await fill(copy, await dump(phone));
    copy.off = false;
    phone.count("copied");
  },
  async crew(phone, { opening, people }) {
    this.moved = true;
    await fetch("/crew?" + [opening, ...people].join(), { cache: "no-store" }).catch(() => {});
  },
  async office(phone, { order }) {
    await this.office(order);
  },
  async "office enters"(phone, { opening }) {
    await fetch("/entry-at-the-office?" + opening, { cache: "no-store" }).catch(() => {});
  },
};
