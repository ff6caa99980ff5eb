"""Cards in the hand: our own keys, nothing to scroll, targets for a glove, the next one at once.

What fits on which screen, and how large a target is, are this project's own.
"""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.fixtures import PATIENCE, PHONE
from tests.browser.models import SEEN, SignIn, open_fold
from tests.browser.server import Sillbook

OPENING = "/field/o/marrow-lane-a"
NEXT = OPENING + "/next/"
WIDTH = NEXT + "A?point=panel-widths&place="
SIZES = [(360, 640), (390, 844)]
GLOVE = 55.5  # px: 56, less what rounding takes
CARDS = {  # path -> what the card asks for; the weights at full depth
    NEXT + "A?point=safety-marks&place=A": "Safety and rating marks",
    NEXT + "A?point=panel-widths&place=D-bottom": "Panel width",
    NEXT + "A?point=panel-diagonals&place=C-low-right-high-left": "Panel diagonals",
    "/field/o/marrow-lane-b/next/A?point=panel-weights&place=B": "Weight of the panel",
    NEXT + "B1?point=sill-weather&place=x0": "Sill survey, weather-side line",
    NEXT + "B1?point=opening-diagonals&place=low-left-high-right": "Opening, diagonals",
    NEXT + "D?point=frame-diagonals&place=low-left-high-right": "Frame, diagonals",
}
CAUTIONS = {NEXT + step: "Cautions" for step in ("A", "B1", "F", "I")}  # B1: the longest
SPANISH = (  # cards that were the longest of a whole door
    NEXT + "A?task=a-photo-labels",
    NEXT + "B1?point=sill-room-shots&place=x36385",
    NEXT + "B1?point=opening-diagonals&place=low-left-high-right",
    NEXT + "C?point=bed-room&place=x0",
    NEXT + "D?point=frame-left-wall&place=low",
    NEXT + "F?point=closing-gap&place=left-high",
)
# The least of what is pressed all day: keys, the one thing to press, answers, the field.
PRESSED = """() => [...document.querySelectorAll(".key, .go, .choices button, .cannot, .value")]
  .filter((each) => each.checkVisibility())
  .map((each) => ({ name: each.textContent, ...each.getBoundingClientRect().toJSON() }))"""


@pytest.fixture
def hand(crew: Page) -> Page:
    """A phone on which an installer is signed in."""
    return crew


def key(page: Page, name: str) -> Locator:
    """A key of our own."""
    return page.get_by_role("group", name="Keys").get_by_role("button", name=name, exact=True)


def press(page: Page, *names: str) -> None:
    """Press keys one after the other."""
    for name in names:
        key(page, name).click()


def value(page: Page) -> Locator:
    """What was typed."""
    return page.get_by_role("main").get_by_role("textbox")


def title(page: Page) -> Locator:
    """The place that the card asks for, or the verdict that fills it."""
    return page.get_by_role("heading", level=1)


def test_what_people_write_can_be_typed_with_our_own_keys(hand: Page) -> None:
    hand.goto(WIDTH + "A-top")
    for keys, text in (
        (("3", "1/8", "+1/16"), "3 3/16"),
        (("1", "3/8"), "1 3/8"),
        (("7", "ft", "4", "1/2"), "7'4 1/2"),
        (("9", ".", "5"), "9.5"),
        (("4", "8", "3/4", "+1/16", "+1/32"), "48 27/32"),
        (("5", "7/8", "+1/16", "+1/16"), "6"),
        (("3/8", "A hair more, then a hair less"), "3/8+"),
    ):
        press(hand, *keys)
        expect(value(hand)).to_have_value(text)
        value(hand).fill("")
    press(hand, "4", "8", "1/2", "Take the last sign back")
    expect(value(hand)).to_have_value("48")


def test_within_goes_on_with_its_verdict_and_out_stays(hand: Page) -> None:
    hand.goto(WIDTH + "A-top")
    hand.wait_for_load_state()
    hand.evaluate("() => { self.sameDocument = true; }")
    main = hand.get_by_role("main")
    expect(main).to_contain_text('4\' 0 1/2" drawn, ±1/16"')
    before = key(hand, "7").bounding_box()
    press(hand, "4", "8", "1/2", "Keep")
    expect(hand.get_by_role("status")).to_contain_text("4' 0 1/2\" panel A, top", timeout=SEEN)
    expect(title(hand)).to_contain_text("panel A, bottom")
    assert key(hand, "7").bounding_box() == before  # the keys stay under the thumb
    press(hand, "4", "9", "Keep")
    expect(title(hand)).to_contain_text("OUT", timeout=SEEN)
    expect(main).to_contain_text('1/2" more than the 4\' 0 1/2" drawn')
    expect(main).to_contain_text("ask the office before anything is cut")
    hand.get_by_role("button", name="Typo: undo").click()
    expect(title(hand)).to_contain_text("panel A, bottom", timeout=SEEN)
    press(hand, "4", "8", "1/2", "Keep")
    expect(title(hand)).to_contain_text("panel B, top", timeout=SEEN)
    assert hand.evaluate("() => self.sameDocument === true")  # no page was loaded


