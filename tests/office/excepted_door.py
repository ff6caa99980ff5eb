"""A door that waits for its review with exceptions: conceded, not reached, no photo, struck.

For tests only. The readings are invented; each lies beyond a limit of the shipped procedure.
"""

import shutil
from pathlib import Path

from app.core.kinds import Json
from app.core.quantity.units import INCH
from app.core.record import gate, judge
from app.core.record.state import Step
from app.core.record.written import judged_by
from app.main import create_app
from app.settings import Settings
from app.store import log
from tests.homeowner.conftest import rehung
from tests.homeowner.finished import OFFICE, Finished

SINKS = {("sill-setback", 1): INCH // 4, ("joint-width", 2): INCH, ("frame-heights", 0): INCH // 4}


class Excepted(Finished):
    """A whole installation in which what is out is conceded, and no photo was taken."""

    def __init__(self, opening: Json | None = None) -> None:
        super().__init__(opening)
        self.sinks = dict(SINKS)
        self.conceded: list[str] = []

    def measure(self, step: Step) -> None:
        """Enter every reading; one of them wrong first, and struck; concede what is out."""
        if step.key == "C":
            self._mistype(step)
        super().measure(step)
        state = self.state
        for result in judge.results_of(state, state.step(step.key)):
            if not result.settled and result.verdict == "out":
                self._concede(state.step(step.key), result)

    def _mistype(self, step: Step) -> None:
        point = next(point for point in step.data["points"] if point["id"] == "sill-setback")
        place = self.state.places(point["id"], "")[0]
        self.read(point, "", place, 9 * INCH, "plain")
        body = {"target": self.events[-1]["id"], "why": "read the wrong end of the tape"}
        self.enter("entry.struck", body)

    def _concede(self, step: Step, result: judge.Result) -> None:
        body: Json = {
            "check": result.check["id"],
            "panel": step.panel,
            "readings": result.readings,
            "reason": "Covered by the trim; the builder agrees.",
        }
        body.update(judged_by(self.state, [gate.verdict_line(self.state, step, result)]))
        if result.check["rank"] == "author":
            body["answer"] = "Engineer's letter of 3 March."
        self.enter("concession.given", body, "office-demo", OFFICE)
        self.conceded.append(result.check["id"])


def excepted() -> Excepted:
    """Return an opening that is all signed and waits for its review."""
    book = Excepted()
    for part, _ in book.state.parts():
        book.enter("part.stated", {"mark": part["mark"], "state": "here"})
    for step in book.state.steps:
        book.do_step(step.key)
    return book


def excepted_data(demo_data: Path, folder: Path, *doors: Finished) -> Path:
    """Return a folder of data as the demo's, in which these doors wait for their reviews."""
    data = folder / "data"
    shutil.copytree(demo_data, data)
    database = create_app(Settings(data)).state.server.database
    for door in doors:
        opening = door.opening["id"]
        with database.write() as session:
            known = log.events_of(session, [opening])[opening]
            log.append_events(session, rehung(known, door.events[1:], {}))
    database.close()
    return data
