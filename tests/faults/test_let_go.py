"""A phone that is let go, or that has held things for long: what goes, what stays, who says so."""

import pytest

from tests.browser.models import SEEN, SignIn
from tests.browser.seen import expect
from tests.faults.test_photos import camera_file, step_with_photo, take
from tests.phone.fixtures import Site
from tests.phone.work import OPENING, all_is_well, tick

LINE = "#kept-and-sent"
DAY = 24 * 60 * 60 * 1000
# What the worker tells its pages; the heading is kept to see that the page was made anew.
CHANGED = """() => {
    window.before = document.querySelector("#main h1");
    const told = new MessageEvent("message", { data: { kind: "changed" } });
    navigator.serviceWorker.dispatchEvent(told);
}"""


def clear_phone(site: Site) -> None:
    """Tap what clears the phone."""
    page = site.phone.page
    page.goto("/field/status")
    page.get_by_text("Let this phone go").click()
    expect(page.get_by_role("button", name="Clear this phone")).to_be_visible(timeout=SEEN)
    expect(page.get_by_text("Not cleared: something on this phone")).not_to_be_visible()
    page.get_by_role("button", name="Clear this phone").click()


def is_empty(site: Site) -> bool:
    book = site.phone.book()
    found = ("device", "news", "events", "outbox", "openings", "procedures", "photos")
    return not any(book[name] for name in found)


@pytest.mark.control(27)
def test_a_phone_is_cleared_once_all_is_sent_or_the_person_says_so(site: Site) -> None:
    """Unsent entries hold it back; 401 clears nothing; the person's own word clears all."""
    page = site.phone.page
    site.line.before = lambda exchange: (
        exchange.cut() if exchange.path.startswith("/sync") else None
    )
    tick(page, 0)
    told = site.phone.own()
    clear_phone(site)
    refused = page.get_by_text("Not cleared: something on this phone")
    expect(refused).to_be_visible(timeout=SEEN)
    with page.expect_response(lambda answer: answer.url.endswith("/field/status")) as answered:
        page.evaluate(CHANGED)
    assert answered.value.finished() is None
    page.wait_for_function("document.querySelector('#main h1') !== window.before")
    expect(refused).to_be_visible(timeout=SEEN)
    assert site.phone.own() == told
    site.line.heal()
    all_is_well(site, told)
    site.office.stop()
    site.office.change("UPDATE device SET revoked = 1")
    site.office.start()
    tick(page, 1)
    expect(page.locator(LINE)).to_contain_text("Pair this phone again. 1 entry saved", timeout=SEEN)
    assert len(site.phone.book()["outbox"]) == 1, "401 cleared something"
    page.goto("/field/status")
    page.get_by_text("Let this phone go").click()
    page.get_by_label("I know that what was not sent will be lost").check()
    page.get_by_role("button", name="Clear this phone").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign in", timeout=SEEN)
    assert is_empty(site)


def test_a_phone_that_is_let_go_leaves_the_office_too(site: Site) -> None:
    """Its session ends with the book: at once, or without a network as soon as there is one."""
    page = site.phone.page
    page.goto("/sign-in")
    page.get_by_label("Name").fill("tobin")
    page.get_by_label("Password").fill("gauge-rule-and-tape")
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/field")
    site.office.stop()
    clear_phone(site)
    heading = page.get_by_role("heading", level=1)
    expect(heading).to_contain_text("The book on this phone is empty", timeout=SEEN)
    assert is_empty(site)
    site.office.start()
    page.goto("/field")
    expect(heading).to_have_text("Sign in", timeout=SEEN)


