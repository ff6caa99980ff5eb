"""Puts work that was done before into an office's log, so that a test begins where it matters."""

from collections.abc import Callable
from pathlib import Path

from app.core.kinds import Json
from app.main import create_app
from app.settings import Settings
from app.store import log
from tests.homeowner.conftest import rehung
from tests.homeowner.finished import Finished


def put(data: Path, opening: str, events: list[Json]) -> None:
    """Hang events onto what the office has of an opening; nobody may be serving."""
    app = create_app(Settings(data))
    database = app.state.server.database
    with database.write() as session:
        known = log.events_of(session, [opening])[opening]
        log.append_events(session, rehung(known, events, {}))
    database.close()


def done_before(key: str, measured: bool = False) -> list[Json]:
    """Return what a crew entered at the demo's first opening before a step, all within.

    measured: the readings of that step too.
    """
    book = Finished()
    for part, _ in book.state.parts():
        book.enter("part.stated", {"mark": part["mark"], "state": "here"})
    for step in book.state.steps:
        if step.key == key:
            if measured:
                book.measure(step)
            break
        book.do_step(step.key)
    return book.events[1:]


def surveyed(low: int, doing: Callable[[Finished], None] = lambda _: None) -> list[Json]:
    """Return step A done, and step B1 measured with two stations of the sill low by so many nm."""
    book = Finished()
    book.enter("depth.raised", {"reason": "a floor that nobody trusts"})
    for part, _ in book.state.parts():
        book.enter("part.stated", {"mark": part["mark"], "state": "here"})
    book.do_step("A")
    step = book.state.step("B1")
    book.sinks = {("sill-room", 4): low, ("sill-room", 5): low, ("sill-weather", 4): low}
    book.measure(step)
    doing(book)
    return book.events[1:]
