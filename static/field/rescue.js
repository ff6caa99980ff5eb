// All that has not been sent, as a file with freshly signed heads: for the day when the phone
// can reach nobody and must be let go. Photos beyond the first go into further files.
const rescue = (() => {
  const PHOTOS = 40; // in one file (app/core/pages/status.py counts the files by it)

  async function file(part) {
    const phone = await book.meta("phone");
    const { places, names } = await book.read((tx) => ({
      places: tx.objectStore("outbox").getAll(), names: tx.objectStore("photos").index("sent").getAllKeys(0),
    }));
    const batches = part === 1 ? await batchesOf(phone, places) : [];
    const photos = await picturesOf(names.slice((part - 1) * PHOTOS, part * PHOTOS));
    const parts = Math.max(1, Math.ceil(names.length / PHOTOS));
    const made = { kind: "sillbook-unsent", v: 1, device: phone.device, at: ids.now(), part, parts, batches, photos };
    const name = "sillbook-unsent-" + ids.now().slice(0, 10) + (parts > 1 ? "-" + part : "") + ".json";
    return new Response(JSON.stringify(made), { headers: {
      ...(await bundle.pageHeaders()), "content-type": "application/json; charset=utf-8",
      "content-disposition": 'attachment; filename="' + name + '"',
    } });
  }

  async function batchesOf(phone, places) {
    const made = [];
    for (let at = 0; at < places.length; at += offer.MOST) {
      made.push(await offer.batch(phone, places.slice(at, at + offer.MOST), places.length));
    }
    return made;
  }

  async function picturesOf(names) {
    const found = await book.read((tx) => Object.fromEntries(names.map((name) => [name, tx.objectStore("photos").get(name)])));
    return names.map((name) => ({ sha256: name, event: found[name].event, jpeg: base64(found[name].bytes) }));
  }

  function base64(buffer) {
    const bytes = new Uint8Array(buffer);
    let text = "";
    for (let at = 0; at < bytes.length; at += 4096) text += String.fromCharCode(...bytes.subarray(at, at + 4096));
    return btoa(text);
  }

  return { file };
})();
