"""Light, dark and sun: what must be read stands out 7:1 in all, and a choice is kept.

7:1 is WCAG 2.2, 1.4.6 Contrast (Enhanced), as axe-core's own rule measures it.
"""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.axe import _script, violations
from tests.browser.models import SEEN, SignIn

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
ENHANCED = """() => axe.run(document, {runOnly: ["color-contrast-enhanced"],
    rules: {"color-contrast-enhanced": {enabled: true}}, resultTypes: ["violations"]})
  .then(({ violations }) => violations.flatMap(({ nodes }) => nodes.map(({ target, any }) =>
    target.join(" ") + " " + any[0].data.contrastRatio)))"""


@pytest.mark.parametrize("theme", ["light", "dark", "sun"])
def test_what_must_be_read_stands_out_seven_to_one(phone: Page, theme: str) -> None:
    SignIn(phone).as_("tobin")
    choose(phone, theme)
    for path in PATHS:
        phone.goto(path)
        phone.wait_for_load_state()
        phone.evaluate(
            "() => document.querySelectorAll('details').forEach(f => { f.open = true; })"
        )
        assert violations(phone) == [], path
        assert phone.evaluate("() => Boolean(self.axe)") or phone.evaluate(_script())
        assert phone.evaluate(ENHANCED) == [], path


def choose(page: Page, theme: str) -> None:
    """Choose a theme at the foot of the list."""
    button = page.get_by_role("group", name="Screen").get_by_role("button", name=theme, exact=True)
    button.click()
    expect(button).to_have_attribute("aria-pressed", "true", timeout=SEEN)


def ground(page: Page) -> str:
    """The colour of the page."""
    return str(page.evaluate("() => getComputedStyle(document.body).backgroundColor"))


def test_the_phone_s_own_wish_counts_until_somebody_chooses(phone: Page) -> None:
    phone.emulate_media(color_scheme="dark")
    SignIn(phone).as_("tobin")
    expect(phone.get_by_role("group", name="Screen")).to_be_visible(timeout=SEEN)
    dark = ground(phone)
    choose(phone, "light")
    light = ground(phone)
    assert light != dark
    phone.goto("/field/o/marrow-lane-a")
    assert ground(phone) == light  # kept from page to page
    phone.goto("/field")
    choose(phone, "as the phone")
    assert ground(phone) == dark
