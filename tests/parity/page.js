"use strict";
// Called from the tests: runs one file in a worker of its own, at most `limit` milliseconds.
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
    worker.postMessage(task);
  });
