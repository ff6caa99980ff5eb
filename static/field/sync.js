// When to send and take: soon after an entry, when a page is shown, when a network comes, and now
// and then; one at a time; longer and longer apart while nobody answers.
const sync = (() => {
  const PATIENCE = 20000; // milliseconds for one answer
  const FIRST = 5000; // milliseconds before a second try
  const LONGEST = 15 * 60 * 1000;
  const AT_ONCE = ["network", "shown", "asked"]; // reasons that do not wait
  let failures = 0;
  let notBefore = 0;
  let more = false;
  let officeTime = 0; // milliseconds since 1970 by the office's clock, at its last answer; 0: not known

  function trouble(code, status = 0) {
    return Object.assign(new Error(code), { name: "SyncError", code, status });
  }

  // Ask the office for JSON. A page, a redirect or silence is no answer, whatever its status.
  async function ask(path, phone, how, patience = PATIENCE) {
    let answer;
    let said;
    try {
      answer = await fetch(path, {
        ...how, cache: "no-store", credentials: "omit", redirect: "error", signal: AbortSignal.timeout(patience),
        headers: { ...how.headers, accept: "application/json", ...(phone && { authorization: "Bearer " + phone.token }) },
      });
      said = await answer.text();
    } catch (error) {
      throw Object.assign(trouble("no-answer"), { late: error.name === "TimeoutError" });
    }
    const json = asObject(answer, said);
    if (!json) throw trouble("not-sillbook");
    officeTime = Date.parse(answer.headers.get("date") || "") || officeTime;
    if (!answer.ok) throw trouble(String(json.error?.code || "refused"), answer.status);
    return json;
  }

  function asObject(answer, said) {
    if (!(answer.headers.get("content-type") || "").startsWith("application/json")) return null;
    try {
      const json = JSON.parse(said);
      return json !== null && typeof json === "object" && !Array.isArray(json) ? json : null;
    } catch {
      return null;
    }
  }

  // Returns whether everything is sent and taken.
  async function run(why) {
    if (!AT_ONCE.includes(why) && Date.now() < notBefore) return false;
    more = true;
    return navigator.locks.request("sillbook-sync", { ifAvailable: true }, async (lock) => {
      if (!lock) return false; // the one who holds it looks again before it ends
      while (more) {
        more = false;
        if (!(await once())) return false;
      }
      return true;
    });
  }

  async function once() {
    const phone = await book.meta("phone");
    if (!phone) {
      await leaveAtLast();
      return false;
    }
    try {
      if (phone.lent) await leaveOffice();
      if (phone.carry) await pull.take(phone).then(carry.over);
      await offer.send(phone);
      await pull.take(phone);
      await offer.send(phone); // a new epoch asks for all again
      await photos.send(phone);
      await shop.take(phone).catch(() => {}); // to look at: what does not come now comes another time
      await tidy.run(officeTime).catch(() => {}); // it only makes room: another time will do
      failures = 0;
      notBefore = 0;
      return true;
    } catch (error) {
      await failed(error);
      return false;
    } finally {
      await talk.changed();
    }
  }

  // In the owner's hands: who types the address of another page of ours must sign in there first.
  // Returns whether the office was reached: without a network no other page opens either.
  async function leaveOffice() {
    const how = { method: "POST", body: new URLSearchParams(), redirect: "manual", signal: AbortSignal.timeout(PATIENCE) };
    return fetch("/sign-out", how).then(() => true, () => false);
  }

  // A phone that was let go leaves the office as well: now, or as soon as there is a network.
  async function leaveForGood() {
    await marker.setLeaving();
    if (!(await leaveAtLast())) await self.registration.sync?.register("leave").catch(() => {});
  }

  async function leaveAtLast() {
    const left = !(await marker.isLeaving()) || (await leaveOffice());
    if (left) await marker.endLeaving();
    return left;
  }

  async function failed(error) {
    failures += 1;
    notBefore = Date.now() + Math.min(LONGEST, FIRST * 2 ** (failures - 1)) * (0.5 + Math.random());
    await book.transact("beside", async (tx) => {
      const meta = tx.objectStore("meta");
      const { phone, news } = await book.all({ phone: meta.get("phone"), news: meta.get("news") });
      if (phone) meta.put({ ...news, trouble: error.code || "bug" }, "news"); // it may have been cleared since
    });
  }

  return { run, ask, leaveOffice, leaveForGood, leaveAtLast, trouble, officeTime: () => officeTime, PATIENCE };
})();
