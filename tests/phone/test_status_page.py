"""The page of what is saved and sent says what the line at its top says, live. Our own rule."""

import threading

from tests.browser.models import SEEN
from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.line import Answered
from tests.phone.work import tick


def test_line_and_page_never_say_different_things_after_sending(site: Site) -> None:
    page = site.phone.page
    site.office.stop()
    tick(page, 0)
    page.goto("/field/status")
    line = page.locator("#kept-and-sent")
    expect(line).to_contain_text("1 entry saved on this phone, not yet sent", timeout=SEEN)
    fact = page.locator("dl.facts > div").filter(has_text="Entries not yet sent")
    expect(fact).to_contain_text("1")
    main = page.get_by_role("main")
    expect(main).to_contain_text("Save what is not sent as a file")
    assert "All sent" not in page.locator("body").inner_text()
    page.get_by_text("Let this phone go").click()
    site.office.start()
    page.get_by_role("button", name="Send now").click()  # which has the focus from now on
    expect(line).to_contain_text("All sent", timeout=SEEN)
    assert "not yet sent" not in line.inner_text()
    expect(fact).to_contain_text("Entries not yet sent0", timeout=SEEN)
    expect(main).not_to_contain_text("Save what is not sent as a file")
    expect(page.get_by_text("Not everything has been sent.")).to_have_count(0)
    expect(page.get_by_text("Clears all openings")).to_be_visible()  # what was unfolded stays so
    expect(page.get_by_role("button", name="Send now")).to_be_focused()


def test_an_office_that_took_the_entries_is_not_said_to_be_out_of_reach(site: Site) -> None:
    """What is new is fetched after that, and on a poor line it takes its time."""
    page = site.phone.page
    site.office.stop()
    tick(page, 0)
    page.goto("/field/status")
    main = page.get_by_role("main")
    expect(main).to_contain_text("The office cannot be reached now", timeout=SEEN)
    go_on = threading.Event()

    def hold_news(exchange: Answered) -> None:
        if exchange.method == "GET" and exchange.path.startswith("/sync?"):
            go_on.wait(SEEN / 1000)

    site.line.before = hold_news  # type: ignore[assignment]
    try:
        site.office.start()
        page.get_by_role("button", name="Send now").click()
        expect(page.locator("#kept-and-sent")).to_contain_text("All sent", timeout=SEEN)
        expect(main).not_to_contain_text("The office cannot be reached now", timeout=SEEN / 4)
    finally:
        go_on.set()
        site.line.heal()
