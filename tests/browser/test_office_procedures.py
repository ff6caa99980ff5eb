"""Procedures and instruments in two browsers: the office keeps them, the crew works with them."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.axe import violations
from tests.browser.models import SEEN, PointPage, open_fold

SHIPPED = Path(__file__).parents[2] / "seed_data" / "procedures" / "stacking-door.yaml"
POINT = "/field/o/marrow-lane-a/point/sill-length"


def second() -> str:
    """The shipped procedure as version 2: the sill as delivered is checked more tightly."""
    text = re.sub(r"^version: 1$", "version: 2", SHIPPED.read_text("utf-8"), flags=re.MULTILINE)
    return text.replace("limits: {most: 1/16 in}", "limits: {most: 1/32 in}", 1)


def title(page: Page) -> Locator:
    return page.get_by_role("heading", level=1)


@pytest.mark.long
def test_a_version_is_taken_in_compared_put_in_force_and_moved_to(
    desk: Page, crew: Page, tmp_path: Path
) -> None:
    """With two mistakes it is refused line by line; put right on the page it comes in."""
    bad = second().replace("tool: tape", "tool: tapemeasure", 1)
    line = bad[: bad.index("tapemeasure")].count("\n") + 1
    (tmp_path / "two.yaml").write_text(bad, "utf-8")
    desk.get_by_role("navigation", name="The office").get_by_role("link", name="Company").click()
    desk.get_by_role("main").get_by_role("link", name="Procedures").click()
    desk.get_by_role("link", name="Import a procedure").click()
    desk.get_by_label("File (YAML)").set_input_files(tmp_path / "two.yaml")
    desk.get_by_role("button", name="Check it and take it in").click()
    told = desk.get_by_role("alert")
    expect(told.get_by_role("listitem")).to_contain_text(f"Line {line}", timeout=SEEN)
    expect(told).to_contain_text("unknown tool “tapemeasure”")
    text = desk.get_by_label("Or its text")
    expect(text).to_have_value(re.compile("tool: tapemeasure"))
    text.fill(second())
    desk.get_by_role("button", name="Check it and take it in").click()
    expect(title(desk)).to_have_text("Put a version in force", timeout=SEEN)
    limits = desk.get_by_role("region", name="Limits")
    expect(limits.get_by_role("listitem").first).to_contain_text("stricter A Delivery check")
    expect(desk.get_by_text("An administrator may put it in force: Oda")).to_be_visible()
    expect(desk.get_by_role("button", name="Put it in force")).to_have_count(0)
    assert violations(desk) == []
    desk.get_by_role("link", name="To the procedure").click()
    expect(title(desk)).to_contain_text("version 2", timeout=SEEN)
    expect(desk.get_by_role("heading", name="Before you start").first).to_be_visible()
    desk.get_by_role("link", name="What differs from version 1").click()
    expect(title(desk)).to_have_text("Two versions compared", timeout=SEEN)
    expect(desk.get_by_text('limit: ±1/16" → ±1/32"').first).to_be_visible()
    desk.get_by_role("link", name="To the procedure").click()
    moved(desk)
    moved_at_once(desk)
    crew.goto("/field/o/marrow-lane-b/step/A")
    why = crew.get_by_text("The procedure was changed after it was signed.").first
    expect(why).to_be_visible(timeout=SEEN)
    crew.goto("/field/o/marrow-lane-b/step/B1")
    expect(crew.get_by_role("region", name="Sign-off")).to_contain_text("Signed by Tobin Hale")
    expect(crew.get_by_text("The procedure was changed")).to_have_count(0)


def moved(desk: Page) -> None:
    """Move an opening; the page names beforehand the one sign-off that breaks."""
    desk.get_by_role("link", name="Move open openings to this version").click()
    desk.get_by_role("link", name=re.compile("B Study")).click()
    expect(title(desk)).to_have_text("Move an opening", timeout=SEEN)
    breaks = desk.get_by_role("main").get_by_role("listitem").filter(has_text="A Delivery check")
    expect(breaks).to_have_count(1)
    desk.get_by_role("button", name="Move this opening").click()
    summary = desk.get_by_role("alert").filter(has_text="Put this right")
    summary.get_by_role("link", name="Say why it is moved: the crew reads it.").click()
    desk.get_by_label("Why it is moved").fill("The sill is checked more tightly now.")
    desk.get_by_role("button", name="Move this opening").click()
    expect(title(desk)).to_have_text("Review", timeout=SEEN)


def moved_at_once(desk: Page) -> None:
    """Move all the others in one act, after a look at each; the reason is asked for."""
    desk.goto("/office/procedures/stacking-door@2/openings")
    desk.get_by_role("link", name="Look at all of them at once").click()
    expect(title(desk)).to_have_text("Move many openings", timeout=SEEN)
    kitchen = desk.get_by_role("listitem").filter(has_text="A Kitchen · Quarry Steps").first
    expect(kitchen.get_by_role("listitem")).to_have_text("A Delivery check")
    assert violations(desk) == []
    desk.get_by_role("button", name="Move openings: 4").click()
    summary = desk.get_by_role("alert").filter(has_text="Put this right")
    summary.get_by_role("link", name="Say why it is moved: the crew reads it.").click()
    expect(desk.get_by_label("Why they are moved")).to_be_focused()
    assert violations(desk) == []
    desk.get_by_label("Why they are moved").fill("One procedure for all.")
    desk.get_by_role("button", name="Move openings: 4").click()
    told = desk.get_by_role("status").filter(has_text="Openings that were moved: 4.")
    expect(told).to_be_visible(timeout=SEEN)
    expect(desk.get_by_text("No open opening stands under another version.")).to_be_visible()


def test_an_instrument_that_fails_asks_for_what_it_measured(desk: Page, crew: Page) -> None:
    desk.goto("/office/instruments")
    desk.get_by_role("link", name="Add an instrument").click()
    desk.get_by_label("Name, as it is marked").fill("Tape T7")
    desk.get_by_label("What it is").select_option(label="tape")
    desk.get_by_label("Read to (its smallest step)").fill("1/16")
    desk.get_by_role("button", name="Keep the instrument").click()
    wrong = desk.get_by_role("alert").get_by_role("link", name="A tape's class is I, II or III.")
    wrong.click()
    desk.get_by_label("Class, of a tape or rule").select_option(label="class II")
    desk.get_by_role("button", name="Keep the instrument").click()
    expect(title(desk)).to_contain_text("Tape T7", timeout=SEEN)

    crew.goto(POINT)
    point = PointPage(crew)
    fold = open_fold(crew, "Who, with what, when:")
    fold.get_by_label("Instrument").select_option(label="Tape T7")
    point.send("191")
    expect(point.told).to_contain_text("Kept:", timeout=SEEN)
    expect(crew.get_by_text("Tape T7 has no daily check yet.")).to_be_visible()
    crew.get_by_role("link", name="Enter its daily check").click()
    compared = crew.get_by_role("region", name="Against another tape")
    compared.get_by_label("This tape", exact=True).fill("96")
    compared.get_by_label("The other tape", exact=True).fill("96 1/4")
    compared.get_by_label("Class of the other tape").select_option(label="class II")
    compared.get_by_role("button", name="Keep this check").click()
    expect(crew.get_by_text("Tape T7 failed its last check: put it aside.")).to_be_visible(
        timeout=SEEN
    )
    crew.goto(POINT)
    expect(crew.get_by_text("measure again: Tape T7 failed its check").first).to_be_visible()
    crew.goto("/field/o/marrow-lane-a/step/A?show=all")
    expect(crew.get_by_text("must be measured again").first).to_be_visible(timeout=SEEN)

    desk.goto("/office/instruments")
    row = desk.get_by_role("listitem").filter(has_text="Tape T7")
    expect(row).to_contain_text("OUT")
    desk.goto("/office/o/marrow-lane-a")
    expect(desk.get_by_role("main")).to_contain_text("Tape T7 failed its check")


def test_paper_is_printed_and_entered_later_with_both_times(desk: Page, crew: Page) -> None:
    desk.goto("/office/jobs/marrow-lane")
    desk.get_by_role("link", name="Blank survey sheet").first.click()
    expect(title(desk)).to_contain_text("Survey sheet", timeout=SEEN)
    desk.get_by_label("Step").select_option(label="B1 Substrate and opening")
    desk.get_by_role("button", name="Show").click()
    table = desk.get_by_role("table", name=re.compile("Sill survey, room-side line"))
    expect(table.get_by_role("rowheader", name="LEFT jamb, you outside").first).to_be_visible()
    expect(desk.get_by_role("heading", name="Delivery check")).to_have_count(0)

    crew.goto("/field/o/marrow-lane-a/point/sill-length")
    fold = open_fold(crew, "Who, with what, when:")
    fold.get_by_label("Measured at").fill("2026-03-02T10:15")
    point = PointPage(crew)
    point.send("191")
    expect(point.told).to_contain_text("Kept:", timeout=SEEN)
    crew.goto("/field/o/marrow-lane-a/history")
    expect(crew.get_by_text("measured 2 Mar 2026, 10:15, entered").first).to_be_visible()


def test_a_job_is_changed_and_the_board_fits_a_phone(desk: Page, crew: Page) -> None:
    desk.goto("/office/jobs/marrow-lane")
    desk.get_by_role("link", name="Change this job").click()
    desk.get_by_label("Address", exact=True).fill("16 Marrow Lane, Fennick Hollow")
    desk.get_by_label("How to reach the homeowner").fill("555-0177")
    desk.get_by_role("button", name="Keep the job").click()
    expect(desk.get_by_role("main")).to_contain_text("555-0177", timeout=SEEN)
    crew.goto("/field")
    expect(crew.get_by_text("16 Marrow Lane").first).to_be_visible(timeout=SEEN)
    desk.set_viewport_size({"width": 390, "height": 844})
    desk.goto("/office")
    row = desk.get_by_role("row").filter(has_text="Family room")
    for cell in row.get_by_role("cell").all():
        box = cell.bounding_box()
        assert box is None or box["x"] + box["width"] <= 390
