"""What a drawing leaves open and a crew is stopped by: told before it is issued.

The other side is the field book itself: a crew at a door that is exactly as drawn (perfect_door.py,
plain geometry) is asked which bars say that the drawing is silent. What they name is filled in, and
the crew asks again, until nothing is named. That must be the list, no more and no less.
"""

from collections.abc import Iterable
from typing import Any

import pytest

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.record import gate
from app.core.record.judge import asked_points
from app.core.record.state import State, Step
from app.core.trade.drawing import title_of
from app.core.where.place import Place
from app.office.issue import reading, stops, work
from app.office.issue.fields import VALUES
from tests.homeowner import finished
from tests.procedures import perfect_door
from tests.procedures.demo_book import OPENING_DRAWINGS, SHIPPED, openings

SILENT = "The drawing does not give “{what}”. Ask the office."
# what twenty fields give of a door of three panels, one of them fixed
TYPED = {
    "number": "T-3", "lock": "left", "panels_kinds": "XXO", "panels_tracks": "1 2 3",
    "panels_leads": "A", "panels_width": "36", "panels_height": "84", "panels_mass": "180",
    "frame_width": "108", "frame_height": "88", "anchor_end": "6", "anchor_spacing": "16",
    "jamb_face": "1 1/2", "interlock_overlap": "1 1/2", "tracks": "3", "rule": "simple",
}  # fmt: skip
FIELD_OF = {title_of(name): name for _, name, _ in VALUES}
GROUP_OF = {name: group for group, name, _ in VALUES}
# of a point that short depth asks only where the door does not close
CONDITIONAL = {"stile_clearance_least", "stile_clearance_most"}
SOME = {"length": 330_200_000, "count": 6}  # what is read where the drawing says nothing


def as_read(point: Json, place: Place, state: State) -> int:
    """Return what is read at a place of a door that is as drawn; anything where nothing is drawn.

    What is read does not matter: a bar of a drawing that is silent stands whatever was read.
    """
    drawn = perfect_door.FIELDS.get(point["id"], "")
    if point["quantity"] == "count" and drawn and state.drawing.value(drawn) is None:
        return SOME["count"]
    try:
        return perfect_door.value(point, place, state.drawing)
    except AppError:
        return SOME.get(point["quantity"], 1)


class Asked(finished.Finished):
    """A crew that reads what is drawn and signs nothing: it notes what its bars ask the drawing."""

    def __init__(self, opening: Json) -> None:
        super().__init__(opening)
        self.silent: dict[str, str] = {}

    def sign_step(self, key: str) -> None:
        state = self.state
        for bar in gate.bars_of(state, state.step(key)):
            for words in _inside(bar.message):
                if words.template == SILENT:
                    self.silent.setdefault(FIELD_OF[words.params["what"].template], key)

    def measure(self, step: Step) -> None:
        for point in asked_points(self.state, step):
            for place in self.state.places(point["id"], step.panel):
                number = as_read(point, place, self.state)
                self.read(point, step.panel, place, number, "plain")


def _inside(words: Any) -> list[Msg]:
    """Return a message and those that it holds."""
    if not isinstance(words, Msg):
        return []
    return [words, *(one for held in words.params.values() for one in _inside(held))]


def drawing_of(door: str, procedure: Json) -> Json:
    """Return the drawing that those fields give."""
    drawn = reading.read_drawing({**TYPED, "door": door}, reading.terms_of("in", procedure, None))
    assert drawn.problems == []
    return drawn.drawing


def asked_of(name: str, drawing: Json, depth: str) -> dict[str, str]:
    """Return the fields that the crew's bars call open, with the step of each."""
    crew = Asked({**openings()[0], "drawing": drawing, "procedure": name, "depth": depth})
    for part, _ in crew.state.parts():
        crew.enter("part.stated", {"mark": part["mark"], "state": "here"})
    for step in crew.state.steps:
        crew.do_step(step.key)
    return crew.silent


def fill_in(drawing: Json, names: Iterable[str]) -> None:
    """Give a drawing fields as the demo's drawings have them."""
    for name in names:
        group = GROUP_OF[name]
        values = [one[group][name] for one in OPENING_DRAWINGS if name in one[group]]
        drawing[group][name] = values[0]


@pytest.mark.parametrize("depth", ["short", "full"])
@pytest.mark.parametrize(
    ("name", "door"),
    [("stacking-door.yaml", "sliding"), ("lift-and-slide-door.yaml", "lift-and-slide")],
)
def test_what_stops_a_crew_is_told_no_more_and_no_less(name: str, door: str, depth: str) -> None:
    procedure = SHIPPED[name]
    drawing = drawing_of(door, procedure)
    told = stops.fields_that_stop(work.trial_state(procedure, drawing, depth))
    asked: dict[str, str] = {}
    while fresh := asked_of(name, drawing, depth):
        assert fresh.keys().isdisjoint(asked)
        asked.update(fresh)
        fill_in(drawing, fresh)
    every = {name for names in told.values() for name in names}
    assert every - CONDITIONAL <= asked.keys() <= every
    fill_in(drawing, every - asked.keys())
    assert stops.fields_that_stop(work.trial_state(procedure, drawing, depth)) == {}
    assert len(asked) > 15


def test_a_drawing_of_the_demo_stops_nobody() -> None:
    shipped = SHIPPED["stacking-door.yaml"]
    assert stops.fields_that_stop(work.trial_state(shipped, OPENING_DRAWINGS[0], "full")) == {}


def test_a_field_stands_with_the_first_step_that_it_stops_and_leads_to_where_it_is_typed() -> None:
    shipped = SHIPPED["stacking-door.yaml"]
    state = work.trial_state(shipped, drawing_of("sliding", shipped), "short")
    shown = stops.stops_shown(Speaker(), state)
    assert shown["title"] == "It can be issued, but the crew is stopped at: A, B1, C, D, F, G, H, I"
    first = shown["lines"][0]
    assert first["title"].startswith("A ")
    sill = {"text": "Sill member, length as cut", "href": "#f-sill-length", "after": ", "}
    assert first["fields"][0] == sill
    assert first["fields"][-1]["after"] == ""
    weeps = [step for step, names in stops.fields_that_stop(state).items() if "weep_count" in names]
    assert weeps == ["C"]
