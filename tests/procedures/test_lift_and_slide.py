"""The shipped procedure of lift-and-slide doors: its own numbers, and what it shares.

Every number is common practice with no published source, or the drawing's. They are written here
by hand, apart from the YAML. What any door is asked stands in the stacking door's file too; a
check or point of one name must be the same in both, but for what is listed here with its reason.
"""

import pytest

from app.core.kinds import Json
from app.core.record.purposes import PURPOSES
from app.core.trade.drawing import Drawing
from app.core.where.places import places_of
from tests.procedures.demo_book import SHIPPED, Book, openings
from tests.procedures.test_shipped import inches

LIFTING, STACKING = SHIPPED["lift-and-slide-door.yaml"], SHIPPED["stacking-door.yaml"]
STEPS = {step["id"]: step for step in LIFTING["steps"]}


def parts(procedure: Json, kind: str) -> dict[str, Json]:
    return {part["id"]: part for step in procedure["steps"] for part in step[kind]}


CHECKS, POINTS = parts(LIFTING, "checks"), parts(LIFTING, "points")
DOOR = Drawing(Book(next(o for o in openings() if o["id"] == "quarry-steps-b")).drawing.data)

# what differs under one name, and why
OTHER_CHECKS = {"lift-play-most": "lifted too little play binds in the head: it has a least too"}
OTHER_POINTS = {
    "stile-clearance": "read lowered on every panel: the lift is the difference to it",
    "hook-depth": "at each locking point, not once a lock",
    "sill-floor": "a flat sill is flat by this figure: read at every depth",
}


def test_steps_in_their_order_with_their_holds() -> None:
    assert list(STEPS) == [step["id"] for step in STACKING["steps"]]
    assert [id_ for id_, step in STEPS.items() if not step["hold"]] == ["J"]
    assert [id_ for id_, step in STEPS.items() if step["per"]] == ["E"]
    assert LIFTING["doors"] == ["lift-and-slide"]


def test_record_and_door_model_find_what_they_take() -> None:
    assert {point["purpose"] for point in POINTS.values()} == {"", *PURPOSES}


def test_what_both_systems_ask_is_the_same() -> None:
    """A limit that is changed in one file and not in the other is seen here."""
    kept = ("calc", "limits", "basis", "rank", "points", "finer")
    theirs = parts(STACKING, "checks")
    common = set(CHECKS) & set(theirs)
    assert len(common) > 80
    other = {id_ for id_ in common if any(CHECKS[id_].get(k) != theirs[id_].get(k) for k in kept)}
    assert other == set(OTHER_CHECKS)
    kept = ("quantity", "how", "tool", "where", "short", "asked", "purpose", "closing")
    theirs = parts(STACKING, "points")
    common = set(POINTS) & set(theirs)
    assert len(common) > 100
    assert LIFTING["nights"] == STACKING["nights"]
    differ = lambda a, b: any(a.get(k) != b.get(k) for k in kept)  # noqa: E731
    assert {id_ for id_ in common if differ(POINTS[id_], theirs[id_])} == set(OTHER_POINTS)


def test_numbers_of_its_own() -> None:
    lift = dict(CHECKS["lifts-as-drawn"]["limits"])  # other tests read the same procedure
    # both stiles even to 1/32: common practice, no source; tests/core/test_checks_lifted.py
    assert int(lift.pop("alike")["value"]) == inches("1/32")
    assert lift == {
        "least": {"drawing": "panel_lift_least"},
        "most": {"drawing": "panel_lift_most"},
        "free": {"drawing": "foot_gasket"},
        "pressed": {"drawing": "stile_clearance_most"},
    }
    assert CHECKS["handle-easy"]["limits"] == {"most": {"drawing": "handle_force"}}
    assert CHECKS["lift-play-most"]["limits"] == {
        "least": {"drawing": "lift_play_least"},
        "most": {"drawing": "lift_play"},
    }
    assert CHECKS["throws-full"]["settings"]["count"] == "10"


def test_what_nobody_may_concede() -> None:
    never = {id_ for id_, check in CHECKS.items() if check["rank"] == "never"}
    of_stacking = {
        id_ for id_, check in parts(STACKING, "checks").items() if check["rank"] == "never"
    }
    # a handle that flies back breaks a wrist: common practice, no source
    assert never == of_stacking | {"handle-safe"}


@pytest.mark.parametrize("move", ["rollers-moved", "rod-adjusted", "panel-reset"])
def test_what_a_turned_carriage_spoils(move: str) -> None:
    """All that a roller of a stacking door spoils, and the lift, gaskets, handle, points."""
    rollers = parts(STACKING, "adjustments")["rollers-moved"]["stale"]
    own = {"stile-lifted", "gasket-holds", "gasket-free", "handle-pull", "lock-enters"}
    stale = set(parts(LIFTING, "adjustments")[move]["stale"])
    assert stale >= (set(rollers) & set(POINTS)) | own | {"as-left-handle"}


# step, words that its cautions must have beyond those of any door
CAUTIONS = [
    ("B2", ("flat sill", "local code")),
    ("F", ("fly back", "pipe", "fingers and feet", "weight off", "driver")),
    ("I", ("toes",)),
]


@pytest.mark.parametrize(("step", "words"), CAUTIONS)
def test_cautions(step: str, words: tuple[str, ...]) -> None:
    text = " ".join(STEPS[step]["cautions"])
    for part in words:
        assert part in text


# What short depth asks of a door of 8 ft, one panel that slides and one that is fixed: counted by
# hand, common practice, no source.
AT_SHORT = {
    "E": {"gust-ok": 2, "overlap": 1, "anti-lift": 2},
    "F": {
        "stile-clearance": 2, "stile-lifted": 2,  # both stiles of the one that slides
        "closing-gap": 3, "interlock-gaps": 2, "final-engagement": 4, "lift-play": 1,
        "stops-meet": 1, "anti-lift-after": 2, "gasket-holds": 1, "handle-pull": 1,
        "handle-stays": 1, "meeting-plumb": 0,
    },
    "G": {
        "lock-throws": 1, "hook-depth": 3, "lock-enters": 1, "fixed-screws-done": 1, "way-out": 1,
    },
}  # fmt: skip


@pytest.mark.parametrize("step", AT_SHORT)
def test_what_is_asked_at_short_depth(step: str) -> None:
    asked = {}
    for point in STEPS[step]["points"]:
        when = point.get("asked", "always")
        if (when in ("always", "short") or "until" in when) and not point["info"]:
            panels = [p.letter for p in DOOR.panels] if STEPS[step]["per"] else [""]
            asked[point["id"]] = sum(len(places_of(point, DOOR, p, "short")) for p in panels)
    assert asked == AT_SHORT[step]
