// One request of the field book: asked of the core over what the book holds, its events kept,
// and only then answered.
const act = (() => {
  const IDS = 8; // fresh ids that one request may use up
  const LATER = 1000; // milliseconds
  const FORM = "application/x-www-form-urlencoded";

  // A form's script that takes the next page with the answer, and where that page is (ahead.js).
  const NEXT = "next-page";
  const ADDRESS = "page-address";

  async function isReady() {
    return Boolean(await book.meta("phone").catch(() => true)); // a lost book is told, not passed over
  }

  async function answer(request, url) {
    if (request.method === "POST" && !isOurs(request)) return { response: Response.error() };
    let asked = null;
    try {
      asked = await read(request, url);
      if (asked.form) asked.pin = await pins.asked(asked); // worked out before any transaction
      await vm.start();
      await vm.speak(languages);
      const made = await decide(asked);
      const next = request.headers.has(NEXT) && (await following(made).catch(() => null)); // it is kept by now
      const response = next || (await respond(made));
      return { response, wrote: made.events.length > 0 || Boolean(made.lent), lent: Boolean(made.lent?.opening) };
    } catch (error) {
      return { response: await sorry(asked || bare(request, url), error) };
    }
  }

  // The page that a form leads to; null where the browser must go there itself: a newer worker may
  // have to answer, or the phone is another's now.
  async function following({ location, lent }) {
    const url = new URL(location || "/", self.location.origin);
    if (!url.pathname.startsWith("/field/") || lent || self.registration.waiting) return null;
    const page = await decide({ ...bare({ method: "GET" }, url), query: texts(url.searchParams) });
    if (page.location) return null;
    const response = await respond(page);
    response.headers.set(ADDRESS, location);
    return response;
  }

  // Of everybody who may work on this phone, and of the owner who has it in hand.
  async function languages() {
    const { person, persons, lent } = (await book.meta("phone").catch(() => null)) || {};
    return [person, lent, ...(persons || [])].map((each) => each?.lang || "en");
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

  // Read, decide and write as one act: the core runs between the last read and the first write.
  async function decide(asked) {
    const about = { now: ids.now(), ids: Array.from({ length: IDS }, () => ids.uuid7()) };
    const { photo, ...plain } = asked;
    const mode = asked.method === "POST" ? "beside" : "readonly";
    const { made, before, after } = await book.transact(mode, async (tx) => {
      const store = (name) => tx.objectStore(name);
      const { made: answer, edition } = await known.ask(tx, { ...plain, ...about });
      answer.events.forEach((event, at) => keep(store, event, answer.hashes[at]));
      if (photo && answer.events.length) store("photos").put({ ...photo, event: answer.events[0].id, sent: 0 });
      const openings = answer.events.map(({ opening }) => opening);
      const stirred = openings.length ? book.stir(tx, openings) : edition;
      if (answer.person) await turnTo(tx, answer.person);
      if (answer.lent) await lend(tx, answer.lent);
      return { made: answer, before: edition, after: stirred };
    });
    if (made.events.length) known.note(before, after, made.events);
    // It can be worked out again. After an entry the next page is asked for at once, and would wait for the book.
    setTimeout(() => known.keep(made, after).catch(() => {}), made.events.length ? LATER : 0);
    return made;
  }

  // Another of the phone's persons works on it from now on; what was entered stays whose it was.
  async function turnTo(tx, id) {
    const meta = tx.objectStore("meta");
    const phone = await book.result(meta.get("phone"));
    const person = phone.persons.find((each) => each.id === id);
    if (person) meta.put({ ...phone, person }, "phone");
    book.stir(tx);
  }

  // Into the owner's hands, or back: the code that was set for this time alone goes with it.
  async function lend(tx, lent) {
    const meta = tx.objectStore("meta");
    const { phone, pins: kept } = await book.all({ phone: meta.get("phone"), pins: meta.get("pins") });
    meta.put({ ...phone, lent: lent.opening ? lent : null }, "phone");
    if (lent.opening || !kept) return;
    delete kept[pins.LENT];
    meta.put(kept, "pins");
  }

  async function isLent() {
    return Boolean((await book.meta("phone"))?.lent);
  }

  function whose({ phone, news, unsent, photos: waiting, pins: kept }) {
    return {
      device: phone.device, person: { ...phone.person, ...(phone.lent && { lang: phone.lent.lang }) }, lent: phone.lent || {},
      phone: { unsent, photos: waiting.length, ...told(phone, news || {}), ...shared(phone, kept || {}) }, absent: waiting,
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

  // Who may enter on this phone; where there are several, who has a PIN.
  function shared({ persons = [] }, kept) {
    return {
      shared: persons.length > 1, persons: persons.map(({ id, name }) => ({ id, name })),
      pins: persons.map(({ id }) => id).filter((id) => id in kept),
    };
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
    const person = await book.meta("phone").then((phone) => phone.person).catch(() => ({ id: "", name: "" }));
    const request = {
      ...asked, photo: undefined, now: ids.now(), ids: [ids.uuid7()], device: "", person,
      book: { openings: [], events: {}, procedures: {} }, phone: {},
    };
    try {
      await vm.start();
      const code = [error.name, error.message.trim().split("\n").pop()].join(": ").slice(-300); // a traceback ends with what was wrong
      return await respond(why ? vm.call("unkept", { request, why }) : vm.call("bug", { request, code }));
    } catch {
      vm.drop();
      return plainly();
    }
  }

  // The book holds no phone and the office cannot be reached: said, with what was typed.
  async function emptied(request, url) {
    const asked = await read(request, url).catch(() => bare(request, url));
    return sorry(asked, new DOMException("the book is empty", "EmptyError"));
  }

  // Why nothing could be written: "full", "lost" (the book cannot be opened), "empty", "photo"; or "".
  function reason(error) {
    if (error.name === "QuotaExceededError" || error.cause?.name === "QuotaExceededError") return "full";
    if (error.name === "PhotoError") return "photo";
    if (error.name === "EmptyError") return "empty";
    const lost = ["InvalidStateError", "UnknownError", "NotFoundError", "AbortError", "VersionError"];
    return lost.includes(error.name) ? "lost" : "";
  }

  // The last resort, when not even the interpreter starts: nothing but words.
  function plainly() {
    const words = "Not saved. Sillbook cannot start on this phone now. Go back, write down what you typed, "
      + "close Sillbook and open it again.";
    return new Response(words, { status: 500, headers: { "content-type": "text/plain; charset=utf-8" } });
  }

  return { answer, emptied, plainly, isReady, isLent, whose, keep };
})();
