"""The phone in the owner's hands, without a network: one page until the PIN takes it back.

This project's own rule; who types an address, goes back or keeps another page open meets it alike.
"""

from playwright.sync_api import Page

from tests.browser.models import SEEN
from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.work import OPENING, STEP, all_is_well, tick

OWNER = f"/field/o/{OPENING}/owner"
CODE = "204816"
TITLE = "Your new door"


def shows_owner(page: Page, title: str = TITLE) -> None:
    expect(page.get_by_role("heading", level=1)).to_contain_text(title, timeout=SEEN)
    assert page.url.endswith(OWNER)


def hand_over(page: Page, again: str = CODE) -> None:
    page.goto(OWNER)
    page.get_by_label("Six digits").fill(CODE)
    page.get_by_label("Once more").fill(again)
    page.get_by_role("button", name="Hand it over").click()


def test_lent_phone_shows_one_page_until_it_is_taken_back(site: Site) -> None:
    page = site.phone.page
    context = page.context
    site.office.stop()
    tick(page, 0)
    other = context.new_page()
    other.goto("/field")
    page.goto(STEP)
    hand_over(page, again="204817")
    expect(page.get_by_role("alert").first).to_contain_text("not the same", timeout=SEEN)
    hand_over(page)
    shows_owner(page)
    assert page.locator("a:not(.skip)").count() == 0
    shows_owner(other)  # a page that was open beside it
    for path in (
        "/field",
        STEP,
        "/field/status",
        "/field/unsent.json",
        "/field/person",
        "/field/x",
    ):
        page.goto(path)
        shows_owner(page)
    page.go_back()
    shows_owner(page)
    page.get_by_label("Name of the person who signs").fill("Orla Owner")
    page.get_by_label("I have read this, and sign with my name.").check()
    page.get_by_role("button", name="Keep this signature").click()
    expect(page.get_by_text("Thank you. Please give the phone back.")).to_be_visible(timeout=SEEN)
    assert site.phone.own()[-1]["kind"] == "handover.signed"
    page.get_by_role("button", name="Español").click()
    expect(page.locator("html")).to_have_attribute("lang", "es", timeout=SEEN)
    page.get_by_label("PIN de").fill("000111")
    page.get_by_role("button", name="Recuperarlo").click()
    expect(page.get_by_role("alert").first).to_contain_text("Intentos que quedan: 4", timeout=SEEN)
    assert site.phone.in_worker("async () => (await book.meta('pins')).lent.wrong") == 1
    site.phone.in_worker("""async () => {
      const all = await book.meta("pins");
      all.lent.until = 0;
      await book.setMeta("pins", all);
    }""")
    page.get_by_label("PIN de").fill(CODE)
    page.get_by_role("button", name="Recuperarlo").click()
    expect(page).to_have_url(f"{site.line.address}/field/o/{OPENING}", timeout=SEEN)
    expect(page.locator("html")).to_have_attribute("lang", "en")
    assert site.phone.in_worker("async () => (await book.meta('pins')).lent") is None
    told = site.phone.own()
    site.office.start()
    all_is_well(site, told)


def test_session_at_the_office_ends_and_the_password_takes_the_phone_back(site: Site) -> None:
    page = site.phone.page
    page.goto("/sign-in")
    page.get_by_label("Name").fill("tobin")
    page.get_by_label("Password").fill("gauge-rule-and-tape")
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/field")
    hand_over(page)
    shows_owner(page)
    expect_signed_out(page)
    page.goto(OWNER)
    page.get_by_text("PIN forgotten?").click()
    page.get_by_label("The password does as well").fill("not the one")
    page.get_by_role("button", name="Take it back").click()
    expect(page.get_by_role("alert").first).to_contain_text(
        "not this person's password", timeout=SEEN
    )
    page.get_by_text("PIN forgotten?").click()
    page.get_by_label("The password does as well").fill("gauge-rule-and-tape")
    page.get_by_role("button", name="Take it back").click()
    expect(page).to_have_url(f"{site.line.address}/field/o/{OPENING}", timeout=SEEN)


def expect_signed_out(page: Page) -> None:
    for _ in range(40):
        page.goto("/me")
        if "/sign-in" in page.url:
            return
        page.wait_for_timeout(250)
    raise AssertionError("still signed in at " + page.url)
