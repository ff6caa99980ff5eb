"""One tap makes the phone in the hand work offline: no code, the password once more.

What a person meets on the way is this project's own.
"""

from playwright.sync_api import Page, expect

from tests.browser.models import PASSWORDS, SEEN, SignIn

OFFER = "Make this phone work offline"


def test_the_phone_in_the_hand_is_ready_after_one_tap_and_the_password(phone: Page) -> None:
    SignIn(phone).as_("tobin")
    phone.get_by_role("link", name=OFFER).click()
    password = phone.get_by_label("Your password, once more")
    go = phone.get_by_role("button", name=OFFER)
    password.fill("not this one at all")
    go.click()
    expect(phone.get_by_text("That is not your password")).to_be_visible(timeout=SEEN)
    password.fill(PASSWORDS["tobin"])
    go.click()
    ready = phone.get_by_role("heading", name="Ready: you can go offline now")
    expect(ready).to_be_visible(timeout=3 * SEEN)  # the whole program is loaded
    expect(password).to_be_hidden()
    phone.reload()
    expect(ready).to_be_visible(timeout=SEEN)  # nothing is asked a second time
    expect(password).to_be_hidden()
    phone.context.set_offline(True)
    phone.get_by_role("link", name="To the openings").click()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Openings to be set", timeout=SEEN)
    expect(phone.get_by_role("link", name=OFFER)).to_have_count(0)
    phone.get_by_role("link", name="Next: A").first.click()
    expect(phone.get_by_role("button", name="All read")).to_be_visible(timeout=SEEN)
