"""Two persons on one phone: what each entered stays theirs, and each signs by their own PIN."""

import re

import pytest
from playwright.sync_api import Locator, Page

from tests.browser.models import SEEN
from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.work import all_is_well, tick

TOBIN, NADIA = "Tobin Hale", "Nadia Ferrow"
PASSWORDS = {TOBIN: "gauge-rule-and-tape", NADIA: "plumb-line-and-level"}
PINS = {TOBIN: "204816", NADIA: "314159"}
_UNTIL = """async () => {
  const all = await book.meta("pins");
  for (const one of Object.values(all)) one.until = %s;
  await book.setMeta("pins", all);
}"""
LATER = _UNTIL % "0"  # the wait that wrong tries have earned is over
WAITING = _UNTIL % "Date.now() + 31000"  # the longest there is: a longer one is a wrong clock's
TRY = "() => pins.asked({form: {act: 'switch', person: 'nadia-ferrow', pin: '000111'}})"
_HELD = """async () => {
  const db = await new Promise((done) => { const a = indexedDB.open("sillbook"); a.onsuccess = () => done(a.result); });
  const meta = db.transaction("meta").objectStore("meta");
  const get = (name) => new Promise((done) => { const a = meta.get(name); a.onsuccess = () => done(a.result); });
  const [key, pins] = [await get("pin-key"), await get("pins")];
  const out = await crypto.subtle.exportKey("raw", key).then(() => "exported", (error) => error.name);
  db.close();
  return { out, extractable: key.extractable, pins: JSON.stringify(pins) };
}"""  # noqa: E501


def section(page: Page, name: str) -> Locator:
    """Return what stands under a person's name."""
    return page.get_by_role("region", name=name)


def pair_second(site: Site) -> None:
    page = site.phone.page
    page.goto("/pair#" + site.code("nadia"))
    page.get_by_label("What this phone is called").fill("Heron's phone")
    page.get_by_role("button", name="Pair this phone").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Openings to be set", timeout=SEEN)


def set_pin(page: Page, name: str, password: str) -> None:
    page.goto("/field/person")
    here = section(page, name)
    here.get_by_text("Set a PIN").click()
    here.get_by_label("Password of").fill(password)
    here.get_by_label("New PIN, six digits").fill(PINS[name])
    here.get_by_label("The PIN once more").fill(PINS[name])
    here.get_by_role("button", name="Keep the PIN").click()


def work_on_as(page: Page, name: str, pin: str) -> None:
    page.goto("/field/person")
    here = section(page, name)
    here.get_by_label("PIN of").fill(pin)
    here.get_by_role("button", name="Work on as").click()


def refused(page: Page, words: str) -> None:
    expect(page.get_by_role("alert").first).to_contain_text(re.compile(words), timeout=SEEN)


@pytest.mark.control(15, 17)
def test_two_persons_on_one_phone(site: Site) -> None:
    """Pairing and PINs with a network; everything else without."""
    page = site.phone.page
    pair_second(site)
    set_pin(page, NADIA, "not her password")
    refused(page, "not this person's password")
    for name in (NADIA, TOBIN):
        set_pin(page, name, PASSWORDS[name])
        expect(page.get_by_text("The PIN is kept on this phone.")).to_be_visible(timeout=SEEN)
    held = page.evaluate(_HELD)
    assert (held["out"], held["extractable"]) == ("InvalidAccessError", False)
    assert not any(pin in held["pins"] for pin in PINS.values())
    site.office.stop()
    tick(page, 0)
    entered = site.phone.own()[-1]
    assert entered["person"] == "nadia-ferrow"
    began = site.phone.in_worker("() => Date.now()")
    work_on_as(page, TOBIN, "000111")
    refused(page, "That PIN is wrong. Tries left: 4")
    kept = site.phone.in_worker("async () => (await book.meta('pins'))['tobin-hale']")
    assert kept["wrong"] == 1
    assert kept["until"] >= began + 2000
    site.phone.in_worker(WAITING)
    work_on_as(page, TOBIN, PINS[TOBIN])
    refused(page, "Wait [0-9]+ seconds")
    site.phone.in_worker(LATER)
    work_on_as(page, TOBIN, PINS[TOBIN])
    expect(page.get_by_role("contentinfo")).to_contain_text(TOBIN, timeout=SEEN)
    tick(page, 1)
    assert [e["person"] for e in site.phone.own()[-2:]] == ["nadia-ferrow", "tobin-hale"]
    for count in range(1, 6):
        found = site.phone.in_worker(TRY)
        assert found["state"] == ("locked" if count == 5 else "wrong")
        site.phone.in_worker(LATER)
    work_on_as(page, NADIA, PINS[NADIA])
    refused(page, "Five wrong PINs")
    told = site.phone.own()
    site.office.start()
    all_is_well(site, told)
    device = site.phone.book()["device"]
    ours = {e["id"]: e["person"] for e in site.office.events() if e["device"] == device}
    assert ours == {e["id"]: e["person"] for e in told}
