// A camera's file drawn anew as a clean JPEG: turned as the camera says, and nothing else of the
// file is kept. Used in pages, and by the worker where a page could not.
const picture = (() => {
  const FIELD = "photo"; // the name of the field in every form that takes one
  const LONGEST = 1600; // pixels of the longer side
  const QUALITY = 0.82;

  // The picture alone, no larger than it is kept, on a canvas.
  // Fails where the file is no picture that this browser can read.
  async function cleaned(file) {
    const drawn = await createImageBitmap(file, { imageOrientation: "from-image" });
    const scale = Math.min(1, LONGEST / Math.max(drawn.width, drawn.height));
    const width = Math.max(1, Math.round(drawn.width * scale));
    const height = Math.max(1, Math.round(drawn.height * scale));
    const canvas = new OffscreenCanvas(width, height);
    canvas.getContext("2d").drawImage(drawn, 0, 0, width, height);
    drawn.close();
    return canvas;
  }

  async function redrawn(file) {
    const canvas = await cleaned(file);
    const blob = await canvas.convertToBlob({ type: "image/jpeg", quality: QUALITY });
    return { blob, width: canvas.width, height: canvas.height };
  }

  return { FIELD, QUALITY, cleaned, redrawn };
})();
