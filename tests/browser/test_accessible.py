"""Every page in every state: WCAG 2.2 AA as axe-core sees it; narrow, wide, large text, targets.

320 px and text at 200 %: WCAG 2.2, 1.4.10 Reflow and 1.4.4 Resize Text (published). 48 px for
what is tapped with gloves: the design's own rule; WCAG's 2.5.8 asks for 24, which links within
a sentence keep here too, although it leaves them out.

Which font a system has is chance, and so is how high its lines are and how wide its letters: all
of it holds in the system's own font, in a low narrow one and in a high wide one.
"""

import base64
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.axe import violations
from tests.browser.fixtures import PATIENCE, PHONE
from tests.browser.models import SEEN, SignIn
from tests.browser.server import Sillbook
from tests.browser.states import VIEWS, View

LEAST_TARGET = 48
WIDE = "() => document.scrollingElement.scrollWidth - document.documentElement.clientWidth"
# Controls: buttons, fields, links that stand for themselves; links within a sentence have their
# own least height.
SMALL = """([least, in_sentence]) => [...document.querySelectorAll(
    'button, summary, select, textarea, input:not([type=hidden]), a[href]')]
  .filter(thing => thing.checkVisibility() && !thing.closest('.skip'))
  .map(thing => {
    const line = thing.matches('a') && getComputedStyle(thing).display === 'inline';
    const whole = thing.parentElement.textContent.trim() !== thing.textContent.trim();
    return [thing, line && whole];
  })
  .flatMap(([thing, inside]) => inside
    ? [...thing.getClientRects()].map(box => [thing, 1, in_sentence, box])
    : [[thing, least, least, (thing.closest('label') || thing).getBoundingClientRect()]])
  .filter(([thing, wide, high, box]) => box.width + 0.5 < wide || box.height + 0.5 < high)
  .map(([thing, wide, high, box]) =>
    `${thing.outerHTML.slice(0, 90)} ${box.width}x${box.height}`)"""
LEAST_IN_SENTENCE = 24

# Two fonts no system has, made of a vendored one: a letter's box is 0.96 em and 1.6 em high
# (Liberation Sans: 1.15, Noto Sans: 1.36), and 0.8 and 1.1 times as wide. "" is the system's own.
FONTS = {
    "": {},
    "low": {"ascentOverride": "95%", "descentOverride": "25%", "sizeAdjust": "80%"},
    "high": {"ascentOverride": "110%", "descentOverride": "35%", "sizeAdjust": "110%"},
}
FONT = Path(__file__).resolve().parents[2] / "static/vendor/dejavu/DejaVuSans.ttf"
SET = """async ([name, bytes, how]) => {
  if (name) {
    const face = new FontFace(name, Uint8Array.fromBase64?.(bytes)
      ?? Uint8Array.from(atob(bytes), letter => letter.charCodeAt(0)), how);
    document.fonts.add(await face.load());
  }
  for (const kind of ['--sans', '--serif', '--figures']) {
    document.documentElement.style.setProperty(kind, name || null);
  }
}"""


@pytest.fixture(scope="module")
def people(chromium: Browser, sillbook: Sillbook) -> Iterator[dict[str, BrowserContext]]:
    """A browser for nobody and for each person, signed in once for the whole file."""
    made = {}
    for name in {view.person for view in VIEWS}:
        made[name] = chromium.new_context(viewport=PHONE, base_url=sillbook.address)
        made[name].set_default_timeout(PATIENCE)
        if name:
            page = made[name].new_page()
            SignIn(page).as_(name)
            expect(page.get_by_role("button", name=re.compile("Sign out|Salir"))).to_be_visible(
                timeout=SEEN
            )
            page.close()
    yield made
    for context in made.values():
        context.close()


@pytest.fixture
def shown(people: dict[str, BrowserContext], view: View) -> Iterator[Page]:
    """The page in the state that the test asks for."""
    page = people[view.person].new_page()
    view.show(page)
    yield page
    page.close()


@pytest.mark.parametrize("view", VIEWS, ids=[view.name for view in VIEWS])
def test_a_page_keeps_nobody_out(shown: Page, view: View) -> None:
    keeps_nobody_out(shown)


def keeps_nobody_out(page: Page) -> None:
    """Fail where axe-core finds a fault, or where a page does not fit in one of FONTS."""
    assert violations(page) == []
    font = base64.b64encode(FONT.read_bytes()).decode()
    for name, how in FONTS.items():
        page.evaluate(SET, [name, font, how])
        fits(page, f"font {name or 'of the system'}")


def fits(page: Page, font: str) -> None:
    """Fail where something is too small to tap, or where a page must be pushed sideways."""
    page.set_viewport_size(PHONE)
    assert page.evaluate(SMALL, [LEAST_TARGET, LEAST_IN_SENTENCE]) == [], font
    for width in (320, PHONE["width"], 1280):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate(WIDE) <= 0, f"{font}: sideways scroll at {width} px"
    page.evaluate("() => { document.documentElement.style.fontSize = '200%'; }")
    for width in (320, PHONE["width"]):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate(WIDE) <= 0, (
            f"{font}: sideways scroll at {width} px, text twice as large"
        )
    page.evaluate("() => { document.documentElement.style.fontSize = ''; }")
