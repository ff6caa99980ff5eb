// A signature drawn with a finger or a pen. It fills the hidden field with points,
// "x,y x,y;x,y x,y" in a box 600 by 200; the typed name counts without it.
(function () {
  "use strict";

  const WIDTH = 600, HEIGHT = 200, MOST_POINTS = 1500;

  function strokesOf(text) {
    if (!text) return [];
    return text.split(";").map((part) => part.split(" ").map((pair) => pair.split(",").map(Number)));
  }

  function textOf(strokes) {
    return strokes.map((stroke) => stroke.map((point) => point.join(",")).join(" ")).join(";");
  }

  function place(canvas, event) {
    const box = canvas.getBoundingClientRect();
    const kept = (value, most) => Math.min(most, Math.max(0, Math.round(value)));
    return [kept((event.clientX - box.left) * WIDTH / box.width, WIDTH),
      kept((event.clientY - box.top) * HEIGHT / box.height, HEIGHT)];
  }

  function draw(canvas, strokes) {
    const pen = canvas.getContext("2d");
    pen.clearRect(0, 0, WIDTH, HEIGHT);
    pen.lineWidth = 4;
    pen.lineCap = pen.lineJoin = "round";
    for (const stroke of strokes) {
      pen.beginPath();
      pen.moveTo(stroke[0][0], stroke[0][1]);
      for (const point of stroke) pen.lineTo(point[0], point[1]);
      pen.stroke();
    }
  }

  function add(pad) {
    const field = pad.querySelector('input[name="strokes"]');
    const canvas = document.createElement("canvas");
    canvas.width = WIDTH;
    canvas.height = HEIGHT;
    canvas.setAttribute("role", "img");
    canvas.setAttribute("aria-label", pad.dataset.label);
    const said = document.createElement("p");
    said.textContent = pad.dataset.label;
    const again = document.createElement("button");
    again.type = "button";
    again.className = "plain";
    again.textContent = pad.dataset.again;
    let strokes = strokesOf(field.value);
    let drawing = false;

    const keep = () => { field.value = textOf(strokes); draw(canvas, strokes); };
    const count = () => strokes.reduce((sum, stroke) => sum + stroke.length, 0);
    canvas.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      canvas.setPointerCapture(event.pointerId);
      drawing = count() < MOST_POINTS;
      if (drawing) strokes.push([place(canvas, event)]);
      keep();
    });
    canvas.addEventListener("pointermove", (event) => {
      if (!drawing || count() >= MOST_POINTS) return;
      const stroke = strokes[strokes.length - 1];
      const point = place(canvas, event);
      const last = stroke[stroke.length - 1];
      if (Math.abs(point[0] - last[0]) + Math.abs(point[1] - last[1]) < 3) return;
      stroke.push(point);
      keep();
    });
    for (const end of ["pointerup", "pointercancel"]) canvas.addEventListener(end, () => { drawing = false; });
    again.addEventListener("click", () => { strokes = []; keep(); });
    pad.append(said, canvas, again);
    pad.dataset.sign = "added";
    keep();
  }

  function start() {
    for (const pad of document.querySelectorAll('[data-sign="yes"]')) add(pad);
  }

  start();
  document.addEventListener("htmx:afterSwap", start);
})();
