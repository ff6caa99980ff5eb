// A general-purpose replicating database behind its own server, with a page that replicates.
// node server.js FOLDER: keeps under the folder, prints its port.
const express = require("express");
const PouchDB = require("pouchdb");
const serve = require("express-pouchdb");

const folder = process.argv[2] + "/";
const app = express();
app.get("/", (_, answer) => answer.type("html").send("<!doctype html><script src=/pouchdb.js></script>"));
app.get("/pouchdb.js", (_, answer) => answer.sendFile(require.resolve("pouchdb/dist/pouchdb.min.js")));
app.use("/db", serve(PouchDB.defaults({ prefix: folder }), {
  mode: "minimumForPouchDB",
  inMemoryConfig: true,
  logPath: folder + "log.txt",
}));
const server = app.listen(0, "127.0.0.1", () => console.log(server.address().port));
