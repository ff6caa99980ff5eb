"""The office's desk in a browser: a door drawn as it is typed, a board that keeps itself fresh."""

from playwright.sync_api import Page, expect

from tests.browser.models import SEEN, open_fold


def test_door_is_drawn_as_it_is_typed_and_what_is_wrong_is_said_at_the_top(desk: Page) -> None:
    desk.goto("/office/jobs/new")
    desk.get_by_label("Name of the job").fill("Osier Row")
    desk.get_by_label("Address").fill("5 Osier Row, Fennick Hollow")
    desk.get_by_role("button", name="Make the job").click()
    desk.get_by_role("link", name="Add an opening").click()
    for label, text in (
        ("Panels from the left", "XO"),
        ("Track of each", "1 2"),
        ("Width of a panel", "48 in"),
        ("Height of a panel", "94 in"),
    ):
        desk.get_by_label(label).fill(text)
    expect(desk.get_by_role("img", name="The door seen from outside")).to_be_visible(timeout=SEEN)
    expect(desk.get_by_text("XO seen from outside")).to_be_visible()
    desk.get_by_role("button", name="Issue this opening").click()
    summary = desk.get_by_role("alert").filter(has_text="Put this right")
    expect(summary).to_be_visible(timeout=SEEN)
    summary.get_by_role("link", name="Say which room it is in.").click()
    expect(desk.get_by_label("Room", exact=True)).to_be_focused()
    desk.get_by_label("Room", exact=True).fill("Hall")
    mended = summary.get_by_role("link", name="Say which room it is in.")
    expect(mended).to_have_count(0, timeout=SEEN)  # an error goes when it is mended
    frame = desk.get_by_label("Frame, outside width")
    frame.fill("wide")
    desk.get_by_role("button", name="Issue this opening").click()
    told = desk.locator("#f-frame-width-error")
    expect(told).to_contain_text("“wide” cannot be read", timeout=SEEN)
    frame.fill("8 mph")  # another thing is wrong with it now
    expect(told).to_contain_text("“mph” is not a unit", timeout=SEEN)
    frame.fill("97 in")
    expect(told).to_have_count(0, timeout=SEEN)
    expect(desk.get_by_label("Letter of the opening")).to_have_value("A")  # the next that is free
    expect(desk.get_by_label("Width of a panel")).to_have_value("48 in")


def test_board_changes_by_itself_as_the_crew_enters(desk: Page, crew: Page) -> None:
    with desk.expect_response("**/office/changes"):  # the page hears before the crew enters
        desk.goto("/office")
    row = desk.get_by_role("row").filter(has_text="Family room")
    link = row.get_by_role("link", name="A Family room")
    expect(row).not_to_contain_text("to reorder")
    link.focus()
    crew.goto("/field/o/marrow-lane-a/parts")
    line = crew.get_by_role("main").get_by_role("listitem").first
    line.get_by_role("radio", name="damaged").check()
    open_fold(line, "How many, and a note").get_by_label("Note").fill("Bent at one end")
    line.get_by_role("button", name="Keep").click()
    expect(line.get_by_role("strong").first).to_have_text("damaged", timeout=SEEN)
    expect(row).to_contain_text("1 part to reorder", timeout=SEEN)
    expect(link).to_be_focused()
    desk.goto("/office/lists/parts")
    expect(desk.get_by_text("Bent at one end")).to_be_visible(timeout=SEEN)
