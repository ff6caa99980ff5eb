"""A whole installation in WebKit with no office from the first tick to the last sign-off.

The scenario is the one of tests/browser/test_main_job.py, where the sources of its numbers stand.
Ticks, decisions, sign-offs, the photo, what goes wrong and the first reading of every step are
clicked and typed; the other readings are the page's own forms, filled and sent by a script in the
page, because a driver is slow at typing. Worker, interpreter and book do the same work for both.
"""

from collections.abc import Iterable, Iterator

import pytest

from tests.browser.crew import DOWN, Crew
from tests.browser.models import OpeningPage, PartsPage, PointPage, StepPage
from tests.browser.readings import Spot
from tests.browser.seen import expect
from tests.browser.test_main_job import plain_step, roll, set_panels, square, survey
from tests.faults.test_photos import camera_file, step_with_photo, take
from tests.phone.fixtures import Site
from tests.phone.test_main_road import signed
from tests.phone.work import OPENING, all_is_well

pytestmark = pytest.mark.xdist_group("webkit")
LINE = "#kept-and-sent"

# Sends a form for each [text, answer, words]: the page must ask for that place, and say it is kept.
ENTER = """async ([path, spots, way]) => {
  const read = async (answer) => {
    if (!answer.ok) throw new Error(answer.status + " at " + path);
    return new DOMParser().parseFromString(await answer.text(), "text/html");
  };
  const send = async (form, name, value) => {
    const body = new URLSearchParams(new FormData(form));
    body.set(name, value);
    return read(await fetch(form.getAttribute("action"), { method: "POST", body }));
  };
  const text = (node) => (node?.textContent || "nothing").replace(/\\s+/g, " ");
  const says = (page, where, words) => {
    const said = text(page.querySelector(where));
    if (!said.includes(words)) throw new Error("not " + words + " but " + said);
  };
  let page = await read(await fetch(path));
  if (!page.querySelector("#entry-place")) {
    const labels = Array.from(page.querySelectorAll("form.ways label"));
    const chosen = labels.find((label) => text(label).includes(way)).querySelector("input");
    page = await send(chosen.form, "way", chosen.value);
  }
  for (const [typed, answer, words] of spots) {
    says(page, "#entry-place", words);
    page = await send(page.querySelector("section.entry form"), "value", answer || typed);
    says(page, "#notices", words);
  }
}"""


class QuickCrew(Crew):
    """A crew that types the first point of a step by hand, and sends the forms of the others."""

    def measure(self, page: StepPage, key: str, leave: Iterable[str] = ()) -> None:
        """Enter every reading of a step as drawn, save those of the points that are left out."""
        step = self.state.step(key)
        first, *others = [point for point in self.points(key) if point["id"] not in leave]
        super().measure(page, key, leave=[p["id"] for p in step.data["points"] if p != first])
        for point in others:
            href = page.point_link(point["title"]).get_attribute("href")
            self.send(str(href), self.spots(point["id"], step))
        self.page.goto(str(self.page.evaluate("location.pathname")))

    def enter(self, page: PointPage, at: list[Spot]) -> None:
        """Enter the first reading as a person does, and those after it by their forms."""
        super().enter(page, at[:1])
        if at[1:]:
            path = str(self.page.evaluate("location.pathname"))
            self.send(path, at[1:])
            self.page.goto(path)

    def send(self, path: str, at: list[Spot]) -> None:
        """Send the forms of a point that a person would fill."""
        self.page.evaluate(ENTER, [path, [[s.text, s.answer, s.words] for s in at], DOWN])
        self.typed += [spot.typed for spot in at]


def test_a_whole_installation_with_no_office(site: Site) -> None:
    """Steps A to J on a phone alone, its browser started anew in between; then all is sent."""
    site.office.stop()
    crew = QuickCrew(site.phone.page, OPENING, "Family room")
    deliver(crew)
    site.phone.close()
    crew.page = site.phone.open()
    survey(crew)
    photograph(site)
    for work in rest(crew):
        work()
    told = site.phone.own()
    assert len([e for e in told if e["kind"] == "step.signed"]) >= len(crew.state.steps)
    expect(site.phone.page.locator(LINE)).to_contain_text(
        f"{len(told)} entries saved on this phone, not yet sent"
    )
    site.office.start()
    all_is_well(site, told)
    signed(site)
    arrived(site)


def rest(crew: Crew) -> Iterator[object]:
    """B2 to J."""
    for key in ("B2", "C"):
        yield lambda key=key: plain_step(crew, key)
    for work in (square, set_panels, roll):
        yield lambda work=work: work(crew)
    for key in ("G", "H", "I", "J"):
        yield lambda key=key: plain_step(crew, key)


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
