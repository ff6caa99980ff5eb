// Makes room, once a day. What the office has acknowledged is kept for 90 days or until its opening
// is accepted, whichever is later, both by the office's word and clock. Then the photos go (the
// office shows them), and the entries too where their opening is on this phone's list no longer.
// Called by the one who sends, so that nothing is offered or taken meanwhile.
const tidy = (() => {
  const DAY = 24 * 60 * 60 * 1000; // milliseconds
  const KEPT = 90 * DAY;

  async function run(now) {
    const news = await book.meta("news");
    if (!now || !news || now - (news.tidied || 0) < DAY) return;
    const held = await book.read((tx) => ({
      events: tx.objectStore("events").getAll(), places: tx.objectStore("outbox").getAll(),
      listed: tx.objectStore("openings").getAllKeys(), phone: tx.objectStore("meta").get("phone"),
    }));
    const accepted = new Set(news.accepted || []);
    const known = new Map(held.events.map((record) => [record.id, record]));
    const over = (at, opening) => at > 0 && now - at >= KEPT && accepted.has(opening);
    const left = await dropPhotos(now, ({ event, sentAt }) => over(sentAt, known.get(event)?.opening));
    await dropEvents(now, held, keptOpenings(held, left.map((id) => known.get(id)?.opening), over));
  }

  // Of each photo that stays the event that names it. One at a time: all their bytes together
  // may be more than there is room for.
  function dropPhotos(now, mayGo) {
    return book.transact("readwrite", async (tx) => {
      const left = [];
      const request = tx.objectStore("photos").openCursor();
      for (let cursor = await book.result(request); cursor; cursor = await book.result(request)) {
        const photo = cursor.value;
        if (photo.sent && mayGo(photo)) cursor.delete();
        else left.push(photo.event);
        if (photo.sent && !photo.sentAt) cursor.update({ ...photo, sentAt: now }); // counted from today
        cursor.continue();
      }
      return left;
    });
  }

  // The openings of which all stays: on the list, with a photo, or with an entry that must stay.
  function keptOpenings({ events, places, listed }, withPhoto, over) {
    const unsent = new Set(places.map(({ id }) => id));
    const mustStay = ({ id, own, lost, sentAt, opening }) => own && (unsent.has(id) || (!lost && !over(sentAt, opening)));
    return new Set([...listed, ...withPhoto, ...events.filter(mustStay).map(({ opening }) => opening)]);
  }

  // The last of each of our own chains stays for good: should the opening come back, it goes on there.
  function dropEvents(now, { events, phone }, kept) {
    const lasts = new Map();
    for (const { event } of events) {
      if (event.device === phone.device && event.n > (lasts.get(event.opening) || 0)) lasts.set(event.opening, event.n);
    }
    const isLast = ({ device, n, opening }) => device === phone.device && lasts.get(opening) === n;
    return book.transact("readwrite", async (tx) => {
      const store = tx.objectStore("events");
      for (const record of events) {
        if (!kept.has(record.opening) && !isLast(record.event)) store.delete(record.id);
        else if (record.own && record.sent && !record.sentAt) store.put({ ...record, sentAt: now });
      }
      const meta = tx.objectStore("meta");
      meta.put({ ...(await book.result(meta.get("news"))), tidied: now }, "news");
    });
  }

  return { run };
})();
