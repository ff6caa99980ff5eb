"""A clock on the page: it counts down, rings at its end, keeps the screen awake, offers a calendar.

The flood of fifteen minutes is entered as read so many minutes ago; the browser's own clock is then
set forward, so that its end comes within the test.
"""

from datetime import datetime, timedelta

import pytest
from playwright.sync_api import Page, expect

from tests.browser.models import SEEN, PointPage

OPENING = "/field/o/marrow-lane-a"
LEFT = 3  # seconds that the clock still runs when the page is looked at
# Stands in for the sound and the lock of a phone, and notes what is asked of them.
STUBS = """() => {
  self.asked = { tones: 0, wake: 0, shaken: 0 };
  class Sound {
    constructor() { this.state = "running"; this.currentTime = 0; this.destination = {}; }
    resume() { return Promise.resolve(); }
    createOscillator() {
      return { frequency: {}, connect() {}, start() { self.asked.tones += 1; }, stop() {} };
    }
  }
  self.AudioContext = Sound;
  const held = { addEventListener() {}, release: () => Promise.resolve() };
  Object.defineProperty(navigator, "wakeLock", {
    value: { request: () => { self.asked.wake += 1; return Promise.resolve(held); } },
  });
  navigator.vibrate = () => { self.asked.shaken += 1; return true; };
}"""


@pytest.fixture
def flooded(crew: Page) -> Page:
    """An installer's phone on which the flood was started fourteen minutes ago."""
    crew.goto(OPENING + "/point/flood-level?place=start")
    point = PointPage(crew)
    point.measured(14)
    point.keep("1/2", "at the start")
    sure = crew.get_by_role("button", name="It is right: keep it")
    if sure.count():
        sure.click()
    return crew


def test_a_clock_counts_down_and_rings_once_at_its_end(flooded: Page) -> None:
    page = flooded
    clock = page.locator("#clock-flood-long-enough")
    expect(clock).to_contain_text("Flood test", timeout=SEEN)
    expect(clock).to_contain_text("waiting until")
    until = datetime.fromisoformat(str(clock.get_attribute("data-until")))
    page.add_init_script(f"({STUBS})()")
    page.clock.install(time=until - timedelta(seconds=LEFT))
    page.goto(OPENING + "/step/B2")
    expect(clock.get_by_role("timer")).to_have_text(f"{LEFT} s left", timeout=SEEN)
    assert page.evaluate("self.asked") == {"tones": 0, "wake": 1, "shaken": 0}
    page.clock.run_for(1000)
    expect(clock.get_by_role("timer")).to_have_text(f"{LEFT - 1} s left")
    page.clock.run_for(1000 * LEFT)
    expect(clock).to_contain_text("over since")
    rung = page.evaluate("self.asked")
    assert rung["tones"] > 0
    assert rung["shaken"] == 1
    page.clock.run_for(5000)
    assert page.evaluate("self.asked") == rung  # once
    page.reload()  # it was over before: that page rings no more
    page.clock.run_for(5000)
    assert page.evaluate("self.asked.tones") == 0


def test_the_phones_calendar_gets_a_file(flooded: Page) -> None:
    button = flooded.get_by_role("button", name="Put it in the phone’s calendar").first
    expect(button).to_be_visible(timeout=SEEN)
    with flooded.expect_download() as waited:
        button.click()
    text = waited.value.path().read_bytes()
    assert text.startswith(b"BEGIN:VCALENDAR\r\n")
    assert b"\r\nSUMMARY:Flood test\r\n" in text
