"use strict";
// One worker, one interpreter, one test file: nothing is left over from the file before,
// and a test that never ends can be stopped by ending the worker.
importScripts("/micropython.js");

function write(FS, path, text) {
  let folder = "";
  for (const part of path.split("/").slice(0, -1)) {
    folder += "/" + part;
    if (!FS.analyzePath(folder).exists) FS.mkdir(folder);
  }
  FS.writeFile("/" + path, text);
}

self.onmessage = async ({ data }) => {
  const printed = [];
  try {
    const mp = await loadMicroPython({
      url: "/micropython.wasm",
      heapsize: 32 * 1024 * 1024,
      stdout: (line) => printed.push(line),
    });
    for (const [path, text] of Object.entries(data.sources)) write(mp.FS, path, text);
    mp.globals.set("module_name", data.module);
    mp.globals.set("wanted", JSON.stringify(data.wanted));
    mp.runPython(data.runner);
    mp.runPython("answer = run(module_name, wanted)");
    self.postMessage({ ...JSON.parse(mp.globals.get("answer")), printed, crash: "" });
  } catch (error) {
    self.postMessage({ import: "", tests: [], printed, crash: String(error) });
  }
};
