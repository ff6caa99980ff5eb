"""Light, dark and sun: what must be read stands out 7:1 in all, and a choice is kept.

7:1 is WCAG 2.2, 1.4.6 Contrast (Enhanced), as axe-core's own rule measures it. The office stays on
paper: what is chosen for the field book, or wished by the system, changes nothing there.
"""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.axe import violations
from tests.browser.models import SEEN, SignIn
from tests.browser.office_states import PAGES
from tests.browser.server import Sillbook

PATHS = (
    "/field",
    "/field/o/marrow-lane-b",
    "/field/o/marrow-lane-b/step/C?show=all",
    "/field/o/quarry-steps-a/step/B1",
    "/field/o/quarry-steps-a/step/B1?show=all",
    "/field/o/quarry-steps-a/point/sill-room",
    "/field/o/marrow-lane-a/next/B1",
    "/field/o/marrow-lane-a/next/A?point=panel-widths&place=A-top",
    "/field/o/marrow-lane-a/parts",
    "/field/status",
)


@pytest.mark.parametrize("theme", ["light", pytest.param("dark", marks=pytest.mark.long), "sun"])
def test_what_must_be_read_stands_out_seven_to_one(crew: Page, theme: str) -> None:
    choose(crew, theme)
    for path in PATHS:
        crew.goto(path)
        crew.wait_for_load_state()
        crew.evaluate("() => document.querySelectorAll('details').forEach(f => { f.open = true; })")
        assert violations(crew, "color-contrast-enhanced", alone=True) == [], path


def choose(page: Page, theme: str) -> None:
    """Choose a theme on the page of what is sent."""
    page.goto("/field/status")
    button = page.get_by_role("group", name="Screen").get_by_role("button", name=theme, exact=True)
    button.click()
    expect(button).to_have_attribute("aria-pressed", "true", timeout=SEEN)


def ground(page: Page) -> str:
    """The colour of the page."""
    return str(page.evaluate("() => getComputedStyle(document.body).backgroundColor"))


def test_the_phone_s_own_wish_counts_until_somebody_chooses(crew: Page) -> None:
    crew.emulate_media(color_scheme="dark")
    crew.goto("/field/status")
    expect(crew.get_by_role("group", name="Screen")).to_be_visible(timeout=SEEN)
    dark = ground(crew)
    choose(crew, "light")
    light = ground(crew)
    assert light != dark
    crew.goto("/field/o/marrow-lane-a")
    assert ground(crew) == light  # kept from page to page
    choose(crew, "auto")
    assert ground(crew) == dark


@pytest.mark.parametrize("path", ["", "/step/B1", "/step/B1?show=all"])
def test_two_columns_from_900_px_and_one_below(crew: Page, path: str) -> None:
    for width, columns in ((899, 1), (900, 2), (1280, 2)):
        crew.set_viewport_size({"width": width, "height": 800})
        crew.goto("/field/o/quarry-steps-a" + path)
        left = crew.evaluate(
            "() => [...document.querySelector('.spread').children].map(one => one.offsetLeft)"
        )
        assert len(set(left)) == columns, width
        wide = crew.evaluate("() => document.documentElement.scrollWidth")
        assert wide <= width


DESK = ("/office", "/office/o/quarry-steps-a", "/office/jobs/marrow-lane")
# What the page and the browser itself draw: ground, ink, and whether fields are light or dark.
DRAWN = """() => [document.body, ...document.querySelectorAll('input, select, button')].map(
  each => { const s = getComputedStyle(each);
            return [s.backgroundColor, s.color, s.colorScheme].join(' '); })"""


@pytest.fixture(scope="module")
def desk(chromium: Browser, sillbook: Sillbook) -> Iterator[Page]:
    """The supervisor's browser."""
    context = chromium.new_context(base_url=sillbook.address)
    page = context.new_page()
    SignIn(page).as_("nadia")
    expect(page.get_by_role("button", name="Sign out")).to_be_visible(timeout=SEEN)
    yield page
    context.close()


@pytest.mark.parametrize("path", DESK)
def test_the_office_stays_on_paper_whatever_is_chosen(desk: Page, path: str) -> None:
    paper(desk, path)


@pytest.mark.long
@pytest.mark.parametrize("path", [path for _, person, path in PAGES if person == "nadia"])
def test_every_page_of_the_office_stays_on_paper(desk: Page, path: str) -> None:
    paper(desk, path)


def paper(desk: Page, path: str) -> None:
    """Fail where a page looks otherwise by another theme, or less than 7:1 stands out on it."""
    desk.emulate_media(color_scheme="light")
    desk.goto(path)
    desk.evaluate("() => document.querySelectorAll('details').forEach(f => { f.open = true; })")
    assert violations(desk, "color-contrast-enhanced") == []
    light = desk.evaluate(DRAWN)
    assert light[0].endswith(" light")
    desk.emulate_media(color_scheme="dark")
    assert desk.evaluate(DRAWN) == light
    for theme in ("dark", "sun"):
        desk.evaluate("theme => { document.documentElement.dataset.theme = theme; }", theme)
        assert desk.evaluate(DRAWN) == light, theme
