"""A start from the image of the interpreter's memory is a start like any other, only quicker.

The independent side of each comparison is a start without the image, in the same worker.
"""

import json
from typing import Any

import pytest

from app.core.kinds import Json
from app.field.bundle import shipped_bundle
from tests.phone.fixtures import Site
from tests.phone.work import OPENING, STEP, all_is_well, tick

O = f"/field/o/{OPENING}"  # noqa: E741
PATHS = ["/field", O, f"{O}/drawing", f"{O}/setout", f"{O}/setout/job", f"{O}/step/A",
         f"{O}/step/B1", f"{O}/step/J", f"{O}/point/sill-room", f"{O}/parts", f"{O}/queries",
         f"{O}/history", f"{O}/instruments", f"{O}/sheet/B1/b1-builder", "/field/status",
         "/field/help", "/field/person", "/field/nowhere"]  # fmt: skip

# All pages in both languages, over the same book at the same time with the same ids; from the
# image, or with what `image` is told not to find. Nothing is sent or taken meanwhile: what is taken
# brings the person's own language back.
PAGES = """([paths, withImage]) => navigator.locks.request("sillbook-sync", async () => {
  const find = image.find;
  const isFromImage = () => !Module.FS.analyzePath("/app/core/phone.py").exists;
  if (!withImage) image.find = async () => null;
  // What the browser frees of the machine that is let go may shift the new one's numbers; then all
  // is imported, as in any doubt.
  for (let tries = 0; tries < 3; tries += 1) {
    vm.drop();
    await vm.start();
    if (isFromImage() === withImage) break;
  }
  image.find = find;
  const phone = await book.meta("phone");
  const about = { now: "2026-03-30T10:00:00-05:00", ids: Array.from({ length: 8 }, (_, at) => "id-" + at) };
  const out = { fromImage: isFromImage(), pages: {} };
  for (const lang of ["en", "es"]) {
    await book.setMeta("phone", { ...phone, person: { ...phone.person, lang } });
    await vm.speak(async () => [lang]);
    for (const path of paths) {
      const asked = { method: "GET", path, query: {}, form: {}, ...about };
      const { made } = await book.transact("readonly", (tx) => known.ask(tx, asked));
      out.pages[lang + " " + path] = made.status + " " + made.html;
    }
  }
  await book.setMeta("phone", phone);
  return out;
})"""  # noqa: E501

# Change what is kept of the image.
SPOIL = """async () => {
  const [name] = await caches.keys();
  const cache = await caches.open(name);
  const kept = await cache.match("/image");
  const about = JSON.parse(kept.headers.get("about"));
  const bytes = new Uint8Array(await kept.arrayBuffer());
  CHANGE;
  about.sha256 = about.sha256 || ids.hex(await crypto.subtle.digest("SHA-256", bytes));
  await cache.put("/image", new Response(bytes, { headers: { about: JSON.stringify(about) } }));
}"""
FROM_IMAGE = '() => !Module.FS.analyzePath("/app/core/phone.py").exists'
# What was kept when this version was installed, and what is made beside a full book: alike but for
# the first 64 KiB, the stack, where nothing is at rest (what lies there still tells times).
TWICE = """async () => {
  const STACK = 65536 / 4096;
  const kept = async () => {
    const { content, size } = await image.find();
    const [count] = new Uint32Array(content, 0, 1);
    const which = new Uint32Array(content, 4, count);
    const left = 4 + 4 * count + which.filter((block) => block < STACK).length * 4096;
    const sorted = which.every((block, at) => at === 0 || which[at - 1] < block);
    return { content, size, sorted, which: which.join(), sha256: ids.hex(await crypto.subtle.digest("SHA-256", content.slice(left))) };
  };
  const { content, ...first } = await kept();
  await image.make();
  const { content: _, ...second } = await kept();
  const text = Array.from(new Uint8Array(content), (byte) => String.fromCharCode(byte)).join("");
  return { first, second, text };
}"""  # noqa: E501


def in_worker(site: Site, script: str, given: Any = None) -> Any:
    """Return what a script finds out in the worker that is running now."""
    return site.phone.context.service_workers[-1].evaluate(script, given)


def test_pages_are_the_same_from_the_image_and_without(site: Site) -> None:
    tick(site.phone.page, 0)
    assert site.phone.is_sent()
    site.phone.page.goto("about:blank")  # nothing but this works on the book meanwhile
    made = in_worker(site, PAGES, [PATHS, True])
    plain = in_worker(site, PAGES, [PATHS, False])
    assert (made["fromImage"], plain["fromImage"]) == (True, False)
    assert len(made["pages"]) == 2 * len(PATHS)
    assert len(set(made["pages"].values())) == 2 * len(PATHS)
    for path, text in plain["pages"].items():
        assert made["pages"][path] == text, path
        assert text.startswith("404" if path.endswith("nowhere") else "200"), path


def test_work_goes_on_from_the_image(site: Site) -> None:
    """Workers are stopped between the entries: each is begun from the image, nothing is lost."""
    page = site.phone.page
    for number in range(3):
        site.phone.stop_worker()
        page.goto("/field/help")
        tick(page, number)
        assert in_worker(site, FROM_IMAGE)
    all_is_well(site, site.phone.own())


@pytest.mark.parametrize(
    "change",
    [
        pytest.param("bytes[bytes.length / 2] ^= 1", id="one bit"),
        pytest.param("about.size += 65536", id="another size of memory", marks=pytest.mark.long),
        pytest.param("about.numbers = '3,4'", id="other numbers", marks=pytest.mark.long),
        pytest.param("bytes.fill(255, 8192); about.sha256 = ''", id="whole, and wrong"),
    ],
)
def test_an_image_that_is_not_good_is_not_used(site: Site, change: str) -> None:
    page = site.phone.page
    page.goto(STEP)
    in_worker(site, SPOIL.replace("CHANGE", change))
    site.phone.stop_worker()
    page.goto("/field/help")
    tick(page, 0)
    assert not in_worker(site, FROM_IMAGE)


def test_the_image_holds_nothing_of_the_book(site: Site) -> None:
    """Made anew beside a full book it is the same to the byte; no word of the book is in it."""
    tick(site.phone.page, 0)
    book = site.phone.book()
    assert site.phone.is_sent()
    site.phone.page.goto("about:blank")  # nobody asks for a page meanwhile: one machine at a time
    found = in_worker(site, TWICE)
    assert found["first"] == found["second"]
    assert found["first"]["sorted"]
    text = found["text"]
    assert "There is no such page." in text  # the program's words are: words can be found
    words = {book["device"], *book["person"].values(), *strings(book["openings"])}
    words |= {event["id"] for event in book["events"]} | {"Tobin", "Hale", "Marrow", OPENING}
    longer = {word for word in words if len(word) > 4}
    assert len(longer) > 20
    assert not [word for word in longer if word in text and not of_program(word)]


def strings(thing: Json) -> set[str]:
    """Return every text in a JSON thing."""
    if isinstance(thing, str):
        return {thing}
    inside = thing.values() if isinstance(thing, dict) else thing if isinstance(thing, list) else ()
    return {text for each in inside for text in strings(each)}


def of_program(word: str) -> bool:
    """Return whether a word is one of the program's own, as `sliding` is."""
    return any(json.dumps(word)[1:-1].encode() in file.content for file in shipped_bundle().files)
