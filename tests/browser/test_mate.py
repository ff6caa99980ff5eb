"""A mate joins an opening by scanning it on another's phone, and sees what the office gave them.

The code is read from the screen by zxing-cpp, which has no part in making it (ISO/IEC 18004).
"""

import io

import zxingcpp
from PIL import Image
from playwright.sync_api import Page

from tests.browser.models import PASSWORDS, SEEN
from tests.browser.seen import expect
from tests.browser.server import Sillbook

HERE = "/field/o/quarry-steps-a"  # of both crews of the demo
TOBINS = "/field/o/marrow-lane-a"


def test_a_mate_scans_the_opening_and_signs_in(crew: Page, phone: Page, sillbook: Sillbook) -> None:
    crew.goto(HERE)
    crew.get_by_text("Mate's phone").click()
    code = crew.get_by_role("img", name="The code needs a network.")
    crew.wait_for_function("() => document.querySelector('#mate img').naturalWidth > 0")
    seen = Image.open(io.BytesIO(code.screenshot()))
    assert [found.text for found in zxingcpp.read_barcodes(seen)] == [sillbook.address + HERE]
    phone.goto(sillbook.address + HERE)
    expect(phone.get_by_role("heading", level=1)).to_have_text("Sign in", timeout=SEEN)
    phone.get_by_label("Name").fill("ines")
    phone.get_by_label("Password").fill(PASSWORDS["ines"])
    phone.get_by_role("button", name="Sign in").click()
    heading = phone.get_by_role("heading", level=1)
    expect(heading).to_have_text("El vano y sus pasos", timeout=SEEN)
    assert phone.url == sillbook.address + HERE
    phone.goto(sillbook.address + TOBINS)
    expect(phone.get_by_role("main")).to_contain_text("de otra cuadrilla", timeout=SEEN)


def test_what_cannot_be_an_opening_has_no_code(crew: Page) -> None:
    for odd in ("a" * 81, "a%00b", "a%20b"):
        assert crew.request.get(f"/pair/opening/{odd}/qr.svg").status in (400, 404), odd
