"""What a door teaches: doors whose first verdicts, times and remedies are known by construction.

The limits are read off the shipped procedure by hand: widths of the frame even to 1/16 in, or to
1/8 in on a large one; the sill bed 1/4 in from highest to lowest. The rest is subtraction.
"""

import json

import pytest

from app.core.kinds import Json
from app.core.quantity.units import INCH
from app.core.record import judge
from app.core.record.events import heads_of, new_event
from app.core.record.state import State, Step
from app.store import lessons
from app.store.lessons import DoorLessons, Lesson, lessons_of
from tests.homeowner.finished import CREW, OFFICE, PROCEDURES, Finished, finished
from tests.procedures.perfect_door import value

SIXTEENTH = INCH // 16


class Spoilt(Finished):
    """A door with a low spot in the floor, a frame too wide at one place, a joint too wide.

    Each is put right and read again; one reading is mistyped and struck.
    """

    def __init__(self, opening: Json | None = None) -> None:
        super().__init__(opening)
        self.sinks = {("sill-room-shots", 1): 3 * INCH // 8, ("frame-widths", 0): INCH // 4}

    def measure(self, step: Step) -> None:
        """Enter every reading; put right what is out, and read again what that made stale."""
        if step.key == "C":
            self._mistype(step, "sill-setback")
        if step.key == "H":
            self._read_first(step, "joint-width", INCH)
            self._put_right(step, "joint-wide")
        super().measure(step)
        points = {point["id"] for point in step.data["points"]}
        self.sinks = {at: sink for at, sink in self.sinks.items() if at[0] not in points}
        out = [r.check["id"] for r in judge.results_of(self.state, step) if r.verdict == "out"]
        for check in out:
            self._put_right(step, check)
        self._read_what_is_stale(step)

    def _read_first(self, step: Step, id: str, more: int) -> None:
        """Read the first place of a point, so much above what is drawn."""
        point = next(point for point in step.data["points"] if point["id"] == id)
        place = self.state.places(id, step.panel)[0]
        drawn = value(point, place, self.state.drawing)
        self.read(point, step.panel, place, drawn + more, "plain")

    def _mistype(self, step: Step, id: str) -> None:
        self._read_first(step, id, 9 * INCH)
        body = {"target": self.events[-1]["id"], "why": "read the wrong end of the tape"}
        self.enter("entry.struck", body)

    def _put_right(self, step: Step, check: str) -> None:
        body = {"step": step.key, "check": check, "panel": step.panel, "words": "Made good."}
        self.enter("correction.made", body)

    def _read_what_is_stale(self, step: Step) -> None:
        for point in step.data["points"]:
            how = "down" if point["how"] == "level" else "plain"
            for place, live in self.state.answers(point["id"], step.panel):
                if not live:
                    drawn = value(point, place, self.state.drawing)
                    self.read(point, step.panel, place, drawn, how)


@pytest.fixture(scope="module")
def straight() -> DoorLessons:
    """What a door teaches that was right at once."""
    return taught_by(finished().events)


@pytest.fixture(scope="module")
def spoilt() -> Spoilt:
    made = finished(kind=Spoilt)
    assert isinstance(made, Spoilt)
    return made


@pytest.fixture(scope="module")
def taught(spoilt: Spoilt) -> DoorLessons:
    return taught_by(spoilt.events)


def taught_by(events: list[Json]) -> DoorLessons:
    found = lessons_of(State(events, PROCEDURES))
    assert found is not None
    return found


def of_kind(taught: DoorLessons, kind: str) -> dict[str, Lesson]:
    return {key[2]: one for key, one in taught.lessons.items() if key[0] == kind}


def test_a_door_that_was_right_at_once(straight: DoorLessons) -> None:
    checks = of_kind(straight, lessons.CHECK)
    assert len(checks) > 100
    assert {one.count - one.good for one in checks.values()} == {0}
    assert not of_kind(straight, lessons.OUT_BY)
    assert not of_kind(straight, lessons.REMEDY)
    assert straight.lessons[lessons.DOOR, "", "", ""] == Lesson(1, 0)
    assert (straight.month, straight.crew, straight.floor_out) == ("2026-03", "", False)
    assert straight.floor == 0  # every place of the bed reads the same


def test_a_check_counts_as_it_was_told_first(taught: DoorLessons) -> None:
    checks = of_kind(taught, lessons.CHECK)
    out = of_kind(taught, lessons.OUT_BY)
    for name in ("sill-range-room", "frame-width-alike", "joint-wide"):
        assert checks[name] == Lesson(1, 0), name
        assert out[name].count == 1
    assert checks["sill-range-weather"] == Lesson(1, 1)


def test_how_far_out_is_how_far_beyond_the_limit(taught: DoorLessons) -> None:
    out = of_kind(taught, lessons.OUT_BY)
    assert out["sill-range-room"].sizes == [3 * INCH // 8 - INCH // 4]
    # widths differ by 1/4 in: even to 1/16 in, for the frame is no large one
    assert out["frame-width-alike"].sizes == [INCH // 4 - SIXTEENTH]
    assert out["joint-wide"].good == 1  # above the most, not below the least


def test_a_check_per_panel_counts_each_panel(taught: DoorLessons, spoilt: Spoilt) -> None:
    panels = len(spoilt.state.drawing.panels)
    assert of_kind(taught, lessons.CHECK)["engaged"].count == panels
    assert len(taught.lessons[lessons.TIME, "E", "", ""].sizes) == panels


def test_a_mistyped_reading_that_was_struck_counts_as_never_made(taught: DoorLessons) -> None:
    assert of_kind(taught, lessons.CHECK)["sill-in-place"] == Lesson(1, 1)


def test_what_was_done_about_it_is_counted(taught: DoorLessons) -> None:
    keys = [key[1:] for key in taught.lessons if key[0] == lessons.REMEDY]
    assert ("D", "frame-width-alike", lessons.IN_WORDS) in keys
    assert ("H", "joint-wide", lessons.IN_WORDS) in keys


def test_the_floor_is_as_it_was_first_read(taught: DoorLessons) -> None:
    assert (taught.floor, taught.floor_out) == (3 * INCH // 8, True)


def test_time_runs_from_the_first_reading_to_the_sign_off(
    taught: DoorLessons, spoilt: Spoilt
) -> None:
    """The entries themselves: minutes between two lines of the log (a day has 480 here)."""
    points = {point["id"] for point in spoilt.state.step("G").data["points"]}
    first = next(e for e in spoilt.events if e["body"].get("point") in points)
    sign = next(e for e in spoilt.events if e["body"].get("step") == "G" and "digest" in e["body"])
    assert first["at"][:10] == sign["at"][:10]
    minutes = [60 * int(e["at"][11:13]) + int(e["at"][14:16]) for e in (first, sign)]
    assert taught.lessons[lessons.TIME, "G", "", ""].sizes == [minutes[1] - minutes[0]]


def test_gaps_are_held_against_their_predictions(taught: DoorLessons) -> None:
    gaps = taught.lessons[lessons.GAP, "", "", ""]
    assert gaps.count == gaps.good == len(gaps.sizes) > 0
    assert set(gaps.sizes) == {0}  # hung as drawn, on a frame that was made good


def test_no_person_stands_in_what_is_learned(taught: DoorLessons) -> None:
    text = json.dumps([list(key) for key in taught.lessons]) + taught.crew
    assert CREW not in text
    assert OFFICE not in text


def test_a_service_visit_is_counted_with_its_trace(spoilt: Spoilt) -> None:
    events = list(spoilt.events)
    accepted = events[-1]["at"]
    assert accepted.startswith("2026-03-1")

    def add(kind: str, body: Json, at: str) -> Json:
        draft = {
            "id": f"visit-{len(events)}", "device": "web-demo", "opening": events[0]["opening"],
            "seen": heads_of(events), "at": at, "person": CREW, "kind": kind, "body": body,
        }  # fmt: skip
        events.append(new_event(events, draft))
        return events[-1]

    begun = add("visit.begun", {"words": "It drags."}, accepted.replace("2026-03", "2026-05"))
    body = {"visit": begun["id"], "words": "Rollers reset.", "trace": "F", "covers": []}
    add("visit.signed", body, accepted.replace("2026-03", "2026-05"))
    found = taught_by(events)
    # from a day of March to the same of May: 31 + 30 days
    assert found.lessons[lessons.BACK, "", "F", ""] == Lesson(1, 0, [61])
    assert found.lessons[lessons.DOOR, "", "", ""] == Lesson(1, 1)


def test_an_opening_without_an_acceptance_teaches_nothing(spoilt: Spoilt) -> None:
    assert lessons_of(State(spoilt.events[:-1], PROCEDURES)) is None
