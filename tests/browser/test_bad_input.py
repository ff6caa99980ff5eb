"""What is mistyped is said at the field, what was typed stays, and nothing is kept twice."""

import re
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Page, Response, expect

from tests.browser.fixtures import PATIENCE, PHONE
from tests.browser.models import SEEN, PointPage, SignIn
from tests.browser.server import Sillbook

OPENING = "/field/o/marrow-lane-a"
WEIGHED = "/field/o/marrow-lane-b"  # full depth: its panels' weights are asked
BAD_LENGTHS = [
    pytest.param("", id="empty"),
    pytest.param("about a foot", id="nonsense"),
    pytest.param("<b>5</b>", id="markup"),
    pytest.param("1-3/0", id="nothing under the stroke"),
    pytest.param("-3/8", id="negative where it makes no sense"),
    pytest.param("99999999999999999999", id="huge"),
    pytest.param("9" * 64, id="as long as the field"),
    pytest.param("5 lb", id="unit of another quantity"),
    pytest.param("12 parsecs", id="no unit at all"),
    pytest.param("\u0663\u0664", id="figures of another script"),
]


@pytest.fixture
def point(crew: Page) -> PointPage:
    """A tape reading that is asked for, by an installer who reads inches."""
    crew.goto(OPENING + "/point/sill-length")
    return PointPage(crew)


@pytest.fixture(scope="module")
def refused(
    chromium: Browser, sillbook: Sillbook, signed_in: Callable[[Page, str], Page]
) -> Iterator[PointPage]:
    """One page of the installer for all that is never kept."""
    context = chromium.new_context(viewport=PHONE, base_url=sillbook.address, locale="en-US")
    context.set_default_timeout(PATIENCE)
    yield PointPage(signed_in(context.new_page(), "tobin"))
    context.close()


def answer_to(point: PointPage, text: str) -> Response:
    """Send a text and return what the server answered to the form."""
    with point.page.expect_response(lambda found: found.request.method == "POST") as answer:
        point.send(text)
    return answer.value


def is_told_at_the_field(point: PointPage, text: str) -> None:
    """The message is an alert that the field names, and what was typed still stands in it."""
    expect(point.error).to_be_visible(timeout=SEEN)
    assert point.error.inner_text().strip()
    expect(point.field).to_have_attribute("aria-invalid", "true")
    named = (point.field.get_attribute("aria-describedby") or "").split()
    assert point.error.get_attribute("id") in named
    expect(point.field).to_have_value(text)


@pytest.mark.parametrize("text", BAD_LENGTHS)
def test_a_length_that_is_none(refused: PointPage, text: str) -> None:
    refused.page.goto(OPENING + "/point/sill-length")
    assert answer_to(refused, text).status == 422
    is_told_at_the_field(refused, text)
    expect(refused.place).to_be_visible()
    refused.page.goto(OPENING + "/history")
    expect(refused.page.get_by_role("main")).to_contain_text("Readings: 0")


@pytest.mark.parametrize(
    ("path", "text"),
    [
        (WEIGHED + "/point/panel-weights?place=A", "12 in"),
        (OPENING + "/point/cure-time", "3 lb"),
        (OPENING + "/point/timber-wettest", "200 C"),
        (OPENING + "/point/bed-air", "68 lb"),
        (OPENING + "/point/bed-weeps", "2.5"),
        (OPENING + "/point/force-start", "8 in"),
    ],
)
def test_another_quantity_than_asked_for(refused: PointPage, path: str, text: str) -> None:
    refused.page.goto(path)
    assert answer_to(refused, text).status == 422
    is_told_at_the_field(refused, text)


def test_mended_text_is_kept(point: PointPage) -> None:
    point.page.goto(OPENING + "/point/jamb-lengths")
    answer_to(point, "93 1/2 lb")
    is_told_at_the_field(point, "93 1/2 lb")
    point.keep("93 1/2", "LEFT jamb")
    expect(point.error).to_be_hidden()


