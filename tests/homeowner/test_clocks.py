"""The record says how long a clock ran, and what of its times was typed."""

from app.core.kinds import Json
from app.homeowner import snapshot
from tests.homeowner.finished import ABOUT, PROCEDURES, Finished, shown

FLOOD = {"point": "flood-level", "panel": "", "quantity": "length", "text": "1/2",
         "value": "12700000", "how": "plain", "units": "in"}  # fmt: skip


def step_of(made: Json, id_: str) -> Json:
    return next(step for step in shown(made)["sections"] if step["id"] == id_)


def test_record_says_what_was_typed_of_a_clock_and_that_its_entries_contradict_it() -> None:
    """The end is entered one minute after the start, which is said to be an hour before."""
    book = Finished()
    start = {**FLOOD, "place": "start", "measured_at": "2026-03-10T07:02"}
    book.enter("reading.taken", start)
    book.enter("reading.taken", {**FLOOD, "place": "end"})
    tick = {"step": "B2", "task": "b2-pan", "done": True, "done_at": "2026-03-10T06:30"}
    book.enter("task.ticked", tick)
    step = step_of(snapshot.make(ABOUT, book.events, PROCEDURES), "B2")
    flood = next(check for check in step["checks"] if check["title"] == "Flood test")
    assert flood["found"] == "1 h"
    assert flood["says"] == ["Times were typed: the entries are 1 min apart."]
    assert any(task["by"].endswith("; done 10 Mar 2026, 06:30") for task in step["tasks"])
