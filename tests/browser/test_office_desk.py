"""Crew and office in two browsers: returned, asked and answered, conceded; taken out and in."""

import csv
from pathlib import Path

from playwright.sync_api import Page, expect

from tests.browser.models import SEEN, open_fold


def test_what_is_returned_comes_to_the_crew_with_words(desk: Page, crew: Page) -> None:
    desk.goto("/office/o/marrow-lane-b")
    back = open_fold(desk, "Return to the crew")
    back.get_by_label("At the step").select_option(label="B2 Pan and flashing")
    back.get_by_role("button", name="Choose what to measure again").click()
    back = open_fold(desk, "Return to the crew")
    back.get_by_label("What they should do").fill("Photograph the LEFT end dam again")
    back.get_by_role("button", name="Return it").click()
    expect(desk.get_by_text("returned to the crew").first).to_be_visible(timeout=SEEN)
    expect(desk.get_by_role("status").get_by_text("Returned.")).to_be_in_viewport()
    crew.goto("/field/o/marrow-lane-b/step/B2")
    expect(crew.get_by_role("main")).to_contain_text("Photograph the LEFT end dam again")
    crew.get_by_role("checkbox", name="I have read this, and it is so.").check()
    crew.get_by_role("button", name="Sign this step off").click()
    expect(crew.get_by_role("heading", level=1)).to_have_text("The opening and its steps")
    desk.goto("/office/o/marrow-lane-b")
    step = desk.locator("#step-B2")
    step.locator("summary").first.click()
    expect(step.get_by_text("Signed by Tobin Hale")).to_be_visible()


def test_a_query_is_asked_kept_waiting_and_answered(desk: Page, crew: Page) -> None:
    crew.goto("/field/o/marrow-lane-a/queries")
    crew.get_by_label("What does not agree").fill("Head of the opening is 1 in lower than drawn")
    crew.get_by_label("Measured here").fill("7' 11\"")
    crew.get_by_label("Drawn", exact=True).fill("8' 0\"")
    crew.get_by_role("checkbox", name="C Sill bedding").check()
    crew.get_by_role("button", name="Ask the office").click()
    expect(crew.get_by_role("article")).to_contain_text("1 in lower than drawn")
    for answer, words in (("Wait", "Asking the engineer"), ("Build as is", "Frame is lower too")):
        desk.goto("/office/o/marrow-lane-a")
        queries = desk.get_by_role("region", name="Queries")
        queries.get_by_role("radio", name=answer).check()
        queries.get_by_label("In words").fill(words)
        queries.get_by_role("button", name="Send the answer").click()
        expect(desk.get_by_role("main")).to_contain_text(words, timeout=SEEN)
        desk.goto("/office/lists/not-ready")
        listed = desk.get_by_role("main").get_by_text("Asking the engineer")
        expect(listed).to_have_count(1 if answer == "Wait" else 0)
        crew.goto("/field/o/marrow-lane-a/queries")
        expect(crew.get_by_role("main")).to_contain_text(words)


def test_what_cannot_be_put_right_is_conceded_in_writing(desk: Page, crew: Page) -> None:
    desk.goto("/office/o/quarry-steps-a")
    fold = open_fold(desk, "Concede this nonconformity: Room-side line, highest to lowest")
    fold.get_by_label("Reason, as it will stand in the record").fill("Threshold is levelled later")
    answer = fold.get_by_label("The written answer: who gave it, when, and what it says")
    if answer.count():
        answer.fill("The drawing's author, 3 March: as found")
    fold.get_by_role("button", name="Concede", exact=True).click()
    expect(fold.get_by_role("checkbox")).to_be_focused()  # it is not conceded by a slip
    fold.get_by_role("checkbox").check()
    fold.get_by_role("button", name="Concede", exact=True).click()
    expect(desk.get_by_text("Conceded by the office").first).to_be_visible(timeout=SEEN)
    crew.goto("/field/o/quarry-steps-a/step/B1?show=all")
    check = crew.get_by_role("article").filter(
        has=crew.get_by_role("heading", name="Room-side line, highest to lowest")
    )
    expect(check).to_contain_text("OUT")
    expect(check).to_contain_text("Conceded by the office: Nadia Ferrow")
    expect(check).to_contain_text("Threshold is levelled later")


def test_what_is_taken_out_is_looked_at_before_it_is_taken_in(desk: Page, tmp_path: Path) -> None:
    desk.goto("/office/take-out")
    with desk.expect_download() as given:
        desk.get_by_role("link", name="Openings (CSV)").click()
    file = tmp_path / "openings.csv"
    given.value.save_as(file)
    look_at(desk, file)
    wrong = desk.get_by_role("alert")
    expect(wrong.get_by_text("This job has an opening A already.").first).to_be_visible()
    expect(wrong).to_contain_text("Nothing was imported.")
    rows = list(csv.DictReader(file.read_text("utf-8-sig").splitlines()))
    with file.open("w", encoding="utf-8", newline="") as changed:
        sheet = csv.DictWriter(changed, list(rows[0]))
        sheet.writeheader()
        sheet.writerows({**row, "job": row["job"] + ", second house"} for row in rows)
    look_at(desk, file)
    desk.get_by_role("button", name="Add all of it").click()
    desk.get_by_role("link", name="To the board").click()
    expect(desk.get_by_role("row").filter(has_text="second house")).to_have_count(len(rows))


def look_at(desk: Page, file: Path) -> None:
    """Hand a file to the office, and wait for what it says of it."""
    desk.goto("/office/take-in")
    desk.get_by_label("The file").set_input_files(file)
    desk.get_by_role("button", name="Look at it").click()
    expect(desk.get_by_role("heading", level=1)).to_have_text("Import a file", timeout=SEEN)
    expect(desk.get_by_role("progressbar")).to_have_count(0, timeout=SEEN)
