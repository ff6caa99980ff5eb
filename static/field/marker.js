// A sign that this browser was paired, kept apart from the book: where the sign stands and the book
// holds no phone, the browser has cleared the book, and that is told.
const marker = (() => {
  const NAME = "paired-with-sillbook"; // page.js looks for it too

  // The phone was let go without a network: its session at the office is ended when one comes.
  const LEAVING = "leaving-sillbook";

  const set = () => caches.open(NAME);
  const remove = () => caches.delete(NAME);
  const setLeaving = () => caches.open(LEAVING);
  const isLeaving = () => caches.has(LEAVING);
  const endLeaving = () => caches.delete(LEAVING);

  return { set, remove, setLeaving, isLeaving, endLeaving };
})();