def test_what_is_wanted_is_said_in_short_and_for_this_door_alone(hand: Page) -> None:
    wanted = hand.locator(".wanted")
    hand.goto(NEXT + "B1?point=left-jamb-top&place=high")
    expect(wanted).to_contain_text("max")
    expect(wanted).not_to_contain_text("LEFT jamb plumb")  # the title above says it
    hand.goto(NEXT + "D?point=frame-heights&place=x0")  # the frame is 15 ft 11 in wide
    expect(wanted).to_contain_text("even within")
    expect(wanted).not_to_contain_text("in frames over 16 ft")
    hand.goto(NEXT + "F?point=stile-clearance&place=A-left")
    expect(wanted).to_contain_text(re.compile(r"stiles \S+ to \S+ over sill\s*$"))


def test_the_last_reading_is_taken_back_from_an_empty_field(hand: Page) -> None:
    hand.goto(WIDTH + "C-top")
    press(hand, "4", "8", "1/2", "Keep")
    expect(hand.get_by_role("status")).to_contain_text("panel C, top", timeout=SEEN)
    press(hand, "Take the last sign back")
    expect(title(hand)).to_contain_text("panel C, top", timeout=SEEN)


def test_a_place_that_is_judged_by_itself_is_within_before_the_others_are_read(hand: Page) -> None:
    hand.goto(WIDTH + "D-top")  # 4' 0 1/2" drawn, 1/16 either way
    press(hand, "4", "8", "1/2", "Keep")
    expect(hand.get_by_role("status")).to_contain_text("within 4' 0 1/2", timeout=SEEN)


def test_an_even_inch_is_one_key_where_whole_inches_stand_greyed(hand: Page) -> None:
    even = hand.get_by_role("button", name="even inch")
    hand.goto(NEXT + "B1?point=opening-widths&place=low")
    expect(key(hand, "7")).to_be_visible()
    expect(even).to_be_hidden()  # nothing was read before it: the whole inches are typed
    press(hand, "1", "9", "2", "Keep")
    expect(title(hand)).to_contain_text("middle", timeout=SEEN)
    expect(value(hand)).to_have_value("")
    for size in ((320, 640), *SIZES):
        hand.set_viewport_size({"width": size[0], "height": size[1]})
        expect(even).to_be_visible()
        fits(hand, "even inch", size)
    press(hand, "1/8")
    even.click()  # it takes a fraction away as well
    expect(value(hand)).to_have_value("192")
    press(hand, "Keep")
    expect(title(hand)).to_contain_text("high", timeout=SEEN)


@pytest.mark.parametrize("size", [SIZES[0], pytest.param(SIZES[1], marks=pytest.mark.long)])
def test_no_card_needs_a_scroll_and_what_is_pressed_all_day_fits_a_glove(
    hand: Page, size: tuple[int, int]
) -> None:
    for card, words in {**CARDS, **CAUTIONS}.items():
        hand.goto(card)
        hand.wait_for_load_state()
        expect(hand.get_by_role("main")).to_contain_text(words)
        fits(hand, card, size)


@pytest.mark.long
def test_no_card_needs_a_scroll_in_spanish(
    phone: Page, signed_in: Callable[[Page, str], Page]
) -> None:
    signed_in(phone, "nadia").goto("/me")
    phone.get_by_text("Español").click()
    phone.get_by_role("button", name="Keep").first.click()
    phone.wait_for_load_state()
    try:
        for card in [*CARDS, *CAUTIONS, *SPANISH]:
            phone.goto(card)
            phone.wait_for_load_state()
            expect(phone.locator("html")).to_have_attribute("lang", "es")
            fits(phone, card, (360, 640))
    finally:
        phone.goto("/me")
        phone.get_by_text("English").click()
        phone.locator("main form button").first.click()


def fits(hand: Page, card: str, size: tuple[int, int]) -> None:
    """Fail where a card must be scrolled, or has something too small for a glove."""
    hand.set_viewport_size({"width": size[0], "height": size[1]})
    high, wide = hand.evaluate(
        "() => [document.documentElement.scrollHeight, document.documentElement.scrollWidth]"
    )
    assert (card, high, wide) == (card, size[1], size[0])
    for box in hand.evaluate(PRESSED):
        assert min(box["height"], box["width"]) >= GLOVE, (card, box)
    strip = hand.get_by_role("banner").bounding_box()
    assert strip is not None
    assert strip["height"] <= 56


