"""A crew that types a part of what it enters by hand, and sends the page's own forms for the rest.

Worker, interpreter and book do the same work for a form that a script in the page fills and sends
(work.js); only nobody waits until every page is drawn. What is typed by hand is the first reading
at every point; the whole of it by hand is what tests/phone/test_main_job.py does in `make long`.
"""

from pathlib import Path

from app.core.kinds import Json
from tests.browser.crew import DOWN, Crew
from tests.browser.models import PointPage
from tests.browser.readings import Spot

WORK = (Path(__file__).parent / "work.js").read_text("utf-8")


class QuickCrew(Crew):
    """Types the first reading of what is entered in a row, and sends forms for the others."""

    def enter(self, page: PointPage, at: list[Spot]) -> None:
        """Enter the first reading as a person does, and those after it by their forms."""
        super().enter(page, at[:1])
        if at[1:]:
            path = str(self.page.evaluate("location.pathname"))
            self.send_readings(path, at[1:])
            self.page.goto(path)

    def send_readings(self, path: str, at: list[Spot]) -> None:
        """Send the forms of a point's page, one a reading."""
        self.work("enter", path, as_work_takes(at))
        self.typed += [spot.typed for spot in at]

    def work(self, what: str, path: str, work: Json) -> None:
        """Let the script in the page do this."""
        self.page.evaluate(
            f"async (asked) => {{ {WORK} await {what}(asked); }}", [path, work, DOWN]
        )


def as_work_takes(at: list[Spot]) -> list[list[str]]:
    """Return spots as work.js takes them."""
    return [[spot.text, spot.answer, spot.words, spot.ago, spot.sure] for spot in at]
