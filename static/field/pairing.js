// Pairs this phone with the office: its key, its name there, and all that is to be set.
const pairing = (() => {
  // tell(stage, count) is called as it goes on. Throws a SyncError whose code says why not.
  async function pair(code, name, tell) {
    const before = await book.meta("phone");
    if (before?.forked) await sendFirst(before);
    // A phone that is known stays the same phone; one whose book was copied, or that the office
    // has ended, must become another.
    const key = before && !before.forked ? before.key : null;
    const { made, used } = await ask(code, name, key).catch((error) => {
      if (key && error.code === "phone-revoked") return ask(code, name, null);
      throw error;
    });
    if (!made.device || !made.token || !made.person) throw sync.trouble("not-sillbook");
    await keep(before, made, used);
    await marker.set();
    await fill(tell);
    await carry.over();
    return made.person.name;
  }

  // What can still arrive under the old name has its receipt before there is another.
  async function sendFirst(before) {
    await offer.send(before).catch((error) => {
      if (error.code !== "pair-again") throw error; // that name has ended
    });
  }

  async function ask(code, name, known) {
    const used = known || (await keys.make());
    const asked = { code, name, key: await keys.publicJwk(used) };
    if (known) asked.proof = await keys.prove(known, code);
    const made = await sync.ask("/pair", null, {
      method: "POST", body: JSON.stringify(asked), headers: { "content-type": "application/json" },
    });
    return { made, used };
  }

  function keep(before, made, key) {
    const devices = [...new Set([...(before?.devices || []), made.device])];
    const phone = {
      ...before, device: made.device, token: made.token, person: made.person, persons: [made.person],
      key, devices, forked: false, carry: Boolean(before && before.device !== made.device), // until it is done: carry.js
    };
    return book.setMeta("phone", phone);
  }

  async function fill(tell) {
    let count = 0;
    tell("entries", count);
    await pull.take(await book.meta("phone"), (events) => {
      count += events;
      tell("entries", count);
    });
  }

  return { pair };
})();
