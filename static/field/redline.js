// What the camera took, shown at once and large. A finger draws on it: a ring stays a ring, any
// other stroke becomes an arrow. What was drawn is part of the clean picture that is kept.
const redline = (() => {
  const THICK = 1 / 90; // of the longer side
  const CLOSED = 0.25; // a stroke that ends as near its start as this part of its length is a ring
  const boards = new WeakMap(); // of each file: {canvas, clean, strokes}

  // Fails where the file is no picture that this browser can read.
  async function show(form, file) {
    const clean = await picture.cleaned(file);
    const canvas = form.querySelector("canvas");
    const board = { canvas, clean, strokes: [] };
    [canvas.width, canvas.height] = [clean.width, clean.height];
    boards.set(file, board);
    canvas.onpointerdown = (event) => begin(event, board);
    canvas.onpointermove = (event) => go(event, board);
    canvas.onpointerup = canvas.onpointercancel = () => { board.drawing = null; paint(board); };
    form.querySelector(".clear-marks").onclick = () => { board.strokes = []; paint(board); };
    paint(board);
    form.classList.add("is-shown");
    form.querySelector(".file-keep").focus({ preventScroll: true });
  }

  // Where on the picture: it is shown whole, in the middle of its box (object-fit).
  function at({ offsetX, offsetY }, { canvas }) {
    const scale = Math.min(canvas.clientWidth / canvas.width, canvas.clientHeight / canvas.height);
    const [left, top] = [canvas.clientWidth - canvas.width * scale, canvas.clientHeight - canvas.height * scale];
    return [(offsetX - left / 2) / scale, (offsetY - top / 2) / scale];
  }

  function begin(event, board) {
    board.canvas.setPointerCapture(event.pointerId);
    board.drawing = [at(event, board)];
    board.strokes.push(board.drawing);
  }

  function go(event, board) {
    if (!board.drawing) return;
    board.drawing.push(at(event, board));
    paint(board);
  }

  function paint({ canvas, clean, strokes }) {
    const pen = canvas.getContext("2d");
    pen.drawImage(clean, 0, 0);
    const thick = Math.max(canvas.width, canvas.height) * THICK;
    pen.lineCap = pen.lineJoin = "round";
    for (const [colour, width] of [["#fff", thick * 1.8], ["#c00000", thick]]) { // seen on any ground
      pen.strokeStyle = colour;
      pen.lineWidth = width;
      for (const stroke of strokes) {
        const path = new Path2D();
        stroke.forEach(([x, y], n) => { if (n) path.lineTo(x, y); else path.moveTo(x, y); });
        if (!isRing(stroke)) head(path, stroke, thick * 5);
        pen.stroke(path);
      }
    }
  }

  const apart = ([x1, y1], [x2, y2]) => Math.hypot(x2 - x1, y2 - y1);

  function isRing(stroke) {
    const length = stroke.reduce((sum, point, n) => sum + (n ? apart(stroke[n - 1], point) : 0), 0);
    return apart(stroke[0], stroke.at(-1)) < length * CLOSED;
  }

  // The two short lines of an arrow, where the stroke ends.
  function head(path, stroke, size) {
    const end = stroke.at(-1);
    const before = stroke.findLast((point) => apart(point, end) > size) || stroke[0];
    const angle = Math.atan2(end[1] - before[1], end[0] - before[0]);
    for (const turn of [-2.6, 2.6]) {
      path.moveTo(...end);
      path.lineTo(end[0] + size * Math.cos(angle + turn), end[1] + size * Math.sin(angle + turn));
    }
  }

  const isShown = (file) => boards.has(file);

  // As picture.redrawn, with what was drawn on it.
  async function redrawn(file) {
    const { canvas } = boards.get(file);
    const blob = await new Promise((done) => { canvas.toBlob(done, "image/jpeg", picture.QUALITY); });
    return { blob, width: canvas.width, height: canvas.height };
  }

  return { show, isShown, redrawn };
})();
