"""The maker's shop drawing: attached at the desk, there on the phone without a network."""

import io

from PIL import Image
from playwright.sync_api import Page

from tests.browser.models import PASSWORDS, SEEN, SignIn
from tests.browser.seen import expect

OPENING = "/field/o/marrow-lane-b"
DRAWN = "(image) => image.complete && image.naturalWidth"


def two_pages() -> bytes:
    out = io.BytesIO()
    sheets = [Image.new("RGB", (850, 1100), colour) for colour in ("white", "#ccc")]
    sheets[0].save(out, "PDF", save_all=True, append_images=sheets[1:])
    return out.getvalue()


def test_the_crew_has_the_shop_drawing_without_a_network(phone: Page, desk: Page) -> None:
    desk.goto("/office/shop/marrow-lane-b")
    label = "A PDF of at most 12 pages, or a picture (JPEG, PNG)"
    file = {"name": "d.pdf", "mimeType": "application/pdf", "buffer": two_pages()}
    desk.get_by_label(label).set_input_files([file])  # type: ignore[list-item]
    desk.get_by_role("button", name="Keep the shop drawing").click()
    expect(desk.get_by_role("img", name="Page 2 of 2")).to_be_visible(timeout=SEEN)
    desk.get_by_role("button", name="Sign out").click()
    SignIn(phone).as_("tobin")
    phone.goto("/pair/here")
    phone.get_by_label("Your password, once more").fill(PASSWORDS["tobin"])
    phone.get_by_role("button", name="Make this phone work offline").click()
    ready = phone.get_by_role("heading", name="Ready: you can go offline now")
    expect(ready).to_be_visible(timeout=3 * SEEN)
    held = "async () => (await (await caches.open('shop-drawings-of-sillbook')).keys()).length"
    for _ in range(100):
        if phone.evaluate(held) == 2:
            break
        phone.wait_for_timeout(200)
    phone.context.set_offline(True)
    phone.goto(OPENING)
    phone.get_by_role("link", name="Shop drawing").click()
    for name in ("Page 1 of 2", "Page 2 of 2"):
        image = phone.get_by_role("img", name=name)
        expect(image).to_be_visible(timeout=SEEN)
        assert image.evaluate(DRAWN) > 1000
    phone.goto(OPENING + "/step/D")
    expect(phone.get_by_role("link", name="Shop drawing")).to_be_visible(timeout=SEEN)
