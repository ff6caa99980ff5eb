// The line between a phone and the office: it takes each request to the real server, or does to it
// what the schedule says. A fate is used up by one request; without one the request passes.
class Line {
  constructor(phone) {
    this.phone = phone;
    this.away = false; // no network at all
    this.whole = false; // nothing waits any longer, also what is on its way already
    this.fates = [];
    this.stalled = []; // each () => void lets one go on
    this.late = []; // requests that were given up, and are still on their way to the office
    this.blocked = () => {};
  }

  async carry(url, how) {
    if (this.away) throw cut();
    const fate = this.fates.shift() || "pass";
    if (fate !== "pass") this.phone.count(fate);
    return FATES[fate](this, url, how);
  }

  // The phone died with this on its way: it may still arrive.
  orphan(url, how) {
    if (!this.away) this.late.push(() => ask(url, how).catch(() => {}));
  }

  // Wait until the schedule lets go: the phone goes on with other things meanwhile.
  stall() {
    if (this.whole) return Promise.resolve();
    this.blocked();
    return new Promise((resolve) => this.stalled.push(resolve));
  }

  // Whoever waits for the phone to come to rest is told that it waits for the line.
  block() {
    return new Promise((resolve) => { this.blocked = resolve; });
  }

  release() {
    for (const go of this.stalled.splice(0)) go();
  }

  async arrive() {
    for (const go of this.late.splice(0)) await go();
  }

  heal() {
    this.away = false;
    this.whole = true;
    this.fates = [];
    this.release();
  }
}

const cut = () => new TypeError("Failed to fetch");

// The request itself. Its time limit is not the browser's here: FATES say when it was too long.
async function ask(url, how, dies = "") {
  const { method, body, headers } = how;
  const more = dies ? { ...headers, "x-dies": dies } : headers;
  return fetch(url, { method, body, headers: more, cache: "no-store", credentials: "omit", redirect: "error" });
}

async function spoiled(answer, spoil) {
  const text = await answer.text();
  return new Response(spoil(text), { status: answer.status, headers: { "content-type": answer.headers.get("content-type") } });
}

// Half of a body, then the connection breaks.
function torn(text) {
  let begun = false;
  return new ReadableStream({ pull(stream) {
    if (begun) return stream.error(cut());
    begun = true;
    return stream.enqueue(new TextEncoder().encode(text.slice(0, text.length / 2)));
  } });
}

const FATES = {
  pass: (line, url, how) => ask(url, how),
  // never arrives
  cut: async () => { throw cut(); },
  // arrives and is done; the answer is lost
  lost: async (line, url, how) => { await ask(url, how); throw cut(); },
  // nothing is said, until the phone gives up
  stall: async (line) => { await line.stall(); throw cut(); },
  // arrives only when the schedule goes on
  slow: async (line, url, how) => { await line.stall(); return ask(url, how); },
  // is done at once; the answer comes only when the schedule goes on
  "slow answer": async (line, url, how) => {
    const answer = await ask(url, how);
    await line.stall();
    return answer;
  },
  // given up by the phone, and arrives later all the same, behind what was sent after it
  late: async (line, url, how) => { line.late.push(() => ask(url, how).catch(() => {})); throw cut(); },
  // arrives twice, one after the other or at the same time
  twice: async (line, url, how) => { await ask(url, how); return ask(url, how); },
  both: async (line, url, how) => (await Promise.all([ask(url, how), ask(url, how)]))[1],
  // somebody else answers in place of the office
  portal: async () => new Response("<!doctype html><p>Accept the terms</p>", { headers: { "content-type": "text/html" } }),
  nothing: async () => new Response("{}", { headers: { "content-type": "application/json" } }),
  torn: async (line, url, how) => spoiled(await ask(url, how), torn),
  half: async (line, url, how) => spoiled(await ask(url, how), (text) => text.slice(0, text.length / 2)),
  // the office dies: before it does anything, in the middle of its transaction, right after it
  "dies asked": (line, url, how) => ask(url, how, "asked"),
  "dies row": (line, url, how) => ask(url, how, "row"),
  "dies kept": (line, url, how) => ask(url, how, "kept"),
};
