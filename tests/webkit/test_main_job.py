"""A whole installation in WebKit with no office from the first tick to the last sign-off.

The scenario is the one of tests.browser.installation.py, where the sources of its numbers stand.
Up to B2 ticks, decisions, sign-offs, the photo, what goes wrong and the first reading of every step
are clicked and typed. The other readings, and the steps after B2, are the page's own forms, filled
and sent by a script in the page (work.js): worker, interpreter and book do the same work for them,
and nobody waits for every page to be drawn.
"""

import re
from collections.abc import Iterable

import pytest

from tests.browser.crew import Crew
from tests.browser.installation import measure_everything, plain_step, survey
from tests.browser.models import OpeningPage, PartsPage, StepPage
from tests.browser.quick_crew import QuickCrew, as_work_takes
from tests.browser.seen import expect
from tests.faults.test_photos import camera_file, step_with_photo, take
from tests.phone.fixtures import Site
from tests.phone.test_main_road import signed
from tests.phone.work import OPENING, all_is_well

LINE = "#kept-and-sent"


class QuickestCrew(QuickCrew):
    """Types the first point of a step by hand, and sends the forms of the others."""

    def measure(self, page: StepPage, key: str, leave: Iterable[str] = ()) -> None:
        """Enter every reading of a step as drawn, save those of the points that are left out."""
        step = self.state.step(key)
        first, *others = [point for point in self.points(key) if point["id"] not in leave]
        super().measure(page, key, leave=[p["id"] for p in step.data["points"] if p != first])
        for point in others:
            href = page.point_link(point["title"]).get_attribute("href")
            self.send_readings(str(href), self.spots(point["id"], step))
        self.page.goto(str(self.page.evaluate("location.pathname + location.search")))

    def do_step(self, key: str) -> None:
        """Do a whole step by its forms, and sign it."""
        step = self.state.step(key)
        points = [[p["title"], as_work_takes(self.spots(p["id"], step))] for p in self.points(key)]
        decisions = {
            one["id"]: next(choice["id"] for choice in one["choices"] if choice["opens"])
            for one in step.data["decisions"]
        }
        path = f"/field/o/{OPENING}/step/{key.replace(':', '-')}?show=all"
        self.work("step", path, {"points": points, "decisions": decisions})


@pytest.mark.long
def test_a_whole_installation_with_no_office(site: Site) -> None:
    """Steps A to J on a phone alone, its browser started anew in between; then all is sent."""
    site.office.stop()
    crew = QuickestCrew(site.phone.page, OPENING, "Family room")
    measure_everything(crew, OPENING)
    deliver(crew)
    site.phone.close()
    crew.page = site.phone.open()
    survey(crew)
    photograph(site)
    plain_step(crew, "B2")
    for step in crew.state.steps:
        if step.id not in ("A", "B1", "B2"):
            crew.do_step(step.key)
    told = site.phone.own()
    assert len([e for e in told if e["kind"] == "step.signed"]) == len(crew.state.steps)
    crew.page.goto("/field")
    expect(crew.page.locator(LINE)).to_contain_text(
        re.compile(f"^{len(told)} entries .*saved on this phone, not yet sent")
    )
    site.office.start()
    all_is_well(site, told)
    signed(site)
    arrived(site)


def deliver(crew: Crew) -> None:
    """A: the parts are gone through, go is decided, all is measured and signed."""
    crew.page.goto(f"/field/o/{OPENING}")
    OpeningPage(crew.page).about("Parts")
    PartsPage(crew.page).all_here()
    step = crew.step("A")
    step.tick_all()
    step.decide("Go", words="Four of us, two cup lifters, dry until Thursday.")
    crew.measure(step, "A")
    crew.sign(step)


def photograph(site: Site) -> None:
    """Take the photo that a step asks for; it is shown from the phone."""
    section = step_with_photo(site.phone.page, site)
    take(section, camera_file(site.folder / "camera.jpg"))
    expect(section.get_by_role("img").first).to_have_js_property("naturalWidth", 1200)


def arrived(site: Site) -> None:
    """The photo is at the office, whole."""
    (photo,) = [e["body"] for e in site.phone.own() if e["kind"] == "photo.taken"]
    stored = next((site.office.data / "photos").rglob(photo["sha256"] + "*"))
    assert stored.stat().st_size == photo["size"]
