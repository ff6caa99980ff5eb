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
  let whole = false; // all that there is to import was imported
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
    const made = awake || kept === null ? first : await fresh();
    if (!awake) await begin(made);
    machine = made;
    count += 1;
    whole = awake;
    spoken = new Set(["en"]);
  }

  // A machine without the program.
  function fresh() {
    return withProgram(() => loadMicroPython({ url: PROGRAM, heapsize: HEAP, stdout: () => {} }));
  }

  // Returns the paths of what it is made of.
  async function begin(made) {
    const paths = await unpack(made, "/code.json");
    made.runPython("import sys\nsys.path.insert(0, '/')\nfrom app.core import phone\nimport gc\ngc.threshold(" + USED + ")");
    return paths;
  }

  // Begin, and import all that there is.
  async function learn(made) {
    const paths = await begin(made);
    for (const file of await bundle.words()) paths.push(...(await unpack(made, file)));
    const names = paths.map((path) => path.replace(/(\/__init__)?\.py$/, "").replaceAll("/", "."));
    for (const name of names) made.runPython("__import__('" + name + "')");
    made.runPython("gc.collect()");
  }

  // Have the words of these languages at hand; one that the bundle does not have is said in English.
  // `ask` says which; an image has all that there are.
  async function speak(ask) {
    if (whole) return;
    for (const lang of (await ask()).filter((each) => !spoken.has(each))) {
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
      memory = Object.values(made.instance.exports).find((each) => each instanceof WebAssembly.Memory);
      return made;
    };
    try {
      return Object.assign(await work(), { memory });
    } finally {
      self.fetch = network;
      WebAssembly.instantiateStreaming = instantiate;
    }
  }

  // Write a file of the bundle that holds others, {path: source}; returns their paths. None has a
  // time of its own: the machine's memory would hold it, and no two images were alike.
  async function unpack({ FS }, file) {
    const sources = await (await bundle.file(file)).json();
    const written = new Set(["/"]);
    for (const [path, source] of Object.entries(sources)) {
      let folder = "";
      for (const part of path.split("/").slice(0, -1)) {
        folder += "/" + part;
        if (!FS.analyzePath(folder).exists) FS.mkdir(folder);
        written.add(folder);
      }
      FS.writeFile("/" + path, source);
      written.add("/" + path);
    }
    for (const path of written) FS.utime(path, 0, 0);
    return Object.keys(sources);
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
