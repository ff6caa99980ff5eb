"""A crew at work through the pages: walks a step, enters what is asked, remembers what it typed."""

from collections.abc import Iterable

from playwright.sync_api import Page

from app.core.kinds import Json
from app.core.record.judge import asked_points
from app.core.record.state import Step
from tests.browser.models import SEEN, Openings, PointPage, StepPage
from tests.browser.readings import Spot, demo_state, spots
from tests.browser.seen import expect

DOWN = "Down from the beam: bigger is lower"


class Crew:
    """One person at one opening; typed has every reading that was kept, as it was typed."""

    def __init__(self, page: Page, opening: str, room: str) -> None:
        self.page = page
        self.room = room
        self.state = demo_state(opening)
        self.typed: list[str] = []

    def step(self, key: str) -> StepPage:
        """Go to a step by its key (B1, or E:C for panel C) from the list of openings."""
        step = self.state.step(key)
        same = [other.key for other in self.state.steps if other.id == step.id]
        title = str(step.data["title"])
        return Openings(self.page).open(self.room).step(title, same.index(key))

    def points(self, key: str) -> list[Json]:
        """Return the points of a step that are asked, and have a place at this door."""
        step = self.state.step(key)
        asked = asked_points(self.state, step)
        return [point for point in asked if self.spots(point["id"], step)]

    def spots(self, point: str, step: Step) -> list[Spot]:
        """Return the places of a point, and what is typed there."""
        return spots(self.state, point, step.panel)

    def measure(self, page: StepPage, key: str, leave: Iterable[str] = ()) -> None:
        """Enter every reading of a step as drawn, save those of the points that are left out."""
        for point in self.points(key):
            if point["id"] not in leave:
                self.enter(
                    page.point(point["title"]), self.spots(point["id"], self.state.step(key))
                )
                page.back()
                expect(page.title).to_contain_text(self.state.step(key).data["title"], timeout=SEEN)

    def enter(self, page: PointPage, at: list[Spot]) -> None:
        """Enter readings one after the other, as the page asks for them."""
        page.read(DOWN)
        for spot in at:
            page.keep(spot.text, spot.words, spot.ago, spot.sure)
            self.typed.append(spot.typed)

    def again(self, page: StepPage, key: str, point: str) -> None:
        """Measure a point again after something was moved."""
        step = self.state.step(key)
        self.enter(page.point(step_point(step, point)["title"]), self.spots(point, step))
        page.back()
        expect(page.title).to_contain_text(step.data["title"], timeout=SEEN)

    def sign(self, page: StepPage) -> None:
        """Sign the step off, and see that the page leads back to the opening."""
        expect(page.bars).to_have_count(0, timeout=SEEN)
        page.sign()
        expect(page.title).to_have_text("The opening and its steps", timeout=SEEN)


def step_point(step: Step, id_: str) -> Json:
    """Return a point of a step."""
    found: Json = next(point for point in step.data["points"] if point["id"] == id_)
    return found
