// Photos: a clean JPEG made on the phone, kept under its own hash, sent after the entries.
const photos = (() => {
  const PATIENCE = 60000; // milliseconds to send one
  // Refusals of one photo: it stays, and the others go on.
  const OF_ONE = ["photo-unnamed", "photo-damaged", "photo-not-jpeg", "photo-extra", "photo-pixels", "photo-scans", "message-too-large"];

  // Take the picture out of a form and put in its place what the core needs to know of it.
  async function taken(form) {
    const file = form.get(picture.FIELD);
    const drawn = form.get("drawn");
    form.delete(picture.FIELD);
    form.delete("drawn");
    if (!drawn && !(file instanceof File && file.size)) return null;
    const bytes = drawn ? Uint8Array.from(atob(drawn), (sign) => sign.charCodeAt(0)).buffer : await redrawn(form, file);
    const sha256 = ids.hex(await crypto.subtle.digest("SHA-256", bytes));
    form.set("sha256", sha256);
    form.set("size", String(bytes.byteLength));
    return { sha256, bytes };
  }

  // Where the page did not draw it (camera.js).
  async function redrawn(form, file) {
    try {
      const { blob, width, height } = await picture.redrawn(file);
      form.set("width", String(width));
      form.set("height", String(height));
      return await blob.arrayBuffer();
    } catch {
      throw new DOMException("this picture cannot be read here", "PhotoError");
    }
  }

  // A photo of this phone from its book, a page of a shop drawing as it was taken along; any other from
  // the office.
  async function serve(request, sha256) {
    const { found, phone } = await book.read((tx) => ({
      found: tx.objectStore("photos").get(sha256), phone: tx.objectStore("meta").get("phone"),
    }));
    if (found) {
      return new Response(found.bytes, { headers: {
        "content-type": "image/jpeg", "x-content-type-options": "nosniff", "cache-control": "no-store",
        "content-security-policy": "default-src 'none'; sandbox",
      } });
    }
    if (!phone) return fetch(request);
    const drawing = await shop.find("/photos/" + sha256);
    if (drawing) return drawing;
    return fetch(request.url, { headers: { authorization: "Bearer " + phone.token } });
  }

  // Send those whose event has its receipt, one after the other. Returns how many are left.
  async function send(phone) {
    const { waiting } = await book.read((tx) => ({ waiting: tx.objectStore("photos").index("sent").getAllKeys(0) }));
    let left = waiting.length;
    let refused = null;
    for (const sha256 of waiting) {
      try {
        if (await sendOne(phone, sha256)) left -= 1;
      } catch (error) {
        if (!OF_ONE.includes(error.code)) throw error;
        refused = error;
      }
    }
    if (refused) throw refused;
    return left;
  }

  async function sendOne(phone, sha256) {
    const { photo } = await book.read((tx) => ({ photo: tx.objectStore("photos").get(sha256) }));
    const { entry } = await book.read((tx) => ({ entry: tx.objectStore("events").get(photo.event) }));
    if (!entry?.sent) return false;
    const answer = await sync.ask("/photos/" + sha256, phone, {
      method: "PUT", body: photo.bytes, headers: { "content-type": "image/jpeg" },
    }, PATIENCE);
    if (answer.sha256 !== sha256) throw sync.trouble("not-sillbook");
    await book.transact("beside", (tx) => { tx.objectStore("photos").put({ ...photo, sent: 1, sentAt: sync.officeTime() }); });
    return true;
  }

  return { taken, serve, send };
})();
