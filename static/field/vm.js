// The interpreter: MicroPython with the bundle's code in its file system, and one way in.
// Text crosses as JSON both ways: nothing else survives the crossing whole.
const vm = (() => {
  const PROGRAM = "/static/vendor/micropython/micropython.wasm";
  const HEAP = 16 * 1024 * 1024; // bytes to begin with
  let machine = null;
  let starting = null;
  let count = 0;

  function start() {
    starting ??= load().catch((error) => {
      starting = null;
      throw error;
    });
    return starting;
  }

  async function load() {
    const sources = await (await bundle.file("/code.json")).json();
    const made = await withProgram(() => loadMicroPython({ url: PROGRAM, heapsize: HEAP, stdout: () => {} }));
    for (const [path, source] of Object.entries(sources)) write(made.FS, path, source);
    made.runPython("import sys\nsys.path.insert(0, '/')\nfrom app.core import phone");
    machine = made;
    count += 1;
  }

  // The program is fetched by the vendored script itself: a worker's own fetch would go to the
  // network, so it is handed the bundle's copy.
  async function withProgram(work) {
    const program = await bundle.file(PROGRAM);
    const network = self.fetch;
    self.fetch = (what, how) => (what === PROGRAM ? Promise.resolve(program) : network.call(self, what, how));
    try {
      return await work();
    } finally {
      self.fetch = network;
    }
  }

  function write(FS, path, source) {
    let folder = "";
    for (const part of path.split("/").slice(0, -1)) {
      folder += "/" + part;
      if (!FS.analyzePath(folder).exists) FS.mkdir(folder);
    }
    FS.writeFile("/" + path, source);
  }

  // Call a function of app/core/phone.py, at once: it may stand inside a transaction.
  function call(name, thing) {
    machine.globals.set("asked", JSON.stringify(thing));
    machine.runPython("answer = phone." + name + "(asked)");
    return JSON.parse(machine.globals.get("answer"));
  }

  // Let a machine go that failed; the next start makes a new one.
  function drop() {
    machine = null;
    starting = null;
  }

  // Which machine it is: another one knows nothing of what was told to this one.
  const number = () => count;

  return { start, call, drop, number };
})();
