// What the interpreter knows of the book already, so that a request tells it only what is new.
// The book bears an edition that changes with everything pages are made of (book.stir); while it is the
// one we know, nothing of it is read twice. In doubt all is told anew.
const known = (() => {
  const TRIES = 3;
  // {machine, edition, list: ids of the openings, counts: opening -> events told, late: events to tell}
  let held = null;

  // Read what the core needs for a request and does not know yet, and call it: {made, edition}.
  // All of it in one transaction; a failure forgets what was known.
  async function ask(tx, plain) {
    for (let tries = 0; tries <= TRIES; tries += 1) {
      const { made, edition } = await tryOnce(tx, plain);
      if (!made.again) return { made, edition };
    }
    throw new Error("the interpreter does not take the book");
  }

  async function tryOnce(tx, plain) {
    const store = (name) => tx.objectStore(name);
    const meta = (name) => store("meta").get(name);
    const found = await book.all({
      phone: meta("phone"), news: meta("news"), edition: meta("edition"), truths: meta("truths"), pins: meta("pins"),
      unsent: store("outbox").count(), photos: store("photos").index("sent").getAllKeys(0),
    });
    const { edition, truths } = found;
    const basis = isCurrent(edition) ? held : null;
    const news = { events: {}, counts: {} };
    if (!basis) {
      const all = await book.all({
        people: meta("people"), instruments: meta("instruments"), openings: store("openings").getAll(), procedures: store("procedures").getAll(),
      });
      Object.assign(news, anew({ ...all, truths }));
    }
    const request = { ...plain, ...act.whose(found) };
    const list = basis ? basis.list : news.openings.map(({ id }) => id);
    const asked = vm.call("needs", { request });
    if (asked.cards) news.summaries = summaries(await book.result(store("meta").getAll(book.SUMMARIES)));
    const wanted = (asked.openings ?? list).filter((id) => !asked.cards || !(id in news.summaries));
    const missing = wanted.filter((id) => !basis || !basis.counts.has(id));
    const events = await book.all(Object.fromEntries(missing.map((id) => [id, store("events").index("opening").getAll(id)])));
    if (basis && (basis !== held || !isCurrent(edition))) return { made: { again: true } }; // it turned meanwhile
    return { made: tell(request, news, { basis, edition, list, wanted, events }), edition };
  }

  function isCurrent(edition) {
    return held !== null && Boolean(edition) && held.edition === edition && held.machine === vm.number();
  }

  function anew({ people, instruments, openings, procedures, truths }) {
    openings.sort((a, b) => a.place - b.place); // as the office lists them
    return {
      anew: true, people: people || {}, instruments: instruments || [], openings,
      procedures: Object.fromEntries(procedures.map(({ key, procedure }) => [key, procedure])),
      truths: truths?.version === VERSION ? truths.known : {},
    };
  }

  // Of this version's making only: another might say it otherwise.
  function summaries(told) {
    return Object.fromEntries(told.filter(({ version }) => version === VERSION).map(({ id, summary }) => [id, summary]));
  }

  // At once, from here on: what is told is known.
  function tell(request, news, { basis, edition, list, wanted, events }) {
    held = basis ?? { machine: vm.number(), edition, list, counts: new Map(), late: [] };
    for (const event of held.late) (news.events[event.opening] ??= []).push(event);
    for (const opening of Object.keys(events)) {
      if (held.counts.has(opening)) continue; // told by another request meanwhile
      news.events[opening] = live(events[opening]);
      held.counts.set(opening, 0);
    }
    for (const [opening, list] of Object.entries(news.events)) held.counts.set(opening, held.counts.get(opening) + list.length);
    held.late = [];
    for (const opening of wanted) news.counts[opening] = held.counts.get(opening);
    const now = held;
    held = null; // unless all goes well
    const made = vm.call("handle", { request, news });
    if (!made.again) held = now;
    return made;
  }

  // What the office no longer has and never came from here is left out, as it is at the office.
  const live = (records) => records.filter((record) => !record.lost).map((record) => record.event);

  // These events came to the book, and nothing else changed between the two editions.
  function note(before, after, events) {
    if (held === null || held.edition !== before) return;
    held.edition = after;
    held.late.push(...events.filter(({ opening }) => held.counts.has(opening)));
  }

  // Keep what the core worked out; of the book as it was then, or not at all.
  function keep({ truths, summaries: made }, edition) {
    if (!edition || !Object.keys({ ...truths, ...made }).length) return Promise.resolve();
    return book.transact("beside", async (tx) => {
      const meta = tx.objectStore("meta");
      const found = await book.all({ edition: meta.get("edition"), truths: meta.get("truths") });
      const before = found.truths?.version === VERSION ? found.truths.known : {};
      meta.put({ version: VERSION, known: { ...before, ...truths } }, "truths");
      if (found.edition !== edition) return;
      for (const [id, summary] of Object.entries(made)) meta.put({ version: VERSION, id, summary }, "summary:" + id);
    });
  }

  return { ask, note, keep };
})();
