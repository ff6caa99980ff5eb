"""Half wiped: the book gone and the rest alive, or the other way. Number 4 of the list of faults.

A browser clears an origin's stores whole or one kind at a time (Clear-Site-Data, storage
eviction, "clear cookies"): here Chromium's Storage.clearDataForOrigin does it, kind by kind.
"""

import pytest

from tests.browser.models import SEEN, SignIn
from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.work import STEP, all_is_well, tick

LINE = "#kept-and-sent"


def clear(site: Site, kinds: str) -> None:
    """Clear some kinds of what the browser keeps for the office's pages."""
    site.phone.page.goto("about:blank")
    session = site.phone.cdp()
    asked = {"origin": site.line.address, "storageTypes": kinds}
    session.send("Storage.clearDataForOrigin", asked)
    if "cookies" in kinds:
        site.phone.context.clear_cookies()


def test_04_the_book_is_gone_and_the_rest_lives(site: Site) -> None:
    """Worker, program and cookie live, the book is gone: it is said, with and without a network.

    Paired anew the phone has another number, and what it sent before is there.
    """
    page = site.phone.page
    SignIn(page).as_("tobin")
    tick(page, 0)
    assert site.phone.is_sent()
    told, before = site.phone.own(), site.phone.book()["device"]
    clear(site, "indexeddb")
    page.goto("/field")
    expect(page.locator(LINE)).to_contain_text("book was cleared by its browser", timeout=SEEN)
    site.line.before = lambda exchange: exchange.cut()
    page.goto(STEP)
    expect(page.get_by_role("heading", level=1)).to_contain_text(
        "The book on this phone is empty", timeout=SEEN
    )
    site.line.heal()
    site.phone.pair(site.code("tobin"))
    assert site.phone.book()["device"] != before
    tick(page, 1)
    again = site.phone.own()
    assert [event["n"] for event in again] == [1]
    all_is_well(site, told + again)


@pytest.mark.long
def test_04_the_book_lives_and_the_rest_is_gone(site: Site) -> None:
    """Program, then worker and cookie are gone, with entries unsent: the phone mends itself.

    It is the same phone, and its chain goes on where it was.
    """
    page = site.phone.page
    site.line.before = lambda exchange: (
        exchange.cut() if exchange.path.startswith("/sync") else None
    )
    tick(page, 0)
    before = site.phone.book()["device"]
    clear(site, "cache_storage,cookies")
    site.phone.stop_worker()
    page.goto("/field")
    expect(page.locator(LINE)).to_contain_text("1 entry saved on this phone", timeout=SEEN)
    clear(site, "service_workers,cookies")
    page.goto("/field")
    expect(page.locator(LINE)).to_contain_text("1 entry saved on this phone", timeout=SEEN)
    tick(page, 1)
    told = site.phone.own()
    assert [(event["n"], event["device"]) for event in told] == [(1, before), (2, before)]
    site.line.heal()
    all_is_well(site, told)
