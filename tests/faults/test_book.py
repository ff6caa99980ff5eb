"""The book: copied, lost, raised; clocks; the same form twice.

Numbers are those of the list of faults.
"""

import pytest

from tests.browser.models import SEEN
from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.work import OPENING, STEP, all_is_well, tick

LINE = "#kept-and-sent"


def test_05_a_phone_that_was_copied(site: Site) -> None:
    """Two copies write different things: noticed by the chain; the second gets a new name.

    All arrives.
    """
    site.phone.close()
    copy = site.copy_of_phone("copy")
    site.phone.open()
    tick(site.phone.page, 0)
    assert site.phone.is_sent()
    first = site.phone.own()
    page = copy.open()
    try:
        site.line.before = lambda exchange: exchange.cut()
        tick(page, 1)
        tick(page, 2)
        second = copy.own()
        assert first[0]["n"] == second[0]["n"]
        assert first[0]["device"] == second[0]["device"]
        site.line.heal()
        copy.sync()
        expect(page.locator(LINE)).to_contain_text("book was copied", timeout=SEEN)
        copy.pair(site.code("tobin"))
        again = copy.own()
        assert [event["body"] for event in again] == [event["body"] for event in second]
        assert {event["device"] for event in again} != {second[0]["device"]}
        all_is_well(site, first + again, [site.phone, copy])
    finally:
        copy.close()


def test_07_the_connection_to_the_book_is_lost(site: Site) -> None:
    """Closed under it, the book is opened once more.

    Where that fails a notice bars, nothing is "saved".
    """
    page = site.phone.page
    page.goto(STEP)
    site.phone.lose_book()
    tick(page, 0)
    told = site.phone.own()
    assert len(told) == 1
    site.phone.lose_book(for_good=True)
    button = (
        page.get_by_role("region", name="Tasks")
        .get_by_role("listitem")
        .nth(1)
        .get_by_role("button")
        .first
    )
    button.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text(
        "cannot be opened now", timeout=SEEN
    )
    site.phone.restart_worker().goto(STEP)
    assert site.phone.own() == told
    all_is_well(site, told)


def test_08_a_newer_book_while_pages_are_open(site: Site) -> None:
    """Another page raises the book's version.

    The worker lets go at once, and then says what is wrong.
    """
    page = site.phone.page
    page.goto(STEP)
    tick(page, 0)
    assert site.phone.is_sent()
    told = site.phone.own()
    other = site.phone.context.new_page()
    other.goto("/sign-in")
    raised = other.evaluate("""() => new Promise((resolve) => {
      const asked = indexedDB.open("sillbook", 9);
      asked.onblocked = () => resolve("blocked");
      asked.onsuccess = () => { asked.result.close(); resolve("raised"); };
    })""")
    assert raised == "raised"
    page.get_by_role("region", name="Tasks").get_by_role("listitem").nth(1).get_by_role(
        "button"
    ).first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text(
        "cannot be opened now", timeout=SEEN
    )
    assert site.phone.own() == told


def test_19_clocks_that_are_wrong(site: Site) -> None:
    """Year 2099, then a day back in another zone: nothing is refused, order is by cause."""
    page = site.phone.page
    page.goto(STEP)
    for number, now in enumerate(
        ("2099-12-31T23:59:59+14:00", "2026-01-01T00:00:00-12:00", "1970-01-01T00:00:00+00:00")
    ):
        site.phone.in_worker(f"() => {{ ids.now = () => '{now}'; }}")
        tick(page, number)
    told = site.phone.own()
    assert [event["at"][:4] for event in told] == ["2099", "2026", "1970"]
    turns = [event["turn"] for event in told]
    assert turns == sorted(set(turns))
    all_is_well(site, told)


SEND = """async ([path, changed]) => {
  const page = new DOMParser().parseFromString(await (await fetch(path)).text(), "text/html");
  const form = Array.from(page.forms).find((each) => each.elements.act?.value === "tick");
  const first = new URLSearchParams(new FormData(form));
  const again = new URLSearchParams(first);
  if (changed) again.set("done", first.get("done") === "yes" ? "no" : "yes");
  const send = (body) => fetch(path, { method: "POST", body }).then((answer) => answer.status);
  if (changed) return [await send(first), await send(again)];
  return Promise.all([send(first), send(first), send(first)]);
}"""


def test_a_form_that_is_sent_twice(site: Site) -> None:
    """A double tap is one entry; back, edit, send again is never answered "saved"."""
    page = site.phone.page
    page.goto(STEP)
    assert page.evaluate(SEND, [STEP, False]) == [200, 200, 200]
    assert len(site.phone.own()) == 1
    assert page.evaluate(SEND, [STEP, True]) == [200, 422]
    told = site.phone.own()
    assert len(told) == 2
    all_is_well(site, told)


@pytest.mark.long
def test_two_phones_at_one_opening(site: Site) -> None:
    """Both work with no office; afterwards both and the office hold the same, and fold alike."""
    second = site.another("second")
    page = second.open()
    try:
        second.pair(site.code("tobin"), "Second phone")
        site.line.before = lambda exchange: exchange.cut()
        tick(site.phone.page, 0)
        tick(page, 1)
        tick(page, 0)
        told = site.phone.own() + second.own()
        assert len({event["device"] for event in told}) == 2
        site.line.heal()
        assert site.phone.is_sent()
        assert second.is_sent()
        all_is_well(site, told, [second, site.phone])
        assert {e["opening"] for e in told} == {OPENING}
    finally:
        second.close()