TWO_SCREENS = 2 * 844  # px, at 390 wide
STEPS = ("A", "B1", "B2", "C", "D", "E-A", "F", "G", "H", "I", "J")
DOORS = ("marrow-lane-a", "marrow-lane-b", "quarry-steps-a")  # new; A to C signed; a floor out


@pytest.mark.parametrize(
    "door", [DOORS[0], pytest.param(DOORS[1], marks=pytest.mark.long), DOORS[2]]
)
def test_a_step_is_at_most_two_screens_20_kb_and_300_nodes(hand: Page, door: str) -> None:
    for step in STEPS:
        answer = hand.goto(f"/field/o/{door}/step/{step}")
        assert answer is not None
        size = len(answer.body())
        hand.wait_for_load_state()
        high, nodes = hand.evaluate(
            "() => [document.documentElement.scrollHeight, document.querySelectorAll('*').length]"
        )
        assert (high <= TWO_SCREENS, size <= 20_000, nodes <= 300) == (True, True, True), (
            step, high, size, nodes,
        )  # fmt: skip
        expect(hand.get_by_role("link", name="Sign-off")).to_be_in_viewport()


def test_a_tap_on_the_short_page_ticks_and_the_task_is_left_no_more(hand: Page) -> None:
    hand.goto("/field/o/quarry-steps-a/step/B1")
    task = hand.get_by_role("button", name="Opening guarded, ground below roped off")
    task.click()
    expect(task).to_have_count(0, timeout=SEEN)
    hand.get_by_role("link", name="Show everything").click()
    expect(task).to_have_attribute("aria-pressed", "true", timeout=SEEN)
    task.click()
    expect(task).to_have_attribute("aria-pressed", "false", timeout=SEEN)


def test_at_320_nothing_is_cut(hand: Page) -> None:
    hand.set_viewport_size({"width": 320, "height": 640})
    for card, words in {**CARDS, **CAUTIONS}.items():
        hand.goto(card)
        expect(hand.get_by_role("main")).to_contain_text(words)
        assert hand.evaluate("() => document.documentElement.scrollWidth") == 320, card


def test_one_tap_leads_from_the_list_to_the_card(hand: Page) -> None:
    done = hand.get_by_role("button", name="All here")
    hand.goto("/field")
    hand.get_by_role("link", name="Next: A").first.click()
    hand.get_by_role("button", name="All read").click()  # the cautions, once a day
    expect(done).to_be_visible(timeout=SEEN)
    hand.goto(OPENING)
    hand.get_by_role("link", name="Go on: A").click()
    expect(done).to_be_visible(timeout=SEEN)
    hand.goto(OPENING + "/step/A")
    hand.get_by_role("link", name="Go on: ").click()
    expect(done).to_be_visible(timeout=SEEN)


@pytest.mark.parametrize("path", CAUTIONS)
def test_the_card_after_the_cautions_fits_too(hand: Page, path: str) -> None:
    hand.goto(path)
    read = hand.get_by_role("button", name="All read")
    if read.count():  # once a day: another test may have read them
        read.click()
    expect(title(hand)).not_to_have_text("Cautions", timeout=SEEN)
    for size in SIZES:
        fits(hand, path, size)
    hand.set_viewport_size({"width": 320, "height": 640})
    assert hand.evaluate("() => document.documentElement.scrollWidth") == 320


def test_without_scripts_cards_are_plain_pages_that_do_the_same(
    chromium: Browser, sillbook: Sillbook
) -> None:
    context = chromium.new_context(
        viewport=PHONE, base_url=sillbook.address, java_script_enabled=False
    )
    context.set_default_timeout(PATIENCE)
    plain = context.new_page()
    SignIn(plain).as_("tobin")
    plain.goto(WIDTH + "D-top")
    value(plain).fill("48 1/2")
    plain.get_by_role("button", name="Keep").click()
    expect(title(plain)).to_contain_text("panel D, bottom", timeout=SEEN)
    value(plain).fill("49")
    value(plain).press("Enter")
    expect(title(plain)).to_contain_text("OUT", timeout=SEEN)
    plain.get_by_role("link", name="Put right: measure again").click()
    value(plain).fill("48 1/2")
    value(plain).press("Enter")
    expect(plain.get_by_role("status")).to_contain_text("panel D, bottom", timeout=SEEN)
    plain.goto(WIDTH + "D-top")
    plain.get_by_role("link", name="Can't reach").click()
    plain.get_by_label("It cannot be reached, because").fill("crated")
    plain.get_by_role("button", name="Keep: could not be reached").click()
    expect(plain.get_by_role("status")).to_contain_text("could not be reached", timeout=SEEN)
    context.close()


def test_why_is_folded_on_a_card_that_is_out(hand: Page) -> None:
    hand.goto(WIDTH + "B-bottom")
    press(hand, "5", "0", "Keep")
    expect(title(hand)).to_contain_text("OUT", timeout=SEEN)
    assert "±1/16" in open_fold(hand, "Why?").inner_text()
