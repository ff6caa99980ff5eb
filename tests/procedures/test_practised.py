"""Practice at a table: what instruments show at a door with planted faults, and the debrief.

What a fault does is checked against the exact rotation of a rigid panel (worked here with complex
numbers) and against the door model, which other tests hold to a linear programme. How large a fault
must be to be OUT is the shipped procedures' own limits. Which faults are worth planting is common
practice, no source.
"""

import cmath
from typing import Any

import pytest

from app.core.kinds import Json
from app.core.quantity.measure import amount_shown
from app.core.record import gate
from app.core.record.debrief import checks_out, fault_stories, is_over, misreads
from app.core.record.door_as_read import FRAME, door_as_read
from app.core.record.judge import checks_of, result_of
from app.core.record.practised import Simulated
from app.core.record.state import State
from app.core.trade.door_model.plan import exact_tapers
from app.core.trade.drawing import Drawing
from app.core.trade.planted import FAULTS, PlantedFault
from app.core.trade.verdicts import OUT
from app.core.where.place import Place
from tests.homeowner.finished import PROCEDURES
from tests.procedures.demo_book import Book, openings

INCH = 25_400_000
MEASURED = ("length", "count", "fraction", "temperature", "force")
LIMITS = {"reveal": INCH // 16, "interlock": INCH // 8, "plumb": INCH // 16,
          "clearance_least": None, "clearance_most": None}  # fmt: skip


def fault(kind: str, size: float, at: str | int = "") -> Json:
    return {"kind": kind, "at": str(at), "size": str(round(size * INCH))}


class Trainee(Book):
    """Somebody who practises at the demo's first door; every point is asked."""

    def __init__(self, *faults: Json, opening: Json | None = None) -> None:
        super().__init__(opening or openings()[0])
        self.events[0]["body"].pop("depth", None)
        self.events[0]["body"]["practice"] = {"way": "table", "faults": list(faults)}
        self.slips: dict[tuple[str, str], int] = {}  # (point, place) -> how much more is entered

    def enter(self, kind: str, body: Json) -> Json:
        at = f"2026-03-10T08:{len(self.events) % 60:02}:00-05:00"
        self.add("web-demo", "tobin-hale", at, kind, body)
        return self.events[-1]

    def read_all(self, only: str = "") -> None:
        """Enter what the instruments show, at each place without an answer."""
        state = State(self.events, PROCEDURES)
        simulated = Simulated(state)
        for step in state.steps if not only else [state.step(only)]:
            for point in step.data["points"]:
                panel = state.panel_for(point["id"], step.panel)
                if point["quantity"] in MEASURED and point["where"]["kind"]:
                    for place in state.places(point["id"], panel):
                        if not state.readings(point["id"], panel, place.id):
                            self.read(simulated, point, panel, place)

    def read(self, simulated: Simulated, point: Json, panel: str, place: Place) -> None:
        how = {"level": "down", "plumb": "plumb"}.get(point["how"], "plain")
        value = simulated.shown(point["id"], panel, place, "in")
        assert value is not None, (point["id"], place.id)
        value += self.slips.get((point["id"], place.id), 0)
        text = amount_shown(point["quantity"], value, "in")
        self.enter("reading.taken", {
            "point": point["id"], "panel": panel, "place": place.id, "quantity": point["quantity"],
            "text": text, "value": str(value), "how": how, "units": "in",
        })  # fmt: skip

    def correct(self, check: str, step: str, panel: str = "") -> None:
        body = {"step": step, "check": check, "panel": panel, "words": "as planned"}
        self.enter("correction.made", body)


def outs(state: State) -> set[str]:
    """Return the checks that are out, but for clocks: nobody waits at a table."""
    return {
        check["id"]
        for step in state.steps
        for check in checks_of(state, step)
        if not check.get("clock") and result_of(state, check, step.panel).verdict == OUT
    }


def test_a_door_as_drawn_is_within_everywhere() -> None:
    trainee = Trainee()
    trainee.read_all()
    assert outs(trainee.state) == set()
    assert misreads(trainee.state) == [] == fault_stories(trainee.state)


