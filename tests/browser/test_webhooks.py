"""A webhook at the office's desk: made, its secret seen once, tested, its log."""

from playwright.sync_api import Page

from tests.browser.models import SEEN, SignIn
from tests.browser.seen import expect
from tests.browser.test_accessible import keeps_nobody_out


def test_a_webhook_is_made_and_tested(phone: Page) -> None:
    SignIn(phone).as_("oda", "bead-chalk-and-reveal")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Today", timeout=SEEN)
    phone.goto("/office/webhooks")
    phone.get_by_label("Address").fill("https://localhost/in")
    phone.get_by_role("button", name="Make the webhook").click()
    wrong = phone.get_by_role("alert").get_by_role("link")
    expect(wrong).to_have_text("localhost leads into a private network.", timeout=SEEN)
    phone.get_by_label("Address").fill("https://hooks.invalid/in")
    phone.get_by_role("button", name="Make the webhook").click()
    expect(phone.get_by_text("whsec_")).to_be_visible(timeout=SEEN)
    keeps_nobody_out(phone)
    phone.get_by_role("button", name="Send a test").click()
    line = phone.get_by_role("listitem").filter(has_text="This is a test")
    expect(line).to_contain_text("to hooks.invalid", timeout=SEEN)
    keeps_nobody_out(phone)
