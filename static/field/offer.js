// Sends what has no receipt yet, oldest first. Nothing leaves the outbox without its receipt.
const offer = (() => {
  const MOST = 200; // events in a batch
  const SIGNED = ["step.signed", "visit.signed"]; // what the phone's own key signs
  const KEPT = ["stored", "already"]; // receipts that say: it is in the office's log

  // On a slow line a batch may take longer than we wait: then half of it is tried, and that is kept,
  // as this worker may be ended between two tries. What came quickly lets the next one be greater.
  async function send(phone) {
    for (;;) {
      const { news } = await book.read((tx) => ({ news: tx.objectStore("meta").get("news") }));
      const most = news?.most || MOST;
      const { places, unsent } = await book.read((tx) => ({
        places: tx.objectStore("outbox").getAll(null, most), unsent: tx.objectStore("outbox").count(),
      }));
      if (!places.length) return;
      const asked = await batch(phone, places, unsent);
      const began = Date.now();
      try {
        const answer = await sync.ask("/sync", phone, {
          method: "POST", body: JSON.stringify(asked), headers: { "content-type": "application/json" },
        });
        if (!isAnswer(answer, asked)) throw sync.trouble("not-sillbook");
        const quick = Date.now() - began < sync.PATIENCE / 4;
        await take(answer, quick ? Math.min(MOST, 2 * most) : most);
      } catch (error) {
        if (!error.late || places.length === 1) throw error;
        await setMost(Math.ceil(places.length / 2));
      }
      await talk.changed();
    }
  }

  function setMost(most) {
    return book.transact("beside", async (tx) => {
      const meta = tx.objectStore("meta");
      meta.put({ ...(await book.result(meta.get("news"))), most }, "news");
    });
  }

  // A batch as the office takes it, of some places of the outbox.
  async function batch(phone, places, unsent) {
    const found = await book.read((tx) => Object.fromEntries(
      places.map(({ id }) => [id, tx.objectStore("events").get(id)]),
    ));
    return signed(phone, places.map(({ id }) => found[id]), unsent);
  }

  // Signatures of sign-offs and of the last event of each chain: they cover those before. A copied
  // phone holds two events for one place, its own and the other's: then each end has its signature.
  async function signed(phone, records, unsent) {
    const events = records.map(({ event }) => event);
    const own = records.filter(({ event }) => event.device === phone.device);
    const followed = new Set(own.map(({ event }) => event.prev));
    const signatures = {};
    for (const { event, hash } of own) {
      if (SIGNED.includes(event.kind)) signatures[event.id] = await keys.signEvent(phone.key, event.id, hash);
    }
    const lasts = own.filter(({ hash }) => !followed.has(hash));
    const heads = await Promise.all(lasts.map(({ event, hash }) => keys.signHead(phone.key, phone.device, event, hash)));
    const { epoch } = (await book.meta("news")) || {};
    return { epoch: epoch || "", bundle: VERSION, unsent, events, signatures, heads };
  }

  // Anything else than a receipt for each event is not an answer, whatever its status says.
  function isAnswer(answer, { events }) {
    const wanted = events.map(({ id }) => id).sort().join();
    return typeof answer.epoch === "string" && Array.isArray(answer.receipts)
      && answer.receipts.map((receipt) => receipt.id).sort().join() === wanted;
  }

  // most: how many events the next batch may hold.
  function take({ epoch, receipts }, most) {
    return book.transact("beside", async (tx) => {
      const store = (name) => tx.objectStore(name);
      const requests = {
        news: store("meta").get("news"), phone: store("meta").get("phone"),
        places: store("outbox").getAll(null, MOST + receipts.length),
      };
      for (const { id } of receipts) requests["event " + id] = store("events").get(id);
      const held = await book.all(requests);
      const news = held.news || {};
      const has = new Map(receipts.map((receipt) => [receipt.id, receipt]));
      for (const { seq, id } of held.places) if (has.has(id)) store("outbox").delete(seq);
      for (const { id, state, why } of receipts) {
        const told = why ? state + " " + why : state;
        const record = { ...held["event " + id], sent: told, sentAt: sync.officeTime() };
        if (KEPT.includes(state)) record.round = news.round || 1; // the office's count has it from now on
        store("events").put(record);
      }
      const phone = noPlace(receipts.filter(({ state }) => state === "set-aside"), held.phone, news);
      if (phone !== held.phone) store("meta").put(phone, "phone");
      news.sentAt = ids.now();
      news.most = most;
      if (news.trouble === "no-answer") news.trouble = ""; // it has answered
      if (news.epoch && news.epoch !== epoch) await pull.again(tx, news, epoch);
      else store("meta").put({ ...news, epoch }, "news");
    });
  }

  // What had no place at the office is counted; where another entry had its place the phone was copied.
  function noPlace(asides, phone, news) {
    news.aside = (news.aside || 0) + asides.length;
    return asides.some(({ why }) => why === "chain-fork") ? { ...phone, forked: true } : phone;
  }

  return { send, batch, noPlace, MOST, KEPT };
})();