PLANTED = (
    ("bed-falls", 3 / 8, "", "sill-total-room"),
    ("bed-hump", 3 / 16, 60 * INCH, "sill-local-room"),
    ("bed-hollow", 3 / 16, 60 * INCH, "sill-local-weather"),
    ("shim-missing", 3 / 16, 72 * INCH, "support-local-room"),
    ("left-jamb-out", 1 / 4, "", "frame-left-plumb"),
    ("left-jamb-in", 1 / 4, "", "frame-left-plumb"),
    ("right-jamb-out", 1 / 4, "", "frame-right-plumb"),
    ("right-jamb-in", 1 / 4, "", "frame-right-plumb"),
    ("head-sags", 1 / 4, "", "frame-height-alike"),
    ("roller-left-low", 1 / 8, "B", "door-closes"),
    ("roller-right-low", 1 / 8, "C", "door-closes"),
    ("panel-racked", 1 / 4, "A", "panel-square"),
    ("panel-wide", 3 / 16, "D", "panel-width-drawn"),
)


def test_every_kind_of_fault_is_planted_here() -> None:
    assert {row[0] for row in PLANTED} == set(FAULTS)


@pytest.mark.parametrize(("kind", "size", "at", "check"), PLANTED)
def test_a_fault_is_found_by_reading_what_is_shown(
    kind: str, size: float, at: Any, check: str
) -> None:
    trainee = Trainee(fault(kind, size, at))
    trainee.read_all()
    state = trainee.state
    found = outs(state)
    assert check in found
    (story,) = fault_stories(state)
    assert (story.asked, story.mended, story.rounds) == (True, False, 0)
    assert check in {one["id"] for one in story.out} <= found
    assert story.reading is not None
    assert misreads(state) == []


def test_the_hand_example_of_one_panel_by_exact_rotation() -> None:
    """A panel 48 wide, axles at 6 and 42: its right roller 3/64 too low.

    Turned about its left axle by that over 36, a stile's point goes where a complex number turned
    by as much goes. Gaps at 6, 48 and 90 in, clearances at both corners.
    """
    drawing = Drawing({
        "lengths": {"axle_distance": str(36 * INCH), "jamb_face": "0",
                    "frame_width": str(48 * INCH), "frame_height": str(96 * INCH)},
        "panels": [{"letter": "A", "kind": "X", "track": 1, "width": str(48 * INCH),
                    "height": str(95 * INCH), "lead": True}],
    })  # fmt: skip
    panel = drawing.panels[0]
    planted = PlantedFault(fault("roller-right-low", 3 / 64, "A"))
    turn = cmath.exp(-1j * (3 / 64) / 36)
    pivot = complex(6, 0)
    for y in (6, 48, 90):
        for side, x in (("left", 0), ("right", 48)):
            moved = (complex(x, y) - pivot) * turn + pivot
            out = (x - moved.real) if side == "left" else (moved.real - x)
            ours = planted.stile_out(panel, drawing, side, y * INCH) / INCH
            assert abs(ours - out) < 0.001, (y, side)
    for side, x in (("left", 0), ("right", 48)):
        lifted = ((complex(x, 0) - pivot) * turn + pivot).imag
        assert abs(planted.lift(panel, drawing, side) / INCH - lifted) < 0.001


@pytest.mark.parametrize(
    "faults",
    [
        [fault("left-jamb-out", 3 / 16)],
        [fault("right-jamb-in", 1 / 8)],
        [fault("panel-racked", 1 / 8, "B")],
        [fault("panel-wide", 1 / 8, "C")],
        [fault("shim-missing", 1 / 8, 96 * INCH)],
        [fault("left-jamb-in", 1 / 8), fault("panel-wide", 1 / 16, "A"),
         fault("panel-racked", 1 / 8, "D")],
    ],
    ids=lambda faults: "+".join(one["kind"] for one in faults),
)  # fmt: skip
def test_gaps_are_those_that_the_door_model_predicts_from_the_frame(faults: list[Json]) -> None:
    """What is read of frame and panels goes to the model; its tapers are those shown at the gaps.

    To 1/32 in: instruments divide, and a track is straight between stations.
    """
    trainee = Trainee(*faults)
    trainee.read_all()
    state = trainee.state
    simulated = Simulated(state)
    door = door_as_read(state, FRAME, LIMITS).door
    assert door is not None
    tapers = exact_tapers(door, [panel.extensions for panel in door.panels])
    predicted = {taper.number: taper.num / taper.den for taper in tapers}
    shown = {}
    for number, ends in gaps_of(state).items():
        low, high = (simulated.exact(point, "", place, [], False) for point, place in ends)
        assert low is not None
        assert high is not None
        shown[number] = high - low
    assert shown
    for number, taper in shown.items():
        assert abs(taper - predicted[number]) <= INCH / 32, (number, taper / INCH)


