"""A kept reading is read back aloud where somebody wants it: by the browser's voice, offline.

The voice is stood in for: what it is given to say is noted (Web Speech API, W3C community report).
"""

from playwright.sync_api import Page

from tests.browser.models import SEEN
from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.test_swaps import CARD, heading, press

VOICE = """() => {
  if (self.said) return;
  self.said = [];
  self.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
  const voice = { cancel() {}, speak: ({ text, lang }) => said.push([text, lang]) };
  Object.defineProperty(self, "speechSynthesis", { value: voice });
}"""


def said(page: Page) -> list[list[str]]:
    """Return what the voice was given: the words and their language."""
    every: list[list[str]] = page.evaluate("() => self.said.splice(0)")
    return [one for one in every if one[0]]  # a first touch says nothing


def test_a_reading_is_read_back_with_its_verdict_once_that_is_chosen(site: Site) -> None:
    page = site.phone.page
    page.add_init_script(f"({VOICE})()")
    site.office.stop()
    page.goto(CARD)
    heading(page, "panel A, top")
    press(page, "4", "8", "1/2", "Keep")
    page.wait_for_url("**kept=**", timeout=SEEN)
    assert said(page) == []  # nobody asked for it
    page.goto("/field/status")
    aloud = page.get_by_role("group", name="Read back aloud")
    aloud.get_by_role("button", name="on", exact=True).click()
    assert said(page) == [["Kept readings are read back.", "en"]]
    page.goto(CARD)
    heading(page, "panel A, top")
    press(page, "4", "8", "3/4", "Keep")
    expect(page.locator(".verdict-out")).to_be_visible(timeout=SEEN)
    assert said(page) == [["4 feet 0 3/4 inches, out", "en"]]
    page.goto("/field/status")
    expect(aloud.get_by_role("button", name="on", exact=True)).to_have_attribute(
        "aria-pressed", "true"
    )
    aloud.get_by_role("button", name="off", exact=True).click()
    page.goto(CARD)
    press(page, "4", "8", "1/2", "Keep")
    page.wait_for_url("**kept=**", timeout=SEEN)
    assert said(page) == []
