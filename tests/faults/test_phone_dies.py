"""The phone itself: killed, emptied, updated. Numbers are those of the list of faults."""

import pytest

from tests.browser.models import SEEN, SignIn
from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.line import Answered
from tests.phone.office import newer_program
from tests.phone.work import POINT, STEP, all_is_well, tick


def test_01_a_worker_killed_in_the_middle_of_a_form(site: Site) -> None:
    """The worker commits and is killed before it answers.

    The browser runs the request again: one event.
    """
    page = site.phone.page
    page.goto(STEP)
    site.phone.in_worker(
        "() => { const was = act.answer; act.answer = async (...asked) => { "
        "const made = await was(...asked); "
        "await new Promise((resolve) => setTimeout(resolve, 60000)); return made; }; }"
    )
    button = (
        page.get_by_role("region", name="Tasks")
        .get_by_role("listitem")
        .first.get_by_role("button")
        .first
    )
    button.click(no_wait_after=True)
    other = site.phone.context.new_page()
    other.goto("/sign-in")
    for _ in range(120):  # until the worker has kept it; it does not say so
        if site.phone.own(other):
            break
        other.wait_for_timeout(250)
    assert len(site.phone.own(other)) == 1
    site.phone.stop_worker(other)
    expect(button).to_have_attribute("aria-pressed", "true", timeout=SEEN)
    own = site.phone.own()
    assert len(own) == 1
    all_is_well(site, own)


def test_02_a_phone_that_dies_after_saved(site: Site) -> None:
    """Entries in a row, the browser killed each time right after the page says so.

    All are there.
    """
    site.line.before = lambda exchange: exchange.cut()
    told = []
    for number in range(3):
        tick(site.phone.page, number)
        told = site.phone.own()
        assert len(told) == number + 1
        site.phone.kill()
        site.phone.open()
        site.phone.page.goto("/field")
        assert site.phone.own() == told
    site.line.heal()
    all_is_well(site, told)


@pytest.mark.long
def test_03_everything_evicted(site: Site) -> None:
    """The browser clears all.

    An empty, honest phone, that pairs as a new one and takes everything.
    """
    page = site.phone.page
    tick(page, 0)
    assert site.phone.is_sent()
    told = site.phone.own()
    before = site.phone.book()["device"]
    site.phone.evict()
    page = site.phone.page
    page.goto("/field")
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign in", timeout=SEEN)
    site.phone.pair(site.code("tobin"))
    assert site.phone.book()["device"] != before
    tick(page, 1)
    all_is_well(site, told + site.phone.own())


def test_09_a_new_version_under_an_open_form(site: Site) -> None:
    """Old page, old program, typed text kept; the switch comes at a full page later, whole."""
    page = site.phone.page
    page.goto(f"{STEP.rpartition('/step')[0]}/queries")
    text = page.get_by_role("main").get_by_role("textbox").first
    text.fill("The sill is 3/8 lower than drawn at 8 ft")
    site.office.stop()
    site.office.start(newer_program(site.folder / "newer"))
    site.phone.looks_for_newer()
    other = site.phone.context.new_page()
    other.goto("/field")  # a full page, but somebody has typed something in another
    expect(other.get_by_role("heading", level=1)).to_have_text("Openings to be set", timeout=SEEN)
    expect(text).to_have_value("The sill is 3/8 lower than drawn at 8 ft")
    page.get_by_role("group", name="Which steps must wait").get_by_text("B1").first.click()
    page.get_by_role("button", name="Ask the office").first.click()
    expect(page.get_by_role("main").get_by_text("The sill is 3/8 lower").first).to_be_visible(
        timeout=SEEN
    )
    told = site.phone.own()
    assert [event["kind"] for event in told] == ["query.raised"]
    other.close()
    page.goto("/field")
    expect(page.get_by_role("heading", level=1)).to_have_text("Doors to be set", timeout=SEEN)
    all_is_well(site, told)


def test_09_a_page_that_is_not_asked_for_again_in_the_change(site: Site) -> None:
    """The browser forgets to ask again while the newer version takes over: the page asks itself."""
    page = site.phone.page
    page.goto("/field")
    site.office.stop()
    site.office.start(newer_program(site.folder / "newer"))
    site.phone.looks_for_newer()
    in_charge = site.phone.context.service_workers[0]
    in_charge.evaluate(
        "() => { const was = bundle.renew; bundle.renew = () => { "
        "const page = was(); page.headers.delete('refresh'); return page; }; }"
    )
    page.goto("/field")
    expect(page.get_by_role("link", name="Sillbook")).to_be_visible(timeout=SEEN)
    expect(page.get_by_role("heading", level=1)).to_have_text("Doors to be set", timeout=SEEN)
    all_is_well(site, [])


@pytest.mark.long
def test_10_a_torn_install(site: Site) -> None:
    """A file of the new version arrives cut: the old one lives on, whole, offline too.

    Later it switches.
    """
    page = site.phone.page
    page.goto("/field")
    site.office.stop()
    site.office.start(newer_program(site.folder / "newer"))

    def cut(exchange: Answered) -> None:
        if exchange.path.endswith("/code.json"):
            inner = exchange.exchange
            inner.content = inner.content[: len(inner.content) // 2]

    site.line.after = cut
    page.evaluate(
        "navigator.serviceWorker.getRegistration('/field').then((r) => r.update()).catch(() => 0)"
    )
    for _ in range(200):  # until the browser has asked for it, and for a moment more
        if any(path.endswith("/code.json") for _, path in site.line.asked):
            break
        page.wait_for_timeout(50)
    page.wait_for_timeout(500)
    site.line.before = lambda exchange: exchange.cut()
    site.line.after = None
    page.goto("/field")
    expect(page.get_by_role("heading", level=1)).to_have_text("Openings to be set", timeout=SEEN)
    tick(page, 0)
    told = site.phone.own()
    kept = [name for name in page.evaluate("caches.keys()") if name.startswith("sillbook-")]
    assert len(kept) == 1
    site.line.heal()
    site.phone.looks_for_newer()
    page.goto("/field")
    expect(page.get_by_role("heading", level=1)).to_have_text("Doors to be set", timeout=SEEN)
    all_is_well(site, told)


def test_25_no_worker(site: Site) -> None:
    """A browser that runs no worker gets the same pages from the server, and is told."""
    plain = site.another("plain")
    page = plain.open(service_workers="block")
    try:
        SignIn(page).as_("tobin")
        expect(page.locator("#kept-and-sent")).to_contain_text("needs a network", timeout=SEEN)
        tick(page, 0)
        assert any(
            event["device"].startswith("web-") for event in site.office.events("marrow-lane-a")
        )
    finally:
        plain.close()


def test_25_no_webassembly(site: Site) -> None:
    """A worker that may not run WebAssembly passes every request on to the server."""
    page = site.phone.page
    page.goto("/field")
    site.phone.in_worker(
        "() => { vm.drop(); vm.start = () => Promise.reject(new Error('no wasm')); }"
    )
    page.goto(POINT)
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign in", timeout=SEEN)
