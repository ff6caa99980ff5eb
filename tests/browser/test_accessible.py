"""Every page in every state: WCAG 2.2 AA as axe-core sees it; narrow, wide, large text, targets.

320 px and text at 200 %: WCAG 2.2, 1.4.10 Reflow and 1.4.4 Resize Text (published). 48 px for
what is tapped with gloves: the design's own rule; WCAG's 2.5.8 asks for 24.
"""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.axe import violations
from tests.browser.fixtures import PATIENCE, PHONE
from tests.browser.models import SEEN, SignIn
from tests.browser.server import Sillbook
from tests.browser.states import VIEWS, View

LEAST_TARGET = 48
WIDE = "() => document.scrollingElement.scrollWidth - document.documentElement.clientWidth"
# Controls, not links within a sentence: buttons, fields, links that are laid out as a block.
SMALL = """least => [...document.querySelectorAll(
    'button, summary, select, textarea, input:not([type=hidden]), a[href]')]
  .filter(thing => thing.checkVisibility() && !thing.closest('.skip'))
  .filter(thing => !(thing.matches('a') && getComputedStyle(thing).display === 'inline'))
  .map(thing => thing.closest('label') || thing)
  .map(thing => [thing, thing.getBoundingClientRect()])
  .filter(([thing, box]) => box.width + 0.5 < least || box.height + 0.5 < least)
  .map(([thing, box]) => `${thing.outerHTML.slice(0, 90)} ${box.width}x${box.height}`)"""


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
    assert violations(shown) == []
    assert shown.evaluate(SMALL, LEAST_TARGET) == []
    for width in (320, PHONE["width"], 1280):
        shown.set_viewport_size({"width": width, "height": 844})
        assert shown.evaluate(WIDE) <= 0, f"sideways scroll at {width} px"
    for width in (320, PHONE["width"]):
        shown.set_viewport_size({"width": width, "height": 844})
        shown.evaluate("() => { document.documentElement.style.fontSize = '200%'; }")
        assert shown.evaluate(WIDE) <= 0, f"sideways scroll at {width} px with text twice as large"