def gaps_of(state: State) -> dict[int, list[tuple[str, Place]]]:
    """Return gap, counted from the left jamb -> where it is read low and high."""
    out: dict[int, list[tuple[str, Place]]] = {0: [], 1: [], 2: [], 3: []}
    for place in state.places("closing-gap", ""):
        if place.side in ("low", "high"):
            out[0].append(("closing-gap", place))
    lines = list(state.drawing.interlocks)
    for place in state.places("interlock-gaps", ""):
        if place.side in ("low", "high"):
            out[lines.index(place.x) + 1].append(("interlock-gaps", place))
    return out


def test_a_correction_mends_what_it_is_about_and_nothing_else() -> None:
    trainee = Trainee(fault("left-jamb-out", 1 / 4), fault("head-sags", 1 / 4))
    trainee.read_all("D")
    wrong = checks_out(trainee.state, ["frame-left-wall"])
    trainee.correct(wrong[0]["id"], "D")
    state = trainee.state
    left = Simulated(state).not_mended(state.ledger.of_kind("correction.made"))
    assert [one.kind for one in left] == ["head-sags"]
    trainee.read_all("D")
    jamb, head = fault_stories(trainee.state)
    assert (jamb.rounds, jamb.mended, bool(jamb.out)) == (1, True, True)
    assert (head.rounds, head.mended, bool(head.out)) == (0, False, True)


def test_who_misreads_shims_by_as_much() -> None:
    """Entered 1/16 more than the scale showed: the jamb is then moved 1/16 too far."""
    slip = INCH // 16
    trainee = Trainee(fault("left-jamb-out", 1 / 4))
    trainee.slips["frame-left-wall", "high"] = slip
    trainee.read_all("D")
    (wrong,) = misreads(trainee.state)
    assert (wrong.off, wrong.place.id) == (slip, "high")
    trainee.correct(checks_out(trainee.state, ["frame-left-wall"])[0]["id"], "D")
    state = trainee.state
    (high,) = [p for p in state.places("frame-left-wall", "") if p.id == "high"]
    (low,) = [p for p in state.places("frame-left-wall", "") if p.id == "low"]
    simulated = Simulated(state)
    shown = {p.id: simulated.shown("frame-left-wall", "", p, "in") for p in (low, high)}
    assert shown["low"] == 13 * INCH
    assert shown["high"] == 13 * INCH - slip


def test_a_reading_is_held_against_what_was_shown_then() -> None:
    """After the fault is put right, readings of before are no misreads."""
    trainee = Trainee(fault("left-jamb-out", 1 / 4))
    trainee.read_all("D")
    trainee.correct(checks_out(trainee.state, ["frame-left-wall"])[0]["id"], "D")
    trainee.read_all("D")
    assert misreads(trainee.state) == []


def test_steps_signed_while_it_stood_are_named() -> None:
    trainee = Trainee(fault("left-jamb-out", 1 / 4))
    trainee.read_all("D")
    state = trainee.state
    trainee.enter("step.signed", gate.sign_off_body(state, state.step("D")))
    (story,) = fault_stories(trainee.state)
    assert story.signed == ["D"]
    assert not is_over(trainee.state)


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("opening", openings(), ids=lambda opening: str(opening["id"]))
def test_other_doors_have_their_instruments_too(opening: Json, units: str) -> None:
    """Whatever is built: each place of a length shows one, never below 0."""
    state = Trainee(opening=opening).state
    simulated = Simulated(state)
    seen = 0
    for step in state.steps:
        for point in step.data["points"]:
            panel = state.panel_for(point["id"], step.panel)
            for place in state.places(point["id"], panel) if point["quantity"] == "length" else ():
                value = simulated.shown(point["id"], panel, place, units)
                assert value is not None, (point["id"], place.id)
                assert value >= 0, (point["id"], place.id)
                seen += 1
    assert seen > 50
