// One request of the field book: asked of the core over what the book holds, its events kept,
// and only then answered.
const act = (() => {
  const IDS = 8; // fresh ids that one request may use up
  const FORM = "application/x-www-form-urlencoded";

  async function isReady() {
    return Boolean(await book.meta("phone").catch(() => true)); // a lost book is told, not passed over
  }

  async function answer(request, url) {
    if (request.method === "POST" && !isOurs(request)) return { response: Response.error() };
    let asked = null;
    try {
      asked = await read(request, url);
      await vm.start();
      const made = await decide(asked);
      return { response: await respond(made), wrote: made.events.length > 0 };
    } catch (error) {
      return { response: await sorry(asked || bare(request, url), error) };
    }
  }

  // A form that another site sends in the person's name is not taken: our pages always say
  // where they are (Referrer-Policy: same-origin), and no other page can say it is one of them.
  function isOurs(request) {
    return request.referrer.startsWith(self.location.origin + "/");
  }

  const bare = (request, url) => ({ method: request.method, path: url.pathname, query: {}, form: {} });

  async function read(request, url) {
    const method = request.method === "POST" ? "POST" : "GET";
    const asked = { ...bare(request, url), method, query: texts(url.searchParams) };
    if (method === "POST") {
      const form = await request.formData();
      asked.photo = await photos.taken(form); // null, or what belongs to the form as a file
      asked.form = texts(form);
    }
    return asked;
  }

  // Of a field that comes twice the last; half characters become the sign for "unknown".
  function texts(pairs) {
    const out = {};
    for (const [name, value] of pairs) {
      if (typeof value === "string") out[name.toWellFormed()] = value.toWellFormed();
    }
    return out;
  }

  // Read, decide and write as one act: the core runs inside the success handler of the last read.
  function decide(asked) {
    const about = { now: ids.now(), ids: Array.from({ length: IDS }, () => ids.uuid7()) };
    const { photo, ...plain } = asked;
    const mode = asked.method === "POST" ? "readwrite" : "readonly";
    return book.transact(mode, (tx, give, safely) => {
      const store = (name) => tx.objectStore(name);
      const first = {
        phone: store("meta").get("phone"), people: store("meta").get("people"), news: store("meta").get("news"),
        instruments: store("meta").get("instruments"),
        openings: store("openings").getAll(), procedures: store("procedures").getAll(),
        unsent: store("outbox").count(), photos: store("photos").index("sent").count(0),
      };
      book.all(first, safely, (held) => {
        held.openings.sort((a, b) => a.place - b.place); // as the office lists them
        const request = { ...plain, ...about, ...whose(held) };
        const wanted = vm.call("needs", { request }).openings ?? held.openings.map(({ id }) => id);
        const requests = Object.fromEntries(wanted.map((id) => [id, store("events").index("opening").getAll(id)]));
        book.all(requests, safely, (found) => {
          request.book = { openings: held.openings, procedures: byKey(held.procedures), events: live(found), instruments: held.instruments || [] };
          const made = vm.call("handle", { request });
          made.events.forEach((event, at) => keep(store, event, made.hashes[at]));
          if (photo && made.events.length) store("photos").put({ ...photo, event: made.events[0].id, sent: 0 });
          give(made);
        });
      });
    });
  }

  function whose({ phone, people, news, unsent, photos: waiting }) {
    return {
      device: phone.device, person: phone.person, people: people || {},
      phone: { unsent, photos: waiting, ...told(phone, news || {}) },
    };
  }

  // What the pages may say of this phone; all of it text and whole numbers.
  function told(phone, news) {
    return {
      aside: news.aside || 0, trouble: news.trouble || "", sent_at: news.sentAt || "",
      secret: phone.secret || "", room: phone.room || "", lasting: phone.lasting === true, forked: phone.forked === true,
      renew: Boolean(self.registration.waiting),
    };
  }

  const byKey = (procedures) => Object.fromEntries(procedures.map(({ key, procedure }) => [key, procedure]));

  // What the office no longer has and never came from here is left out, as it is at the office.
  function live(found) {
    const out = {};
    for (const opening of Object.keys(found)) {
      out[opening] = found[opening].filter((record) => !record.lost).map((record) => record.event);
    }
    return out;
  }

  function keep(store, event, hash) {
    store("events").add({
      id: event.id, opening: event.opening, device: event.device, event, hash, own: true, sent: "", round: 0,
    });
    store("outbox").add({ id: event.id });
  }

  async function respond(made) {
    if (made.location) return Response.redirect(new URL(made.location, self.location.origin), 303);
    const headers = { ...(await bundle.pageHeaders()), "content-type": made.type };
    return new Response(made.html, { status: made.status, headers });
  }

  // What was typed comes back with plain words; the interpreter starts anew where it failed.
  async function sorry(asked, error) {
    const why = reason(error);
    if (!why) vm.drop();
    const person = await book.meta("phone").then((phone) => phone.person, () => ({ id: "", name: "" }));
    const request = {
      ...asked, photo: undefined, now: ids.now(), ids: [ids.uuid7()], device: "", person,
      book: { openings: [], events: {}, procedures: {} }, phone: {},
    };
    try {
      await vm.start();
      const code = [error.name, error.message].join(": ").slice(0, 300);
      return await respond(why ? vm.call("unkept", { request, why }) : vm.call("bug", { request, code }));
    } catch {
      vm.drop();
      return plainly();
    }
  }

  // Why nothing could be written: "full", "lost" (the book cannot be opened), "photo"; or "".
  function reason(error) {
    if (error.name === "QuotaExceededError" || error.cause?.name === "QuotaExceededError") return "full";
    if (error.name === "PhotoError") return "photo";
    const lost = ["InvalidStateError", "UnknownError", "NotFoundError", "AbortError", "VersionError"];
    return lost.includes(error.name) ? "lost" : "";
  }

  // The last resort, when not even the interpreter starts: nothing but words.
  function plainly() {
    const words = "Not saved. Sillbook cannot start on this phone now. Go back, write down what you typed, "
      + "close Sillbook and open it again.";
    return new Response(words, { status: 500, headers: { "content-type": "text/plain; charset=utf-8" } });
  }

  return { answer, isReady, keep };
})();
