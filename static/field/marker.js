// A sign that this browser was paired, kept apart from the book: where the sign stands and the book
// holds no phone, the browser has cleared the book, and that is told.
const marker = (() => {
  const NAME = "paired-with-sillbook"; // page.js looks for it too

  const set = () => caches.open(NAME);
  const remove = () => caches.delete(NAME);

  return { set, remove };
})();
