// The interpreter: MicroPython with the bundle's code in its file system, and one way in.
// Text crosses as JSON both ways: nothing else survives the crossing whole.
const vm = (() => {
  const PROGRAM = "/static/vendor/micropython/micropython.wasm";
  const HEAP = 16 * 1024 * 1024; // bytes to begin with
  // The interpreter would clear its memory after every call, at a cost that grows with all it holds;
  // it does so while nobody waits, and by itself only when so many bytes were used.
  const USED = 32 * 1024 * 1024;
  const QUIET = 400; // milliseconds without a call
  let machine = null;
  let starting = null;
  let count = 0;
  let resting = 0;
  let spoken = new Set();

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
    made.runPython("import sys\nsys.path.insert(0, '/')\nfrom app.core import phone\nimport gc\ngc.threshold(" + USED + ")");
    machine = made;
    count += 1;
    spoken = new Set(["en"]);
  }

  // Have the words of these languages at hand; one that the bundle does not have is said in English.
  async function speak(languages) {
    for (const lang of languages.filter((each) => !spoken.has(each))) {
      spoken.add(lang);
      const found = await bundle.file("/words-" + lang + ".json").catch(() => null);
      for (const [path, source] of Object.entries(found ? await found.json() : {})) write(machine.FS, path, source);
    }
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
    rest();
    const answer = JSON.parse(machine.globals.get("answer"));
    if (name === "handle" && answer.html === undefined && !answer.again) answer.html = page();
    return answer;
  }

  function page() {
    machine.runPython("answer = phone.page()");
    return machine.globals.get("answer");
  }

  function rest() {
    clearTimeout(resting);
    resting = setTimeout(() => machine?.runPython("gc.collect()"), QUIET);
  }

  // Let a machine go that failed; the next start makes a new one.
  function drop() {
    machine = null;
    starting = null;
  }

  // Which machine it is: another one knows nothing of what was told to this one.
  const number = () => count;

  return { start, speak, call, drop, number };
})();
