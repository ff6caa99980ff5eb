"""Every page in every state: WCAG 2.2 AA as axe-core sees it; narrow, wide, large text, targets.

320 px and text at 200 %: WCAG 2.2, 1.4.10 Reflow and 1.4.4 Resize Text (published). 48 px for
what is tapped with gloves: the design's own rule; WCAG's 2.5.8 asks for 24, which links within
a sentence keep here too, although it leaves them out.

Which font a system has is chance, and so is how high its lines are and how wide its letters: all
of it holds in the system's own font, in a low narrow one and in a high wide one.
"""

import base64
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

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
LOAD = """async ([bytes, fonts]) => {
  const font = Uint8Array.fromBase64?.(bytes)
    ?? Uint8Array.from(atob(bytes), letter => letter.charCodeAt(0));
  for (const [name, how] of Object.entries(fonts)) {
    if (name) document.fonts.add(await new FontFace(name, font, how).load());
  }
}"""
# At one width: of each font, what is too small to tap, and by how much a page must be pushed
# sideways, with text as it is and twice as large. Asking for a width lays the page out at once.
FAULTS = f"""([fonts, taps, sizes]) => fonts.flatMap(font => {{
  const root = document.documentElement;
  for (const kind of ['--sans', '--figures']) root.style.setProperty(kind, font || null);
  const said = `font ${{font || 'of the system'}}`;
  const faults = taps ? ({SMALL})(taps).map(small => `${{said}}: ${{small}}`) : [];
  for (const size of sizes) {{
    root.style.fontSize = size;
    if (({WIDE})() > 0) faults.push(`${{said}}, text ${{size || '100%'}}: sideways scroll`);
  }}
  root.style.fontSize = '';
  return faults;
}})"""


def pages_of(chromium: Browser, address: str, names: Iterable[str]) -> Iterator[dict[str, Page]]:
    """A page for nobody ("") and for each person, signed in, that all tests of a file look at."""
    pages = {}
    for name in dict.fromkeys(names):
        context = chromium.new_context(viewport=PHONE, base_url=address)
        context.set_default_timeout(PATIENCE)
        pages[name] = context.new_page()
        if name:
            SignIn(pages[name]).as_(name)
            out = pages[name].get_by_role("button", name=re.compile("Sign out|Salir"))
            expect(out).to_be_visible(timeout=SEEN)
    yield pages
    for page in pages.values():
        page.context.close()


@pytest.fixture(scope="module")
def people(chromium: Browser, sillbook: Sillbook) -> Iterator[dict[str, Page]]:
    yield from pages_of(chromium, sillbook.address, [view.person for view in VIEWS])


# Each differs little from another one of its kind: `make long` looks at them.
LATER = {
    "opening, half done", "drawing with a gap", "set-out of a job", "set-out of a meeting pair",
    "parts refused", "query refused", "step A, new", "step A, new, short", "step C, barred",
    "step C, signed, short", "step E, a panel", "last step", "two stations compared",
    "out of reach refused", "strike refused", "struck reading", "sign-off refused",
    "office review, out", "record, floor out", "a job's set-out", "drawing revised",
    "take out an opening", "people, not for supervisors",
    "step B1, out, short", "step C, signed", "last step, short", "step E, a panel, short",
    "choice asked for", "queries, none", "a job refused", "a person refused",
    "a procedure refused", "a job changed", "verify, unknown", "take out a job",
}  # fmt: skip


@pytest.mark.parametrize(
    "view",
    [
        pytest.param(view, id=view.name, marks=[pytest.mark.long] * (view.name in LATER))
        for view in VIEWS
    ],
)
def test_a_page_keeps_nobody_out(people: dict[str, Page], view: View) -> None:
    page = people[view.person]
    page.set_viewport_size(PHONE)
    view.show(page)
    keeps_nobody_out(page)


def test_what_is_looked_at_later_is_there() -> None:
    assert {view.name for view in VIEWS} >= LATER


def keeps_nobody_out(page: Page) -> None:
    """Fail where axe-core finds a fault; where, in one of FONTS, a page does not fit.

    It must fit at 320 px, on a phone and at a desk, and with text twice as large on the first two.
    """
    page.set_viewport_size(PHONE)
    assert violations(page) == []
    page.evaluate(LOAD, [base64.b64encode(FONT.read_bytes()).decode(), FONTS])
    for width, taps, sizes in (
        (PHONE["width"], [LEAST_TARGET, LEAST_IN_SENTENCE], ["", "200%"]),
        (320, None, ["", "200%"]),
        (1280, None, [""]),
    ):
        page.set_viewport_size({"width": width, "height": PHONE["height"]})
        assert page.evaluate(FAULTS, [list(FONTS), taps, sizes]) == [], f"{width} px wide"
