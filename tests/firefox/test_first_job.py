"""One reading in Firefox with no office: judged on the phone, kept through a restart, then sent."""

import pytest

from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.work import OPENING, all_is_well

CARD = f"/field/o/{OPENING}/next/A?point=panel-widths&place=A-top"


@pytest.mark.long
def test_a_reading_is_judged_and_kept_with_no_office(site: Site) -> None:
    site.office.stop()
    page = site.phone.page
    page.goto(CARD)
    page.locator("input.typed-value").fill("48 1/2")
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.locator(".band")).to_contain_text("4' 0 1/2\"")
    told = site.phone.own()
    assert [event["body"]["text"] for event in told if event["kind"] == "reading.taken"] == [
        "48 1/2"
    ]
    site.phone.close()
    site.phone.open()
    site.phone.page.goto(f"/field/o/{OPENING}")
    assert site.phone.own() == told
    site.office.start()
    all_is_well(site, told)
