// What the interpreter knows of the book already, so that a request tells it only what is new.
// The book bears a mark that changes with everything pages are made of (book.stir); while it is the
// one we know, nothing of it is read twice. In doubt all is told anew.
const known = (() => {
  const TRIES = 3;
  // {machine, mark, list: ids of the openings, counts: opening -> events told, late: events to tell}
  let held = null;

  // Read what the core needs for a request and does not know yet, call it, and then done(made, mark).
  // All of it in one transaction; a failure forgets what was known.
  function ask(tx, safely, plain, done, tries = TRIES) {
    const store = (name) => tx.objectStore(name);
    const meta = (name) => store("meta").get(name);
    const first = {
      phone: meta("phone"), news: meta("news"), mark: meta("mark"), truths: meta("truths"), pins: meta("pins"),
      unsent: store("outbox").count(), photos: store("photos").index("sent").getAllKeys(0),
    };
    book.all(first, safely, (found) => {
      const basis = isCurrent(found.mark) ? held : null;
      const whole = basis ? {} : {
        people: meta("people"), instruments: meta("instruments"), openings: store("openings").getAll(), procedures: store("procedures").getAll(),
      };
      book.all(whole, safely, (all) => {
        const request = { ...plain, ...act.whose(found) };
        const news = { events: {}, counts: {} };
        if (!basis) Object.assign(news, anew({ ...all, truths: found.truths }));
        const list = basis ? basis.list : news.openings.map(({ id }) => id);
        const asked = vm.call("needs", { request });
        const cards = asked.cards ? { told: store("meta").getAll(book.SUMMARIES) } : {};
        book.all(cards, safely, ({ told }) => {
          if (told) news.summaries = summaries(told);
          const wanted = (asked.openings ?? list).filter((id) => !told || !(id in news.summaries));
          const missing = wanted.filter((id) => !basis || !basis.counts.has(id));
          const requests = Object.fromEntries(missing.map((id) => [id, store("events").index("opening").getAll(id)]));
          book.all(requests, safely, (events) => {
            const turned = basis ? basis !== held || !isCurrent(found.mark) : false;
            const made = turned ? { again: true } : tell(request, news, { basis, mark: found.mark, list, wanted, events });
            if (!made.again) done(made, found.mark);
            else if (tries) ask(tx, safely, plain, done, tries - 1);
            else throw new Error("the interpreter does not take the book");
          });
        });
      });
    });
  }

  function isCurrent(mark) {
    return held !== null && Boolean(mark) && held.mark === mark && held.machine === vm.number();
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
  function tell(request, news, { basis, mark, list, wanted, events }) {
    held = basis ?? { machine: vm.number(), mark, list, counts: new Map(), late: [] };
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

  // These events came to the book, and nothing else changed between the two marks.
  function note(before, after, events) {
    if (held === null || held.mark !== before) return;
    held.mark = after;
    held.late.push(...events.filter(({ opening }) => held.counts.has(opening)));
  }

  // Keep what the core worked out; of the book as it was then, or not at all.
  function keep({ truths, summaries: made }, mark) {
    if (!mark || !Object.keys({ ...truths, ...made }).length) return Promise.resolve();
    return book.transact("beside", (tx, give, safely) => {
      const meta = tx.objectStore("meta");
      book.all({ mark: meta.get("mark"), truths: meta.get("truths") }, safely, (found) => {
        const before = found.truths?.version === VERSION ? found.truths.known : {};
        meta.put({ version: VERSION, known: { ...before, ...truths } }, "truths");
        if (found.mark !== mark) return;
        for (const [id, summary] of Object.entries(made)) meta.put({ version: VERSION, id, summary }, "summary:" + id);
      });
    });
  }

  return { ask, note, keep };
})();
