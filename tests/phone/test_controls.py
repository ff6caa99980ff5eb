"""Security controls that only a browser can show, on a paired phone."""

import pytest

from tests.browser.models import SEEN
from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.work import STEP, tick

INJECTED = """() => {
  window.ran = [];
  const script = document.createElement("script");
  script.textContent = "window.ran.push('inline')";
  document.body.append(script);
  const image = document.createElement("img");
  image.setAttribute("onerror", "window.ran.push('handler')");
  image.src = "/static/img/nothing-here.svg";
  document.body.append(image);
  const link = document.createElement("a");
  link.href = "javascript:window.ran.push('link')";
  document.body.append(link);
  link.click();
  const far = document.createElement("script");
  far.src = "data:text/javascript,window.ran.push('data')";
  document.body.append(far);
  return new Promise((done) => setTimeout(() => done(window.ran), 500));
}"""
ODD = """async () => {
  const port = () => new MessageChannel().port1;
  const to = navigator.serviceWorker.controller;
  for (const odd of [null, 1, "", "pair", [], {}, {kind: 1}, {kind: "__proto__"}, {kind: "toString"},
    {kind: "constructor"}, {kind: "pair"}, {kind: "pair", code: 1, name: {}}, {kind: "clear"},
    {kind: "sync", why: {}}, {kind: "state", lasting: "yes", room: "<script>"}]) to.postMessage(odd);
  const keys = await caches.keys();
  const out = [];
  for (const name of keys) for (const asked of await (await caches.open(name)).keys()) out.push(new URL(asked.url).pathname);
  return out;
}"""  # noqa: E501


@pytest.mark.control(9, 12, 28)
def test_scripts_messages_and_caches(site: Site) -> None:
    """An injected script runs neither in a page of the worker nor in one of the server; messages
    that are none are not heard, and the worker lives on; it caches the bundle and nothing else."""
    page = site.phone.page
    for path in (STEP, "/sign-in"):
        page.goto(path)
        assert page.evaluate(INJECTED) == [], path
    page.goto(STEP)
    before = site.phone.book()
    cached = page.evaluate(ODD)
    assert cached
    personal = {"field", "office", "sync", "photos", "me", "record", "phones", "pair"}
    assert not {path.split("/")[1] for path in cached} & personal
    tick(page, 0)
    after = site.phone.book()
    assert (after["device"], after["person"]) == (before["device"], before["person"])
    assert len(after["events"]) == len(before["events"]) + 1
    expect(page.get_by_role("heading", level=1)).to_be_visible(timeout=SEEN)
