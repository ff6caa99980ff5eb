// A phone of the random run: the real scripts of static/field with everything around them in hand.
// Simulated: the worker they run in (`self`, its life and death), the line, the clock, chance. Real:
// the scripts, IndexedDB, locks, WebCrypto, pictures, and the core in MicroPython (loaded once).
const AROUND = ["self", "fetch", "indexedDB", "navigator", "crypto", "caches", "Date", "Math", "AbortSignal",
  "WebAssembly", "loadMicroPython", "VERSION"];

// What a server hands out: scripts, core, program. Returned as the phones' cache would hold it.
async function unpack() {
  const answer = await fetch("/bundle/manifest.json");
  const manifest = await answer.clone().json();
  const files = new Map([["/bundle/manifest.json", { content: await answer.arrayBuffer(), headers: answer.headers }]]);
  await Promise.all(manifest.files.map(async ({ path, url }) => {
    const got = await fetch(url);
    files.set(path, { content: await got.arrayBuffer(), headers: got.headers });
  }));
  const text = (path) => new TextDecoder().decode(files.get(path).content);
  const worker = await (await fetch("/sw.js")).text();
  const parts = JSON.parse(/PARTS = (\[[^\]]*\])/.exec(worker)[1]); // the same, in the same order
  const scripts = Object.fromEntries(parts.map((name) => [name, text("/static/field/" + name + ".js")]));
  return { run: running(scripts, {}), scripts, files, free: [], program: text("/static/vendor/micropython/micropython.js") };
}

function running(scripts, breaks) {
  const all = Object.entries(scripts).map(([name, script]) => broken(name, script, breaks)).join("\n");
  return new Function(...AROUND, '"use strict";' + all + ";return {" + Object.keys(scripts).join() + "};");
}

// A machine in a window of its own: two in one would share what the vendored script keeps there.
async function machine({ files, program }, how) {
  const frame = document.body.appendChild(document.createElement("iframe")).contentWindow;
  frame.fetch = async () => new frame.Response(files.get(how.url).content, { headers: { "content-type": "application/wasm" } });
  frame.Function(program)();
  while (!frame.loadMicroPython) await new Promise((resolve) => setTimeout(resolve, 5));
  return frame.loadMicroPython(how);
}

// A deliberately broken variant, to see whether the run finds it: {part: [[what, by what], …]}.
function broken(part, script, breaks) {
  for (const [what, by] of breaks[part] || []) {
    if (!script.includes(what)) throw new Error(part + ".js has no longer: " + what);
    script = script.replace(what, by);
  }
  return script;
}

const never = () => new Promise(() => {});

// One phone: what outlives its worker. `random` gives numbers in 0..1 by the schedule's seed.
class Phone {
  constructor(kit, name, random) {
    Object.assign(this, { kit, name, random, workers: [] });
    this.reset();
  }

  reset() {
    for (const worker of this.workers.splice(0)) worker.die();
    Object.assign(this, { now: null, fuse: null, browserDied: false, away: 0, zone: 0, version: 1 });
    this.line = new Line(this);
    this.told = []; // events that the person was told are saved, as they stood in the book then
    this.sent = new Set(); // ids of all forms that were ever sent
    this.pages = new Map(); // path -> the page as last seen
    this.seen = {}; // opening -> what the page last seen was made of, as forms say it
    this.last = null; // the entry that was sent last
    this.busy = new Set(); // what still runs
    this.faults = []; // what must never be seen: pages of bugs, told but not kept
    this.counts = {};
  }

  // Returns how often it was before.
  count(what) {
    const before = this.counts[what] || 0;
    this.counts[what] = before + 1;
    return before;
  }

  // The worker in charge; a new one where there is none.
  worker() {
    if (!this.now) {
      this.now = new OneWorker(this);
      this.workers.push(this.now);
    }
    return this.now;
  }

  // Let what runs go on without waiting for it.
  aside(promise) {
    const kept = promise.catch(() => {}).finally(() => this.busy.delete(kept));
    this.busy.add(kept);
    return kept;
  }

  // A moment at which this phone may be killed, if it was to be killed there.
  moment(worker, where) {
    if (worker !== this.now || this.fuse?.where !== where) return false;
    this.fuse.count -= 1;
    if (this.fuse.count > 0) return false;
    this.fuse = null;
    this.kill(where);
    return true;
  }

  kill(where) {
    if (!this.now) return;
    this.count("kill " + where);
    this.now.die();
    this.now = null;
  }

  // A newer program takes over while the older may still have something on its way.
  upgrade() {
    this.version += 1;
    this.now = null;
  }
}

