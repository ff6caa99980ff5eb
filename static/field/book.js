// The book: IndexedDB, written with strict durability. Only here are its stores named.
//   meta        "phone" (who this phone is), "news" (cursor, epoch, round), "people" (names by id), "instruments" (the company's)
//   openings    by id; procedures by "id@version"
//   events      {id, opening, device, event, hash, otherwise, own, sent, sentAt, round, lost}; index opening, round
//   outbox      {seq, id}: own events without a receipt, in the order they were made
//   photos      {sha256, bytes, event, sent, sentAt}; index sent (0 or 1)
// In meta, too: "edition" (another one whenever what pages are made of is another), and what was worked
// out before: "truths" of sign-offs, "summary:ID" of openings; both bear the version that made them.
const book = (() => {
  const NAME = "sillbook";
  const VERSION_OF_STORES = 1;
  const STORES = ["meta", "openings", "procedures", "events", "outbox", "photos"];
  const SUMMARIES = IDBKeyRange.bound("summary:", "summary;");
  let opening = null;

  function make(db) {
    const has = (name) => db.objectStoreNames.contains(name);
    if (!has("meta")) db.createObjectStore("meta");
    if (!has("openings")) db.createObjectStore("openings", { keyPath: "id" });
    if (!has("procedures")) db.createObjectStore("procedures", { keyPath: "key" });
    if (!has("outbox")) db.createObjectStore("outbox", { keyPath: "seq", autoIncrement: true });
    if (!has("events")) {
      const events = db.createObjectStore("events", { keyPath: "id" });
      events.createIndex("opening", "opening");
      events.createIndex("round", "round");
    }
    if (!has("photos")) {
      db.createObjectStore("photos", { keyPath: "sha256" }).createIndex("sent", "sent");
    }
  }

  function open() {
    opening ??= new Promise((resolve, reject) => {
      const asked = indexedDB.open(NAME, VERSION_OF_STORES);
      asked.onupgradeneeded = () => make(asked.result);
      asked.onerror = () => reject(asked.error);
      asked.onsuccess = () => {
        const db = asked.result;
        db.onversionchange = () => letGo(db); // another tab brings a newer book: let it
        db.onclose = () => { opening = null; }; // taken away from under us: opened again when needed
        resolve(db);
      };
    }).catch((error) => {
      opening = null;
      throw error;
    });
    return opening;
  }

  function letGo(db) {
    db.close();
    opening = null;
  }

  // Run work(tx) in one transaction and return what it returns, once it is written (`complete`).
  // mode: "readonly"; "readwrite"; or "beside": writes that leave alone what pages are made of, or
  // that say themselves what they change (stir).
  // An error in work, or of a request, undoes all of it. work awaits nothing but requests of tx
  // (result, all): while it waited for anything else the transaction would end (in WebKit at once).
  async function transact(mode, work) {
    const db = await open();
    try {
      return await within(db, mode, work);
    } catch (error) {
      // InvalidStateError: the connection was lost before anything began. Once more, then no more.
      if (error.name !== "InvalidStateError") throw error;
      letGo(db);
      return within(await open(), mode, work);
    }
  }

  function within(db, mode, work) {
    return new Promise((resolve, reject) => {
      const tx = db.transaction(STORES, mode === "beside" ? "readwrite" : mode, { durability: "strict" });
      let failure = null;
      const made = (async () => work(tx))();
      made.catch((error) => {
        failure = error;
        try {
          tx.abort();
        } catch { } // it is over: aborted by a request that failed, or complete
      });
      tx.oncomplete = () => resolve(made);
      tx.onabort = () => reject(failure || tx.error || new DOMException("aborted", "AbortError"));
      if (mode === "readwrite") stir(tx);
    });
  }

  // Pages are made of something else from now on: events of these openings; of anything where none
  // are named. Returns the book's new edition.
  function stir(tx, openings = null) {
    const meta = tx.objectStore("meta");
    const edition = ids.uuid7();
    meta.put(edition, "edition");
    if (openings === null) meta.delete(SUMMARIES);
    else for (const id of openings) meta.delete("summary:" + id);
    return edition;
  }

  // What a request of a transaction comes to. One that fails is never kept: it ends the transaction,
  // and that is what the one who began it hears of.
  function result(request) {
    return new Promise((resolve) => { request.onsuccess = () => resolve(request.result); });
  }

  // The same of several, by their names.
  async function all(requests) {
    const results = await Promise.all(Object.values(requests).map(result));
    return Object.fromEntries(Object.keys(requests).map((name, at) => [name, results[at]]));
  }

  // Read what `ask` requests, e.g. read((tx) => ({ phone: tx.objectStore("meta").get("phone") })).
  function read(ask) {
    return transact("readonly", (tx) => all(ask(tx)));
  }

  async function meta(name) {
    return (await read((tx) => ({ found: tx.objectStore("meta").get(name) }))).found;
  }

  function setMeta(name, value) {
    return transact("beside", (tx) => { tx.objectStore("meta").put(value, name); });
  }

  // Clear everything; where something was not sent only when `sure`. Returns whether it was cleared.
  function clear(sure) {
    return transact("readwrite", async (tx) => {
      const asked = { unsent: tx.objectStore("outbox").count(), photos: tx.objectStore("photos").index("sent").count(0) };
      const { unsent, photos } = await all(asked);
      const may = sure || (unsent === 0 && photos === 0);
      if (may) for (const name of STORES) tx.objectStore(name).clear();
      return may;
    });
  }

  return { open, transact, stir, SUMMARIES, result, all, read, meta, setMeta, clear };
})();
