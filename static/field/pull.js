// Takes what is new at the office, page by page; the cursor moves with the data it speaks of.
const pull = (() => {
  const MOST_PAGES = 1000;

  async function take(phone, progress = () => {}) {
    for (let pages = 0; pages < MOST_PAGES; pages += 1) {
      const news = (await book.meta("news")) || {};
      const query = new URLSearchParams({ after: news.cursor || "", epoch: news.epoch || "" });
      const page = await sync.ask("/sync?" + query, phone, { method: "GET" });
      if (!isPage(page)) throw sync.trouble("not-sillbook");
      await keep(page);
      progress(page.events.length, page.more);
      if (!page.more) return agree(page);
    }
    throw sync.trouble("no-end");
  }

  function isPage(page) {
    return typeof page.epoch === "string" && typeof page.cursor === "string" && typeof page.more === "boolean"
      && ["events", "openings", "procedures", "withdrawn"].every((name) => Array.isArray(page[name]));
  }

  async function keep(page) {
    const hashes = await Promise.all(page.events.map(ids.hashOf)); // no transaction waits for these
    const stirred = await book.transact("beside", async (tx) => {
      const store = (name) => tx.objectStore(name);
      const requests = {
        news: store("meta").get("news"), phone: store("meta").get("phone"), openings: store("openings").getAll(),
        people: store("meta").get("people"), instruments: store("meta").get("instruments"), edition: store("meta").get("edition"),
        photos: store("photos").index("sent").getAllKeys(1),
      };
      for (const { id } of page.events) requests["event " + id] = store("events").get(id);
      for (const { body } of asides(page)) requests["event " + body.target] = store("events").get(body.target);
      for (const each of page.procedures) requests["procedure " + keyOf(each)] = store("procedures").get(keyOf(each));
      const held = await book.all(requests);
      const news = { round: 1, ...held.news };
      if (news.epoch && news.epoch !== page.epoch) {
        await again(tx, news, page.epoch);
        held.anew = true;
      }
      write(store, page, hashes, held, news);
      await sendAgain(store, held.photos.filter((sha256) => page.photos_awaited?.includes(sha256)));
      return stir(tx, page, held);
    });
    if (stirred) known.note(stirred.before, stirred.after, stirred.events);
  }

  // Photos that the office had once, and lacks.
  async function sendAgain(store, names) {
    const photos = store("photos");
    const found = await book.all(Object.fromEntries(names.map((name) => [name, photos.get(name)])));
    for (const photo of Object.values(found)) photos.put({ ...photo, sent: 0 });
  }

  const asides = (page) => page.events.filter(({ kind }) => kind === "entry.set-aside");

  // Of an own entry that was held the receipt said no more than that: here it says that it had no place.
  function hearAside(store, page, held, news) {
    for (const { body } of asides(page)) {
      const record = held["event " + body.target];
      if (held.anew || !record?.own || !record.sent.startsWith("held")) continue;
      store("events").put({ ...record, sent: "set-aside " + body.why });
      held.phone = offer.noPlace([body], held.phone, news);
    }
  }

  const keyOf = (procedure) => procedure.id + "@" + procedure.version;

  // Most pages bring nothing that a page of the field is made of anew: our own entries, the same list.
  function stir(tx, page, held) {
    const events = page.events.filter(({ id }) => !held["event " + id] || held["event " + id].lost);
    const same = isSame(held.openings, page.openings.map((opening, place) => ({ ...opening, place })))
      && isSame([held.people, held.instruments], [page.people, page.instruments || []])
      && page.procedures.every((each) => isSame([held["procedure " + keyOf(each)]?.procedure], [each]));
    if (!same) book.stir(tx);
    else if (events.length) return { before: held.edition, after: book.stir(tx, events.map(({ opening }) => opening)), events };
    return null;
  }

  function isSame(some, others) {
    const texts = (things) => things.map((thing) => JSON.stringify(thing)).sort().join();
    return texts(some) === texts(others);
  }

  // What is held is never written over: where the office tells an entry otherwise than before, its hash
  // of it is noted beside ours.
  function write(store, page, hashes, held, news) {
    const own = held.phone.devices || [held.phone.device];
    page.events.forEach((event, at) => {
      const record = held["event " + event.id] || {
        id: event.id, opening: event.opening, device: event.device, event, hash: hashes[at],
        own: own.includes(event.device), sent: "stored",
      };
      const sent = held.anew && record.own ? "" : record.sent; // it was just put up to be offered again
      const otherwise = record.hash === hashes[at] ? "" : hashes[at];
      store("events").put({ ...record, sent, otherwise, round: news.round, lost: false });
    });
    hearAside(store, page, held, news);
    for (const procedure of page.procedures) {
      store("procedures").put({ key: keyOf(procedure), procedure });
    }
    const listed = page.openings.map(({ id }) => id);
    for (const { id } of held.openings) if (!listed.includes(id)) store("openings").delete(id);
    page.openings.forEach((opening, place) => store("openings").put({ ...opening, place }));
    const person = page.persons.find(({ id }) => id === held.phone.person.id) || page.person;
    const secret = page.secret || held.phone.secret || "";
    store("meta").put({ ...held.phone, person, persons: page.persons, secret }, "phone");
    store("meta").put(page.people, "people");
    store("meta").put(page.instruments || [], "instruments");
    const accepted = page.accepted || news.accepted || [];
    store("meta").put({ ...news, cursor: page.cursor, epoch: page.epoch, trouble: "", accepted }, "news");
  }

  // The office has another past than the one we spoke of: offer again all that is our own, and
  // take everything anew under the next round.
  async function again(tx, news, epoch) {
    const store = (name) => tx.objectStore(name);
    const round = (news.round || 1) + 1;
    Object.assign(news, { round, epoch, cursor: "" });
    store("meta").put(news, "news");
    const { events, places, photos } = await book.all({
      events: store("events").getAll(), places: store("outbox").getAll(), photos: store("photos").getAll(),
    });
    const waiting = new Set(places.map(({ id }) => id));
    putUp(store, events.filter((record) => record.own && !waiting.has(record.id)));
    for (const photo of photos) store("photos").put({ ...photo, sent: 0 });
  }

  // Back into the outbox, each chain in its order.
  function putUp(store, own) {
    own.sort((a, b) => (a.opening < b.opening ? -1 : a.opening > b.opening ? 1 : a.event.n - b.event.n));
    for (const record of own) {
      store("events").put({ ...record, sent: "" });
      store("outbox").add({ id: record.id });
    }
  }

  // What we hold of this round must be what the office says it gave, to the byte; else all is taken once
  // more. Where that brings the same, or an entry that we hold is told otherwise now, the office's book was
  // changed under it: that is said, and not asked for ever.
  async function agree(page) {
    const news = await book.meta("news");
    const { held } = await book.read((tx) => ({ held: tx.objectStore("events").index("round").getAll(news.round) }));
    const listed = new Set(page.openings.map(({ id }) => id));
    const found = held.filter(({ opening }) => listed.has(opening));
    const lines = found.map(({ id, hash, otherwise }) => id + " " + (otherwise || hash) + "\n").sort();
    const whole = found.length === page.count && await ids.digest(lines.join("")) === page.digest;
    if (!whole && news.differs !== page.digest) {
      await book.setMeta("news", { ...news, differs: page.digest, cursor: "", round: news.round + 1, trouble: "not-whole" });
      return false;
    }
    const altered = !whole || found.some(({ otherwise }) => otherwise);
    await book.setMeta("news", { ...news, differs: whole ? "" : page.digest, trouble: altered ? "altered" : "" });
    if (!whole) return false;
    if (news.round > 1) await leaveOut(news.round, listed);
    await offerForgotten(page.aside);
    return true;
  }

  // After a whole round: what came from the office before and is not there now is left out; what is
  // our own and is not there, though it once had its receipt, is offered again: the office went back.
  function leaveOut(round, listed) {
    return book.transact("beside", async (tx) => {
      const store = (name) => tx.objectStore(name);
      const old = await book.result(store("events").index("round").getAll(IDBKeyRange.upperBound(round, true)));
      const lost = old.filter(({ own, lost: known }) => !own && !known);
      for (const record of lost) store("events").put({ ...record, lost: true });
      if (lost.length) book.stir(tx);
      const gone = old.filter(({ own, sent, opening }) => own && offer.KEPT.includes(sent) && listed.has(opening));
      if (gone.length) await putUpWithPhotos(store, gone);
    });
  }

  // What had the receipt that it is held, or set aside, and is neither any more: the office went back
  // to before it came.
  async function offerForgotten(kept) {
    if (!kept) return; // an office of an earlier version does not say
    const { phone, some } = await book.read((tx) => ({
      phone: tx.objectStore("meta").get("phone"), some: tx.objectStore("events").index("round").getAll(0),
    }));
    const gone = some.filter(({ id, device, sent, lost }) => device === phone.device && !lost
      && (sent.startsWith("held") || sent.startsWith("set-aside")) && !kept.includes(id));
    if (gone.length) await book.transact("beside", (tx) => putUpWithPhotos((name) => tx.objectStore(name), gone));
  }

  async function putUpWithPhotos(store, own) {
    const events = new Set(own.map(({ id }) => id));
    putUp(store, own);
    for (const photo of await book.result(store("photos").getAll())) {
      if (events.has(photo.event)) store("photos").put({ ...photo, sent: 0 });
    }
  }

  return { take, again };
})();
