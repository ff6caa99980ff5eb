"""The owner has the screen in hand: signs with a finger, or with a typed name where no script runs.

Nothing leads from it until the password takes it back. That is this project's own rule.
"""

from playwright.sync_api import Browser, Page, expect

from tests.browser.axe import violations
from tests.browser.fixtures import PATIENCE, PHONE
from tests.browser.models import AnyPage
from tests.browser.server import Sillbook
from tests.demo.conftest import PEOPLE

LAST = "/field/o/quarry-steps-a/step/J"
OWNER = "/field/o/quarry-steps-a/owner"
NADIA = PEOPLE["supervisor"]
CUT = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"


def sign_in(page: Page) -> None:
    page.goto("/sign-in")
    page.get_by_label("Name").fill(NADIA["login"])
    page.get_by_label("Password").fill(NADIA["password"])
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: "sign-in" not in url)


def hand_over(page: Page) -> None:
    page.goto(LAST)
    page.get_by_role("link", name="Hand the phone to the owner").click()
    page.get_by_role("button", name="Hand it over").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Your new door")


def fill(page: Page) -> None:
    AnyPage(page).whole()  # what is counted on a part of the page is not there yet
    if page.get_by_text("Sign again").count():
        page.get_by_text("Sign again").click()
    owner = page.get_by_role("region", name="The owner signs")
    owner.get_by_label("Name of the person who signs").fill("Orla Owner")
    owner.get_by_label("I have read this, and sign with my name.").check()
    owner.get_by_role("button", name="Keep this signature").click()


def take_back(page: Page) -> None:
    page.get_by_label("Password of").fill(NADIA["password"])
    page.get_by_role("button", name="Take it back").click()
    page.wait_for_url("**/field/o/quarry-steps-a")


def test_drawn_signature_is_kept_and_shown(phone: Page) -> None:
    sign_in(phone)
    hand_over(phone)
    pad = phone.get_by_role("img", name="Draw the signature here, if you like")
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()
    assert box is not None
    phone.mouse.move(box["x"] + 20, box["y"] + 60)
    phone.mouse.down()
    for step in range(1, 9):
        phone.mouse.move(box["x"] + 20 + 25 * step, box["y"] + 60 - (40 if step % 2 else 0))
    phone.mouse.up()
    fill(phone)
    expect(phone.get_by_text("Signed by Orla Owner (drawn on the screen)")).to_be_visible()
    drawn = phone.get_by_role("img", name="Signature drawn by Orla Owner")
    expect(drawn).to_be_visible()
    expect(drawn.locator("polyline")).to_have_count(1)
    take_back(phone)
    phone.goto(LAST)
    expect(phone.get_by_text("Signed by Orla Owner (drawn on the screen)")).to_be_visible()


def test_typed_name_is_enough_without_scripts_and_nothing_leads_from_the_page(
    chromium: Browser, sillbook: Sillbook
) -> None:
    context = chromium.new_context(
        viewport=PHONE, base_url=sillbook.address, locale="en-US", java_script_enabled=False
    )
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    sign_in(page)
    hand_over(page)
    for path in ("/", "/field", LAST, "/office/today", "/me", "/record/quarry-steps-a"):
        page.goto(path)
        expect(page).to_have_url(sillbook.address + OWNER)
    fill(page)
    expect(page.get_by_text("Signed by Orla Owner (typed name, with consent)")).to_be_visible()
    take_back(page)
    context.close()


def test_owner_s_page_is_calm_in_every_theme_and_width(phone: Page) -> None:
    sign_in(phone)
    hand_over(phone)
    for theme in ("light", "dark", "sun"):
        phone.evaluate("(theme) => localStorage.setItem('sillbook-theme', theme)", theme)
        phone.reload()
        phone.evaluate(
            "() => document.querySelectorAll('details').forEach(f => { f.open = true; })"
        )
        assert violations(phone) == [], theme
    for width in (320, 390, 1280):
        phone.set_viewport_size({"width": width, "height": 700})
        assert phone.evaluate(CUT) <= 0, width
    take_back(phone)
