"use strict";
// The sources that tests hand over once: each file's worker gets a copy of them.
self.kept = {};
// Called from the tests: runs one file in a worker of its own, at most `limit` milliseconds.
// Its sources are what it brings itself; `beside` those that were kept, if it says so.
self.runFile = (task, limit) =>
  new Promise((resolve) => {
    const worker = new Worker("/worker.js");
    const end = (answer) => {
      clearTimeout(timer);
      worker.terminate();
      resolve(answer);
    };
    const crash = (text) => end({ import: "", tests: [], printed: [], crash: text });
    const timer = setTimeout(() => crash("stopped after " + limit + " ms"), limit);
    worker.onmessage = ({ data }) => end(data);
    worker.onerror = (event) => crash(event.message || "the worker did not start");
    const beside = task.beside ? self.kept : {};
    worker.postMessage({ ...task, sources: { ...beside, ...task.sources } });
  });