def test_what_is_sent_stays_ninety_days_and_until_accepted(site: Site) -> None:
    """After 89 days nothing goes; after 91 nothing while the opening is not accepted.

    Then the photo goes, and the entries once the opening is off the list: but for the last of the
    phone's own chain, so that its numbers go on should the opening come back.
    """
    page = site.phone.page
    page.goto("/field")
    tick(page, 0)
    take(step_with_photo(page, site), camera_file(site.folder / "camera.jpg", (640, 480)))
    expect(page.get_by_role("region", name="Photos").get_by_role("img").first).to_be_visible(
        timeout=SEEN
    )
    told = site.phone.own()
    all_is_well(site, told)

    def after(days: int, accepted: bool, listed: bool) -> tuple[int, int]:
        """Look after so many days; returns how many own entries and photos are left."""
        site.phone.in_worker(f"""async () => {{
          const news = await book.meta("news");
          const accepted = {[OPENING] if accepted else []};
          await book.setMeta("news", {{ ...news, tidied: 0, accepted }});
          if (!{str(listed).lower()}) await book.transact("readwrite", (tx) => {{
            tx.objectStore("openings").delete("{OPENING}");
          }});
          await tidy.run(Date.now() + {days * DAY});
        }}""")
        book = site.phone.book()
        return len(site.phone.own()), len(book["photos"])

    assert after(89, accepted=True, listed=True) == (2, 1)
    assert after(91, accepted=False, listed=False) == (2, 1)
    listed_again(site)
    assert after(91, accepted=True, listed=True) == (2, 0)
    assert after(91, accepted=True, listed=False) == (1, 0)
    assert site.phone.own() == told[-1:]
    assert [e["id"] for e in site.phone.live(OPENING)] == [told[-1]["id"]]
    site.phone.in_worker(
        "async () => book.setMeta('news', { ...(await book.meta('news')), cursor: '' })"
    )
    tick_again(site, told)


def listed_again(site: Site) -> None:
    """Wait until the opening is on the phone's list again."""
    for _ in range(40):
        if OPENING in [opening["id"] for opening in site.phone.book()["openings"]]:
            return
        site.phone.sync()
        site.phone.page.wait_for_timeout(250)


def tick_again(site: Site, told: list[dict[str, object]]) -> None:
    """The opening comes back whole, and the chain goes on."""
    for _ in range(40):
        site.phone.sync()
        site.phone.page.wait_for_timeout(250)
        if len(site.phone.own()) == len(told):
            break
    tick(site.phone.page, 1)
    own = site.phone.own()
    assert [event["n"] for event in own] == [1, 2, 3]
    all_is_well(site, own)


ROOM = """
StorageManager.prototype.estimate = async () => ({ usage: USED, quota: 1000 });
StorageManager.prototype.persisted = async () => LASTING;
StorageManager.prototype.persist = async () => LASTING;
"""


def test_a_phone_that_fills_up_says_so(site: Site) -> None:
    """Over nine tenths of the room used: the line warns; the page says whether the store lasts.

    What the browser says of its room (W3C's Storage standard) is given here: how it counts is
    its own affair, and a phone cannot be filled in a test.
    """
    page = site.phone.page
    for used, lasting, line, words in (
        (890, "false", "All sent", "The browser may clear it"),
        (910, "true", "This phone is nearly full", "The browser keeps it until you remove it"),
        (500, "true", "All sent", "The browser keeps it until you remove it"),
    ):
        script = ROOM.replace("USED", str(used)).replace("LASTING", lasting)
        site.phone.context.add_init_script(script)
        page.goto("/field")
        expect(page.locator(LINE)).to_contain_text(line, timeout=SEEN)
        page.goto("/field/status")
        expect(page.get_by_role("main")).to_contain_text(words, timeout=SEEN)


def test_24_another_person_comes_with_entries_unsent(site: Site) -> None:
    """Somebody else signs in, then pairs on this phone: nothing is cleared, each keeps the name."""
    page = site.phone.page
    site.line.before = lambda exchange: (
        exchange.cut() if exchange.path.startswith("/sync") else None
    )
    tick(page, 0)
    first = site.phone.own()
    SignIn(page).as_("nadia")
    page.wait_for_url("**/office/today", timeout=SEEN)
    assert site.phone.own() == first
    tick(page, 1)  # on the phone it is still Tobin's book, whoever is signed in at the office
    assert {event["person"] for event in site.phone.own()} == {"tobin-hale"}
    code = site.code("nadia")
    page.goto("/pair#" + code)
    page.get_by_label("What this phone is called").fill("The crew's phone")
    site.line.before = lambda exchange: exchange.cut() if exchange.method == "GET" else None
    page.get_by_role("button", name="Pair this phone").click()
    expect(page.get_by_text("The office cannot be reached")).to_be_visible(timeout=SEEN)
    site.line.heal()
    assert [event["person"] for event in site.phone.own()] == ["tobin-hale"] * 2
    # who enters what on a phone that several share: tests/phone/test_shared_phone.py
    page.goto("/field")
    own = site.phone.own()
    assert [event["person"] for event in own] == ["tobin-hale"] * 2
    assert len({event["device"] for event in own}) == 1
    all_is_well(site, own)
