"""An opening to practise on, on a phone's screen: issued, read off, debriefed."""

import re

import pytest
from playwright.sync_api import Page

from tests.browser.models import SEEN, SignIn
from tests.browser.seen import expect
from tests.browser.test_accessible import keeps_nobody_out

JOB = "/office/jobs/marrow-lane"


@pytest.mark.long
def test_practice_is_issued_read_off_and_debriefed(phone: Page) -> None:
    SignIn(phone).as_("nadia", "plumb-line-and-level")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Today", timeout=SEEN)
    phone.goto(JOB + "/openings/new?copy=marrow-lane-a")
    phone.get_by_label("Letter of the opening").fill("P")
    phone.get_by_label("Room", exact=True).fill("Training bay")
    phone.get_by_text("Practice", exact=True).click()
    phone.get_by_label("To practice on").select_option("table")
    first = phone.get_by_role("group", name="Fault 1")
    first.get_by_label("Fault", exact=True).select_option("left-jamb-out")
    first.get_by_label("By how much").fill("3/16")
    keeps_nobody_out(phone)
    phone.get_by_role("button", name="Issue this opening").click()
    expect(phone.get_by_text("Practice: not a door that is set")).to_be_visible(timeout=SEEN)
    keeps_nobody_out(phone)
    phone.get_by_role("link", name="P Training bay").click()
    phone.get_by_role("link", name="Debrief").click()
    expect(phone.get_by_text("1 fault was planted: 0 found, 0 put right.")).to_be_visible()
    keeps_nobody_out(phone)
    opening = re.sub(r".*/", "", phone.url)
    phone.goto(f"/field/o/{opening}/point/sill-length")
    scale = phone.get_by_role("img", name=re.compile("The scale shows 15' 11"))
    expect(scale).to_be_visible(timeout=SEEN)
    keeps_nobody_out(phone)
