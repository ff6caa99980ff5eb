// A phone whose book was copied gets another identity. What the office set aside because its
// place was taken, and what was not sent yet, is entered once more under the new one. Until that is
// done the phone is marked `carry`: where it dies in between, the next sync does it.
const carry = (() => {
  // not sent, or sent to a place that was taken
  const NOWHERE = ["", "set-aside chain-fork", "set-aside device-foreign", "held chain-gap"];

  async function over() {
    await vm.start();
    return book.transact("readwrite", async (tx) => {
      const store = (name) => tx.objectStore(name);
      const { phone, news, events, places } = await book.all({
        phone: store("meta").get("phone"), news: store("meta").get("news"),
        events: store("events").getAll(), places: store("outbox").getAll(),
      });
      if (phone.carry) store("meta").put({ ...phone, carry: false }, "phone");
      const old = events.filter((record) => isToCarry(record, phone, news?.round));
      if (!old.length) return;
      old.sort((a, b) => a.event.turn - b.event.turn || a.event.n - b.event.n);
      const gone = new Set(old.map(({ id }) => id));
      const kept = events.filter((record) => !record.lost && !gone.has(record.id)).map(({ event }) => event);
      const asked = { device: phone.device, ids: old.map(() => ids.uuid7()), old: old.map(({ event }) => event), kept };
      const made = vm.call("carried", asked);
      const unheard = new Set(old.filter(isUnheard).map(({ id }) => id));
      for (const { seq, id } of places) if (gone.has(id) && !unheard.has(id)) store("outbox").delete(seq);
      for (const record of old) store("events").put({ ...record, lost: true });
      made.events.forEach((event, at) => act.keep(store, event, made.hashes[at]));
    });
  }

  // What came from the office in this round is there, whatever became of its receipt.
  function isToCarry(record, phone, round = 1) {
    if (!record.own || record.lost || record.device === phone.device || record.round === round) return false;
    return NOWHERE.includes(record.sent);
  }

  // A sign-off is not said again: one that the office never heard of goes there as it is, to be set aside.
  const isUnheard = ({ event, sent }) => ["step.signed", "visit.signed"].includes(event.kind) && !sent;

  return { over };
})();