// The life of one worker: the scripts run anew, nothing in memory from before.
class OneWorker {
  constructor(phone) {
    this.phone = phone;
    this.dead = new Promise((resolve) => { this.bury = resolve; });
    this.gone = false;
    this.transactions = new Set();
    this.books = new Set();
    this.parts = phone.kit.run(...AROUND.map((name) => this[name]()));
  }

  // As by Worker.terminate: open transactions are undone, answers come to nobody, locks are free.
  die() {
    this.gone = true;
    for (const tx of this.transactions) {
      try {
        tx.abort();
      } catch {
        // it was committed already
      }
    }
    for (const db of this.books) db.close();
    if (this.machine) this.phone.kit.free.push(this.machine);
    this.machine = null;
    this.bury();
  }

  self() {
    return {
      location: globalThis.location, registration: { waiting: null }, skipWaiting() {}, addEventListener() {},
      clients: { matchAll: async () => [] }, fetch: (what) => this.fetch()(what),
    };
  }

  fetch() {
    return async (url, how = {}) => {
      if (this.gone) return never();
      this.phone.moment(this, "asked") && this.phone.line.orphan(url, how);
      if (this.gone) return never();
      const answer = await this.phone.line.carry(url, how).catch((error) => error);
      this.phone.moment(this, "answered");
      if (this.gone) return never();
      if (answer instanceof Error) throw answer;
      return answer;
    };
  }

  indexedDB() {
    return { open: (name, version) => {
      if (this.gone) throw new DOMException("this worker is dead", "UnknownError");
      const asked = indexedDB.open(this.phone.name + " " + name, version);
      asked.addEventListener("success", () => this.watch(asked.result));
      return asked;
    } };
  }

  watch(db) {
    this.books.add(db);
    if (this.gone) db.close();
    const transaction = db.transaction.bind(db);
    db.transaction = (stores, mode, how) => {
      if (this.gone) throw new DOMException("this worker is dead", "UnknownError");
      const tx = transaction(stores, mode, how);
      this.transactions.add(tx);
      tx.addEventListener("abort", () => this.transactions.delete(tx));
      tx.addEventListener("complete", () => {
        this.transactions.delete(tx);
        if (mode === "readwrite") this.phone.moment(this, "kept");
      });
      if (mode === "readwrite") queueMicrotask(() => this.phone.moment(this, "begun"));
      return tx;
    };
  }

  navigator() {
    const request = (name, ...rest) => {
      const [work, how = {}] = rest.reverse(); // how may be left out
      return navigator.locks.request(this.phone.name + " " + name, how, (lock) => Promise.race([work(lock), this.dead]));
    };
    return { locks: { request } };
  }

  crypto() {
    const getRandomValues = (bytes) => bytes.map(() => Math.floor(this.phone.random() * 256));
    return { subtle: crypto.subtle, getRandomValues: (bytes) => (bytes.set(getRandomValues(bytes)), bytes) };
  }

  caches() {
    return { open: async () => {}, delete: async () => {}, has: async () => false, match: async (path) => {
      if (path === "/code.json" && this.hasCode()) return new Response("{}");
      const found = this.phone.kit.files.get(path);
      return found && new Response(found.content, { headers: found.headers });
    } };
  }

  // Whether the machine had the program from the worker before; from now on it has.
  hasCode() {
    const had = this.takeMachine()?.hasCode;
    if (this.machine) this.machine.hasCode = true;
    return had;
  }

  takeMachine() {
    this.machine ??= this.phone.kit.free.pop();
    return this.machine;
  }

  WebAssembly() {
    return { instantiateStreaming: null }; // a machine is made in its own window, with what is there
  }

  Date() {
    const { phone } = this;
    return class extends Date {
      constructor(...given) {
        super(...(given.length ? given : [Date.now() + phone.away]));
      }

      static now() {
        return Date.now() + phone.away;
      }

      getTimezoneOffset() {
        return phone.zone;
      }
    };
  }

  Math() {
    return Object.create(Math, { random: { value: () => this.phone.random() } });
  }

  AbortSignal() {
    return { timeout: () => undefined }; // the line says when it was too long
  }

  // A machine is used again by another worker, as loading takes longer than a schedule; a new worker
  // tells it anew what it is to know.
  loadMicroPython() {
    const { kit } = this.phone;
    return async (how) => {
      if (this.takeMachine()) return this.machine.again;
      const made = await machine(kit, how);
      const FS = { analyzePath: () => ({ exists: true }), writeFile() {}, utime() {} };
      const runPython = (text) => (text.startsWith("import sys") ? null : made.runPython(text));
      this.machine = { made, again: { FS, runPython, globals: made.globals } };
      return made;
    };
  }

  VERSION() {
    return "version-" + this.phone.version;
  }
}
