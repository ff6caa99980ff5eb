// PINs of the persons of a shared phone: they say who signs, and open nothing anywhere.
// The verifier is keyed by a key that cannot leave this browser, so a copy of the store cannot be
// tried elsewhere; here wrong tries slow down, and after five only the password helps, online.
// All of it is worked out before the book's transaction begins.
const pins = (() => {
  const DIGITS = /^[0-9]{6}$/;
  const ROUNDS = 100000;
  const MOST_WRONG = 5;
  const LENT = "lent"; // whose code it is that takes the phone back from the owner, where a person has no PIN
  const ACTS = ["set-pin", "switch", "sign", "lend", "take-back"];
  const SECRETS = ["pin", "again", "password"];

  // Takes what is secret out of a form; returns {person, state, seconds, left} for the core, or null.
  async function asked(asking) {
    const given = {};
    for (const name of SECRETS) {
      given[name] = asking.form[name] ?? "";
      delete asking.form[name];
    }
    if (!ACTS.includes(asking.form.act)) return null;
    const phone = await book.meta("phone");
    const person = asking.form.person || phone?.person.id;
    if (!phone?.persons.some(({ id }) => id === person)) return null;
    if (asking.form.act === "set-pin") return set(phone, person, given);
    if (["switch", "sign"].includes(asking.form.act)) return navigator.locks.request("pin", () => check(person, given.pin));
    if (asking.form.act === "lend") return phone.lent || (await held(person)).kept ? null : forThisTime(person, given);
    if (asking.form.act === "take-back") return navigator.locks.request("pin", () => takenBack(phone, person, given));
    return null;
  }

  // Set without the office's word, so it counts for nothing but taking the phone back.
  async function forThisTime(person, { pin, again }) {
    if (!areFit(pin)) return { person, state: "form" };
    if (pin !== again) return { person, state: "differs" };
    await setPin(LENT, pin);
    return { person, state: "kept" };
  }

  async function takenBack(phone, person, { pin, password }) {
    const who = (await held(LENT)).kept ? LENT : person;
    if (!password) return { ...(await check(who, pin)), person };
    const state = await refusal(phone, person, password) || "right";
    const { kept } = await held(who);
    if (state === "right" && kept) await keep(who, { ...kept, wrong: 0, until: 0 });
    return { person, state };
  }

  async function check(person, pin) {
    const { kept, key } = await held(person);
    if (!kept || !key) return { person, state: "unset" };
    if (kept.wrong >= MOST_WRONG) return { person, state: "locked" };
    // a wait longer than any began under a clock that was ahead: it is over
    const seconds = Math.ceil((kept.until - Date.now()) / 1000);
    if (seconds > 0 && seconds <= 2 ** MOST_WRONG) return { person, state: "wait", seconds };
    if (!DIGITS.test(pin)) return { person, state: "form" };
    const right = await verifier(key, kept, pin) === kept.verifier;
    const wrong = right ? 0 : kept.wrong + 1;
    await keep(person, { ...kept, wrong, until: right ? 0 : Date.now() + 1000 * 2 ** wrong });
    return right ? { person, state: "right" } : { person, state: wrong < MOST_WRONG ? "wrong" : "locked", left: MOST_WRONG - wrong };
  }

  async function set(phone, person, { pin, again, password }) {
    if (!areFit(pin)) return { person, state: "form" };
    if (pin !== again) return { person, state: "differs" };
    const state = await refusal(phone, person, password);
    if (state) return { person, state };
    await setPin(person, pin);
    return { person, state: "kept" };
  }

  const areFit = (pin) => DIGITS.test(pin) && new Set(pin).size >= 3;

  // The office says whether the password is right ("" where it is); the PIN itself it never hears.
  async function refusal(phone, person, password) {
    try {
      const body = JSON.stringify({ person, password });
      await sync.ask("/sync/password", phone, { method: "POST", body, headers: { "content-type": "application/json" } });
      return "";
    } catch (error) {
      const known = {
        "password-wrong": "password", "too-many-tries": "wait-password", "person-unknown": "gone", "pair-again": "unpaired",
      };
      return known[error.code] || "no-answer";
    }
  }

  async function setPin(person, pin) {
    const key = (await held(person)).key || await crypto.subtle.generateKey({ name: "HMAC", hash: "SHA-256" }, false, ["sign"]);
    const kept = { salt: crypto.getRandomValues(new Uint8Array(16)), rounds: ROUNDS, wrong: 0, until: 0 };
    await keep(person, { ...kept, verifier: await verifier(key, kept, pin) }, key);
  }

  async function held(person) {
    const meta = (tx, name) => tx.objectStore("meta").get(name);
    const { pins: all, key } = await book.read((tx) => ({ pins: meta(tx, "pins"), key: meta(tx, "pin-key") }));
    return { kept: all?.[person], key };
  }

  function keep(person, kept, key) {
    return book.transact("beside", async (tx) => {
      const meta = tx.objectStore("meta");
      meta.put({ ...(await book.result(meta.get("pins"))), [person]: kept }, "pins");
      if (key) meta.put(key, "pin-key");
    });
  }

  async function verifier(key, { salt, rounds }, pin) {
    const raw = await crypto.subtle.importKey("raw", new TextEncoder().encode(pin), "PBKDF2", false, ["deriveBits"]);
    const how = { name: "PBKDF2", hash: "SHA-256", salt, iterations: rounds };
    return ids.hex(await crypto.subtle.sign("HMAC", key, await crypto.subtle.deriveBits(how, raw, 256)));
  }

  return { asked, LENT };
})();
