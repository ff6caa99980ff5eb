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
    const [kept, first] = await Promise.all([image.find(), fresh()]);
    const awake = kept !== null && image.wake(first, kept);
    machine = awake ? first : await begun(kept === null ? first : await fresh());
    count += 1;
    spoken = new Set(awake ? kept.languages : ["en"]);
  }

  // A machine without the program.
  function fresh() {
    return withProgram(() => loadMicroPython({ url: PROGRAM, heapsize: HEAP, stdout: () => {} }));
  }

  async function begun(made) {
    await unpack(made, "/code.json");
    made.runPython("import sys\nsys.path.insert(0, '/')\nfrom app.core import phone\nimport gc\ngc.threshold(" + USED + ")");
    return made;
  }

  // Begin, and import all that there is; returns the languages that are spoken then.
  async function learn(made) {
    const words = await bundle.words();
    await begun(made);
    const paths = await Promise.all(["/code.json", ...words].map((path) => unpack(made, path)));
    const names = paths.flat().map((path) => path.replace(/(\/__init__)?\.py$/, "").replaceAll("/", "."));
    for (const name of names) made.runPython("__import__('" + name + "')");
    made.runPython("gc.collect()");
    return ["en", ...words.map((path) => path.match(/-(.+)\.json/)[1])];
  }

  // Have the words of these languages at hand; one that the bundle does not have is said in English.
  async function speak(languages) {
    for (const lang of languages.filter((each) => !spoken.has(each))) {
      spoken.add(lang);
      await unpack(machine, "/words-" + lang + ".json").catch(() => {});
    }
  }

  // The program is fetched by the vendored script itself: a worker's own fetch would go to the
  // network, so it is handed the bundle's copy. It keeps the memory to itself: what makes that is
  // asked for it.
  async function withProgram(work) {
    const program = await bundle.file(PROGRAM);
    const network = self.fetch;
    const instantiate = WebAssembly.instantiateStreaming;
    let memory = null;
    self.fetch = (what, how) => (what === PROGRAM ? Promise.resolve(program) : network.call(self, what, how));
    WebAssembly.instantiateStreaming = async (...asked) => {
      const made = await instantiate.apply(WebAssembly, asked);
      memory = made.instance.exports.memory;
      return made;
    };
    try {
      return Object.assign(await work(), { memory });
    } finally {
      self.fetch = network;
      WebAssembly.instantiateStreaming = instantiate;
    }
  }

  // Write a file of the bundle that holds others, {path: source}; returns their paths.
  async function unpack({ FS }, file) {
    const sources = await (await bundle.file(file)).json();
    for (const [path, source] of Object.entries(sources)) write(FS, path, source);
    return Object.keys(sources);
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

  return { start, fresh, learn, speak, call, drop, number };
})();
