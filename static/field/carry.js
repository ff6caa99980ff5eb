// A phone whose book was copied gets another identity. What the office set aside because its
// place was taken, and what was not sent yet, is entered once more under the new one.
const carry = (() => {
  // not sent, or sent to a place that was taken
  const NOWHERE = ["", "set-aside chain-fork", "set-aside device-foreign", "held chain-gap"];

  async function over() {
    await vm.start();
    return book.transact("readwrite", (tx, give, safely) => {
      const store = (name) => tx.objectStore(name);
      const requests = {
        phone: store("meta").get("phone"), events: store("events").getAll(), places: store("outbox").getAll(),
      };
      book.all(requests, safely, ({ phone, events, places }) => {
        const old = events.filter((record) => isToCarry(record, phone));
        if (!old.length) return;
        old.sort((a, b) => a.event.turn - b.event.turn || a.event.n - b.event.n);
        const gone = new Set(old.map(({ id }) => id));
        const kept = events.filter((record) => !record.lost && !gone.has(record.id)).map(({ event }) => event);
        const asked = { device: phone.device, ids: old.map(() => ids.uuid7()), old: old.map(({ event }) => event), kept };
        const made = vm.call("carried", asked);
        for (const { seq, id } of places) if (gone.has(id)) store("outbox").delete(seq);
        for (const record of old) store("events").put({ ...record, lost: true });
        made.events.forEach((event, at) => act.keep(store, event, made.hashes[at]));
      });
    });
  }

  function isToCarry(record, phone) {
    if (!record.own || record.lost || record.device === phone.device) return false;
return NOWHERE.includes(record.sent);
  }

  return { over };
})();