def test_an_inch_burned_is_asked_back(point: PointPage) -> None:
    # Three stations at 13 in and one at 14 in: an inch off its neighbours, by subtraction.
    point.page.goto(OPENING + "/point/sill-room-shots")
    point.read("Down from the beam: bigger is lower")
    for place in ("LEFT jamb", "3' 11", "7' 11"):
        point.keep("13", place)
    point.send("14")
    question = point.page.get_by_role("main").get_by_text("almost exactly 1 in or 1 ft off")
    expect(question.first).to_be_visible(timeout=SEEN)
    expect(point.field).to_have_value("14")
    point.page.get_by_role("button", name="It is right: keep it").click()
    point.is_kept("11' 11")


def test_two_taps_on_keep_are_one_reading(point: PointPage) -> None:
    point.page.goto(OPENING + "/point/frame-diagonals")
    point.field.fill("211 1/2")
    point.page.get_by_role("button", name="Keep", exact=True).dblclick()
    point.is_kept("LOW LEFT")
    point.page.goto(OPENING + "/history")
    readings = point.page.get_by_role("region", name="Frame, diagonals")
    expect(readings.get_by_role("listitem")).to_have_count(1)


def test_back_edit_and_send_again_is_never_called_saved(point: PointPage) -> None:
    """A browser that restores a page from its memory shows the form that was sent already."""
    page = point.page
    page.goto(OPENING + "/point/sill-setback")
    page.evaluate("() => { self.sent = document.getElementById('main').innerHTML; }")
    point.keep("3/4", "LEFT jamb")
    page.evaluate("() => { document.getElementById('main').innerHTML = self.sent; }")
    with page.expect_response(lambda found: found.request.method == "POST") as answer:
        point.send("7/8")
    assert answer.value.status == 422
    expect(point.error).to_contain_text("already kept", timeout=SEEN)
    expect(point.field).to_have_value("7/8")
    expect(page.get_by_text(re.compile("Kept:"))).to_have_count(0)
    page.goto(OPENING + "/history")
    readings = page.get_by_role("region", name="Sill set back")
    expect(readings.get_by_role("listitem")).to_have_count(1)
    expect(readings).to_contain_text("3/4")


def test_a_page_that_is_not_there_says_so(crew: Page) -> None:
    for path in (
        "/field/o/nowhere",
        OPENING + "/point/nothing",
        OPENING + "/reading/none",
        "/none",
    ):
        answer = crew.goto(path)
        assert answer is not None
        assert answer.status == 404
        expect(crew.get_by_role("heading", level=1)).to_be_visible()


def sign_in_beside(page: Page) -> None:
    """Follow the link to sign in: it opens beside the page, which stays."""
    with page.expect_popup() as opened:
        page.get_by_role("link", name="Sign in on another page").click()
    SignIn(opened.value).as_("tobin")
    expect(opened.value.get_by_role("heading", level=1)).to_have_text("Openings to be set")
    opened.value.close()


def test_signed_out_while_typing(point: PointPage) -> None:
    """The session ends under an open form: what was typed stays, and is sent after signing in."""
    point.page.context.clear_cookies()
    assert answer_to(point, "7 ft 4").status == 401
    told = point.page.locator("#notices")
    expect(told).to_contain_text("What you typed stays here", timeout=SEEN)
    expect(point.field).to_have_value("7 ft 4")
    sign_in_beside(point.page)
    assert answer_to(point, "7 ft 4").status in (200, 303)
    point.page.goto(OPENING + "/history")
    expect(point.page.get_by_role("main")).to_contain_text("typed 7 ft 4")


def test_signed_out_with_a_whole_form(crew: Page) -> None:
    """A form that makes a new page: that page has what was typed, and sends it again."""
    words = "The sill is 3/8 lower than drawn at 8 ft"
    crew.goto(OPENING + "/queries")
    crew.get_by_role("main").get_by_role("textbox").first.fill(words)
    crew.get_by_role("group", name="Which steps must wait").get_by_text("B1").first.click()
    crew.context.clear_cookies()
    crew.get_by_role("button", name="Ask the office").first.click()
    expect(crew.get_by_role("heading", level=1)).to_have_text("You are signed out", timeout=SEEN)
    expect(crew.get_by_role("main")).to_contain_text(words)
    sign_in_beside(crew)
    crew.get_by_role("button", name="Send it again").click()
    expect(crew.get_by_role("main").get_by_text(words).first).to_be_visible(timeout=SEEN)
    expect(crew.get_by_role("heading", level=1)).not_to_have_text("You are signed out")
