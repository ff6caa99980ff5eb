// The book: IndexedDB, written with strict durability. Only here are its stores named.
//   meta        "phone" (who this phone is), "news" (cursor, epoch, round), "people" (names by id)
//   openings    by id; procedures by "id@version"
//   events      {id, opening, device, event, hash, own, sent, round, lost}; index opening, round
//   outbox      {seq, id}: own events without a receipt, in the order they were made
//   photos      {sha256, bytes, event, opening, sent}; index sent (0 or 1)
const book = (() => {
  const NAME = "sillbook";
  const VERSION_OF_STORES = 1;
  const STORES = ["meta", "openings", "procedures", "events", "outbox", "photos"];
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

  // Run work(tx, give, safely) in one transaction; the promise is kept only on `complete`.
  // work starts requests; safely(f) wraps their handlers, so that an error in one aborts all.
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
      const tx = db.transaction(STORES, mode, { durability: "strict" });
      let result;
      let failure = null;
      const safely = (handler) => (event) => {
        try {
          handler(event);
        } catch (error) {
          failure = error;
          tx.abort();
        }
      };
      tx.oncomplete = () => resolve(result);
      tx.onabort = () => reject(failure || tx.error || new DOMException("aborted", "AbortError"));
      safely(() => work(tx, (value) => { result = value; }, safely))();
    });
  }

  // Call done(results) synchronously in the success handler of the last of these requests.
  function all(requests, safely, done) {
    const names = Object.keys(requests);
    let left = names.length;
    if (!left) done({});
    for (const name of names) {
      requests[name].onsuccess = safely(() => {
        left -= 1;
        if (!left) done(Object.fromEntries(names.map((each) => [each, requests[each].result])));
      });
    }
  }

  // Read what `ask` requests, e.g. read((tx) => ({ phone: tx.objectStore("meta").get("phone") })).
  function read(ask) {
    return transact("readonly", (tx, give, safely) => all(ask(tx), safely, give));
  }

  async function meta(name) {
    return (await read((tx) => ({ found: tx.objectStore("meta").get(name) }))).found;
  }

  function setMeta(name, value) {
    return transact("readwrite", (tx) => { tx.objectStore("meta").put(value, name); });
  }

  return { open, transact, all, read, meta, setMeta };
})();
