// All that has not been sent, as one file with freshly signed heads: for the day when the phone
// can reach nobody and must be let go.
const rescue = (() => {
  async function file() {
    const phone = await book.meta("phone");
    const { places, pictures } = await book.read((tx) => ({
      places: tx.objectStore("outbox").getAll(), pictures: tx.objectStore("photos").index("sent").getAll(0),
    }));
    const batches = [];
    for (let at = 0; at === 0 || at < places.length; at += offer.MOST) {
      batches.push(await offer.batch(phone, places.slice(at, at + offer.MOST), places.length));
    }
    const photos = pictures.map(({ sha256, bytes, event }) => ({ sha256, event, jpeg: base64(bytes) }));
    const text = JSON.stringify({ kind: "sillbook-unsent", v: 1, device: phone.device, at: ids.now(), batches, photos });
    const name = "sillbook-unsent-" + ids.now().slice(0, 10) + ".json";
    return new Response(text, { headers: {
      ...(await bundle.pageHeaders()), "content-type": "application/json; charset=utf-8",
      "content-disposition": 'attachment; filename="' + name + '"',
    } });
  }

  function base64(buffer) {
    const bytes = new Uint8Array(buffer);
    let text = "";
    for (let at = 0; at < bytes.length; at += 4096) text += String.fromCharCode(...bytes.subarray(at, at + 4096));
    return btoa(text);
  }

  return { file };
})();
