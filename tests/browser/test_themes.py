"""Light, dark and sun: what must be read stands out 7:1 in all, and a choice is kept.

7:1 is WCAG 2.2, 1.4.6 Contrast (Enhanced), as axe-core's own rule measures it.
"""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.axe import violations
from tests.browser.models import SEEN

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
    crew.goto("/field")
    choose(crew, theme)
    for path in PATHS:
        crew.goto(path)
        crew.wait_for_load_state()
        crew.evaluate("() => document.querySelectorAll('details').forEach(f => { f.open = true; })")
        assert violations(crew, "color-contrast-enhanced") == [], path


def choose(page: Page, theme: str) -> None:
    """Choose a theme at the foot of the list."""
    button = page.get_by_role("group", name="Screen").get_by_role("button", name=theme, exact=True)
    button.click()
    expect(button).to_have_attribute("aria-pressed", "true", timeout=SEEN)


def ground(page: Page) -> str:
    """The colour of the page."""
    return str(page.evaluate("() => getComputedStyle(document.body).backgroundColor"))


def test_the_phone_s_own_wish_counts_until_somebody_chooses(crew: Page) -> None:
    crew.emulate_media(color_scheme="dark")
    crew.goto("/field")
    expect(crew.get_by_role("group", name="Screen")).to_be_visible(timeout=SEEN)
    dark = ground(crew)
    choose(crew, "light")
    light = ground(crew)
    assert light != dark
    crew.goto("/field/o/marrow-lane-a")
    assert ground(crew) == light  # kept from page to page
    crew.goto("/field")
    choose(crew, "as the phone")
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
