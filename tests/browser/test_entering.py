"""With scripts: entering a survey is type and Enter, and a tick does not load the page again."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.crew import DOWN, Crew
from tests.browser.models import SEEN, PointPage, open_fold

OPENING = "/field/o/marrow-lane-a"
MARK = "() => { self.sameDocument = true; }"
MARKED = "() => self.sameDocument === true"
# The next figure is there and sent as soon as its field is.
AT_ONCE = """() => {
  self.sameDocument = true;
  document.addEventListener("htmx:afterSwap", () => setTimeout(() => {
    const field = document.querySelector("main input[type=text]");
    field.value = "192 1/16";
    field.form.requestSubmit();
  }), { once: true });
}"""


@pytest.fixture
def installer(crew: Page) -> Page:
    """A phone on which an installer is signed in."""
    return crew


def test_stations_are_type_and_enter(installer: Page) -> None:
    crew = Crew(installer, "marrow-lane-a", "Family room")
    installer.goto(OPENING + "/point/sill-weather-shots")
    point = PointPage(installer)
    point.read(DOWN)
    at = crew.spots("sill-weather-shots", crew.state.step("B1"))[:-1]
    installer.wait_for_load_state()
    installer.evaluate(MARK)
    for spot in at:
        expect(point.place).to_contain_text(spot.words, timeout=SEEN)
        expect(point.field).to_be_focused()
        expect(point.field).to_have_value("")
        installer.keyboard.type(spot.text)
        installer.keyboard.press("Enter")
        point.is_kept(spot.words)
    assert installer.evaluate(MARKED)
    expect(point.place).to_contain_text("First mark again")
    expect(point.field).to_be_focused()


def test_a_figure_that_comes_at_once_does_not_load_the_page_again(installer: Page) -> None:
    installer.goto(OPENING + "/point/opening-widths")
    point = PointPage(installer)
    expect(point.place).to_contain_text("1 of ", timeout=SEEN)
    installer.evaluate(AT_ONCE)
    point.send("192")
    expect(point.told).to_contain_text("Kept: 16' 0 1/16", timeout=SEEN)
    expect(point.place).to_contain_text("3 of ", timeout=SEEN)
    assert installer.evaluate(MARKED)


def test_the_second_station_is_said_in_words(installer: Page) -> None:
    installer.goto(OPENING + "/point/sill-room-shots")
    point = PointPage(installer)
    point.read(DOWN)
    point.keep("13", "LEFT jamb")
    point.keep("13 3/16", "3' 11 3/4")
    # Read down from a beam a bigger figure is lower: 13 3/16 less 13 is 3/16.
    question = installer.get_by_role("main").get_by_text('3/16" LOWER than the first: right?')
    expect(question).to_be_visible(timeout=SEEN)
    installer.get_by_role("button", name="Yes, that is right").click()
    expect(question).to_be_hidden(timeout=SEEN)


def test_undo_gives_the_place_back(installer: Page) -> None:
    installer.goto(OPENING + "/point/opening-diagonals")
    point = PointPage(installer)
    first = point.place.inner_text()
    point.send("214")
    expect(point.told).to_contain_text("Kept:", timeout=SEEN)
    point.undo()
    expect(point.told).not_to_contain_text("Kept:", timeout=SEEN)
    expect(point.place).to_have_text(first, use_inner_text=True)


def test_a_tick_keeps_the_page_and_the_focus(installer: Page) -> None:
    page = Crew(installer, "marrow-lane-a", "Family room").step("B2")
    installer.wait_for_load_state()  # before that a form loads the page anew, as without scripts
    installer.evaluate(MARK)
    task = page.task("Water let out")
    task.focus()
    installer.keyboard.press("Enter")
    expect(task).to_have_attribute("aria-pressed", "true", timeout=SEEN)
    expect(task).to_be_focused()
    assert installer.evaluate(MARKED)
    installer.keyboard.press("Enter")
    expect(task).to_have_attribute("aria-pressed", "false", timeout=SEEN)
    expect(task).to_be_focused()
    assert installer.evaluate(MARKED)


def test_the_page_of_a_point_has_the_keys_of_a_card(installer: Page) -> None:
    installer.goto(OPENING + "/point/panel-widths")
    point = PointPage(installer)
    keys = installer.get_by_role("main").get_by_role("group", name="Keys")
    expect(point.field).to_have_attribute("inputmode", "none", timeout=SEEN)
    for key in ("4", "8", "1/8", "+1/16"):
        keys.get_by_role("button", name=key, exact=True).click()
    expect(point.field).to_have_value("48 3/16")  # 1/8 is 2/16, and one more is 3/16
    keys.get_by_role("button", name="+1/32").click()
    expect(point.field).to_have_value("48 7/32")  # 3/16 is 6/32, and one more is 7/32
    expect(point.field).to_be_focused()
    keys.get_by_role("button", name="Keep").click()
    point.is_kept("panel A")
    keys.get_by_role("button", name="1/2", exact=True).click()
    expect(point.field).to_have_value("48 1/2")  # the whole inches before stood greyed
    installer.keyboard.press("Enter")  # as a tape that types like a keyboard does
    expect(point.told).to_contain_text("Kept: 4' 0 1/2", timeout=SEEN)


def test_a_moment_that_is_half_filled_is_unfolded_and_not_kept(installer: Page) -> None:
    installer.goto(OPENING + "/point/sill-length")
    point = PointPage(installer)
    fold = open_fold(installer, "Who, with what, when:")
    at = fold.get_by_label("Measured at")
    at.press("1")  # one part of it: the browser takes that for no moment
    fold.evaluate("fold => { fold.open = false; }")
    point.field.fill("190")
    installer.keyboard.press("Enter")
    expect(at).to_be_visible(timeout=SEEN)
    expect(point.field).to_have_value("190")
    expect(point.told).not_to_contain_text("Kept:", timeout=SEEN)


def test_a_reading_is_corrected_with_the_same_keys(installer: Page) -> None:
    installer.goto(OPENING + "/point/frame-widths")
    point = PointPage(installer)
    point.keep("189", "low")
    point.at("low")
    keys = installer.get_by_role("main").get_by_role("group", name="Keys")
    for key in ("1", "8", "8", "3/8", "Keep"):
        keys.get_by_role("button", name=key, exact=True).click()
    expect(point.told).to_contain_text("Kept: 15' 8 3/8", timeout=SEEN)


@pytest.mark.parametrize(
    ("point", "limit"),
    [
        ("timber-wettest", "max 19%"),
        ("flood-level", "at least 15 min"),
        ("force-start", "max 30 lb"),
    ],
)
def test_a_limit_is_told_in_its_own_unit_before_anything_is_measured(
    installer: Page, point: str, limit: str
) -> None:
    installer.goto(OPENING + "/point/" + point)
    expect(installer.get_by_role("main")).to_contain_text("Limit: " + limit, timeout=SEEN)


def test_a_drawing_asks_for_nothing_that_the_door_does_not_have(installer: Page) -> None:
    # Opening A has no fixed panel, so nobody asks for its screws; opening B has one.
    main = installer.get_by_role("main")
    installer.goto(OPENING + "/drawing")
    expect(main).not_to_contain_text("The drawing leaves things open")
    expect(main).not_to_contain_text("Screws that hold a fixed panel")
    installer.goto("/field/o/marrow-lane-b/drawing")
    expect(main).to_contain_text("Screws that hold a fixed panel")
