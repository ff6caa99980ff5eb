"""A procedure changed in a browser: the words, the limit, the crew's page, and put in force."""

import re

from playwright.sync_api import Page, expect

from tests.browser.axe import violations
from tests.browser.models import SEEN

EDIT = "/office/procedures/stacking-door/edit"
WIDTHS = ((1280, 800), (390, 844))


def looked_at(desk: Page) -> None:
    """Hold a page against axe, and to no more than its width at a desk and on a phone."""
    for width, height in WIDTHS:
        desk.set_viewport_size({"width": width, "height": height})
        assert violations(desk) == []
        assert desk.evaluate("document.documentElement.scrollWidth") <= width
    desk.set_viewport_size({"width": 1280, "height": 800})


def test_a_limit_is_changed_while_the_crew_s_page_stands_beside(desk: Page) -> None:
    desk.goto("/office/procedures/stacking-door@1")
    desk.get_by_role("link", name="Change it in a draft").click()
    looked_at(desk)
    desk.get_by_role("button", name="Begin a draft").click()
    title = desk.get_by_role("heading", level=1).first  # the crew's page has its own
    expect(title).to_have_text("Draft of a procedure", timeout=SEEN)
    looked_at(desk)
    desk.get_by_role("link", name="A Delivery check", exact=True).click()
    expect(title).to_have_text("A Delivery check", timeout=SEEN)
    looked_at(desk)
    desk.get_by_role("link", name=re.compile("Limits ?: Sill as drawn")).click()
    expect(title).to_have_text("Limits", timeout=SEEN)
    limit = desk.get_by_role("textbox", name=re.compile("At most"))
    limit.fill("1/8")
    limit.press("Tab")
    expect(desk.locator("#f-limit-most-told")).to_have_text("“1/8” has no unit", timeout=SEEN)
    looked_at(desk)
    limit.fill("1/8 in")
    limit.press("Tab")
    expect(desk.locator("#f-limit-most-told")).to_have_text("", timeout=SEEN)
    desk.get_by_role("button", name="Keep it in the draft").click()
    expect(title).to_have_text("A Delivery check", timeout=SEEN)
    desk.get_by_role("link", name=re.compile("Words ?: Sill length")).click()
    expect(title).to_have_text("Words", timeout=SEEN)
    words = desk.get_by_role("textbox", name="Title")
    words.fill("Sill, from end to end")
    words.press("Tab")
    crew = desk.locator(".crew-page")
    expect(crew).to_contain_text("Sill, from end to end", timeout=SEEN)
    desk.get_by_role("button", name="Keep it in the draft").click()
    desk.goto(f"{EDIT}/new")
    looked_at(desk)
    desk.goto(f"{EDIT}/force")
    first = desk.get_by_role("region", name="Limits").get_by_role("listitem").first
    expect(first).to_contain_text('laxer A Delivery check · Sill as drawn: limit: ±1/16"')
    expect(desk.get_by_role("main")).to_contain_text("is “Sill, from end to end”")
    looked_at(desk)
