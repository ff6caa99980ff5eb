"""The owner signs with a finger on a phone's screen, or with a typed name where no script runs."""

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.fixtures import PATIENCE, PHONE
from tests.browser.models import AnyPage
from tests.browser.server import Sillbook
from tests.demo.conftest import PEOPLE

LAST = "/field/o/quarry-steps-a/step/J?show=all"


def sign_in(page: Page) -> None:
    page.goto("/sign-in")
    page.get_by_label("Name").fill(PEOPLE["supervisor"]["login"])
    page.get_by_label("Password").fill(PEOPLE["supervisor"]["password"])
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: "sign-in" not in url)


def fill(page: Page) -> None:
    owner = page.get_by_role("region", name="The owner signs")
    owner.get_by_label("Name of the person who signs").fill("Orla Owner")
    owner.get_by_label("I have read this, and sign with my name.").check()
    owner.get_by_role("button", name="Keep this signature").click()


def test_drawn_signature_is_kept_and_shown(phone: Page) -> None:
    sign_in(phone)
    phone.goto(LAST)
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


@pytest.mark.parametrize("scripts", [False])
def test_typed_name_is_enough_without_scripts(
    chromium: Browser, sillbook: Sillbook, scripts: bool
) -> None:
    context = chromium.new_context(
        viewport=PHONE, base_url=sillbook.address, locale="en-US", java_script_enabled=scripts
    )
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    sign_in(page)
    page.goto(LAST)
    expect(page.get_by_role("heading", name="The owner signs")).to_be_visible()
    AnyPage(page).whole()  # what is counted on a part of the page is not there yet
    if page.get_by_text("Sign again").count():
        page.get_by_text("Sign again").click()
    fill(page)
    expect(page.get_by_text("Signed by Orla Owner (typed name, with consent)")).to_be_visible()
    context.close()
