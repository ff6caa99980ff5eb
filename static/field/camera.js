// In pages with a form that takes a photo: the picture is drawn anew before the form is sent.
// Not in the worker: WebKit (2.50) now and then ends a worker that reads a picture, and the form
// with it. A file that cannot be drawn goes as it is, and the worker says what is wrong with it.
(function () {
  "use strict";

  const made = new Map(); // of each file chosen: null while it is drawn, or what came of it

  function chosen(form) {
    const field = form.querySelector('input[type="file"][name="' + picture.FIELD + '"]');
    return (field && field.files[0]) || null;
  }

  async function draw(form, file, button) {
    made.set(file, null);
    form.setAttribute("aria-busy", "true");
    const taken = redline.isShown(file) ? redline.redrawn(file) : picture.redrawn(file);
    made.set(file, await taken.then(asText).catch(() => ({})));
    form.removeAttribute("aria-busy");
    if (chosen(form) === file) form.requestSubmit(button);
  }

  // As text: a form's file that was made in memory reaches WebKit's worker with nothing in it.
  async function asText({ blob, width, height }) {
    const read = new FileReader();
    read.readAsDataURL(blob);
    await new Promise((resolve, reject) => { read.onload = resolve; read.onerror = reject; });
    return { width, height, drawn: read.result.slice(read.result.indexOf(",") + 1) };
  }

  document.addEventListener("submit", (event) => {
    const file = chosen(event.target);
    if (!file || made.get(file)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    if (!made.has(file)) draw(event.target, file, event.submitter);
  }, true);

  // What the camera took is shown at once, to be drawn on; what cannot be shown is sent as it is.
  document.addEventListener("change", ({ target }) => {
    if (target.dataset.atOnce === undefined || !target.files.length) return;
    redline.show(target.form, target.files[0]).catch(() => target.form.requestSubmit());
  });

  document.addEventListener("formdata", ({ target, formData }) => {
    const facts = made.get(chosen(target));
    if (!facts || !facts.drawn) return;
    formData.delete(picture.FIELD);
    for (const [name, value] of Object.entries(facts)) formData.set(name, value);
  });
})();
