"""Which readings a remedy concerns that was done as planned: those where work was done, and a shot.

Work at panels (rollers) concerns their own readings and the gaps at their edges.

What was touched is told by its positions along the sill. Near them a reading is taken again, and
what has no position (a sweep, a diagonal) too. Back to the first mark goes one check shot: where
it closes, the readings between still stand. Where the first mark itself was touched no shot can
show that, and its whole line is taken again. So is a level line without such a shot: nothing
would show that the laser stood elsewhere.
"""

from app.core.checks.index import spec_of
from app.core.kinds import Json
from app.core.quantity.units import INCH
from app.core.record.state import State, Step
from app.core.where.place import Place
from app.core.where.places import can_alter

NEAR = 6 * INCH  # half of the usual spacing of stations: common practice, no source


def places_concerned(
    state: State, step: Step, check: Json, touched: "dict[str, list[int]]"
) -> "list[str]":
    """Return "point|place" of every reading that work at these positions concerns.

    touched: input of a line in the check -> nanometres from the LEFT end. A shim under one line
    leaves the other one alone; what is read of both is concerned by all of it. The points are
    those that the check judges, and those of the step's adjustments that make such a point stale.
    """
    out = []
    of_line = {_line_of(state, check["points"][input]): touched[input] for input in touched}
    everywhere = [x for input in touched for x in touched[input]]
    for point in _points_concerned(state, step, check):
        at = of_line.get(_line_of(state, point), everywhere)
        where = state.places(point, "")
        shot = any([place.side == "closing" for place in where])  # back to the first mark
        spans = state.point(point)["how"] == "level"
        if shot:
            spans = _is_near(where[0], at)
            if not at:
                continue
        out.extend(
            [
                point + "|" + place.id
                for place in where
                if spans or place.side == "closing" or _is_near(place, at)
            ]
        )
    return out


def _line_of(state: State, point: str) -> str:
    """Return the line that a point is read along, whichever of its points that is."""
    return str(state.point(point)["purpose"] or point)


def places_of_panels(state: State, step: Step, check: Json, letters: "list[str]") -> "list[str]":
    """Return "point|place" of every reading that work at these panels can alter.

    The points are those that the check judges, and those of the step's adjustments that make such
    a point stale; of those that are read panel by panel, on every panel.
    """
    named = _points_named(step, check)
    out: list[str] = []
    for other in state.steps:
        for point in other.data["points"]:
            if point["id"] not in named:
                continue
            for place in state.places(point["id"], state.panel_for(point["id"], other.panel)):
                key = point["id"] + "|" + place.id
                by = [can_alter(point, place, state.drawing, letter) for letter in letters]
                if any(by) and key not in out:
                    out.append(key)
    return out


def count_read(state: State, places: "list[str]") -> int:
    """Return how many of these "point|place" have a live reading: only those are taken again."""
    count = 0
    wanted = dict.fromkeys(places, True)
    points = {key.partition("|")[0]: True for key in places}
    for step in state.steps:
        for point in step.data["points"]:
            if point["id"] in points:
                panel = state.panel_for(point["id"], step.panel)
                for place, live in state.answers(point["id"], panel):
                    here = not step.panel or place.panel in ("", step.panel)
                    count += 1 if live and here and point["id"] + "|" + place.id in wanted else 0
    return count


def adjustments_of(step: Step, check: Json) -> "list[Json]":
    """Return the adjustments of a step that make stale what one of its checks judges."""
    judged = _judged_points(check)
    return [
        moved
        for moved in step.data["adjustments"]
        if any([point in moved["stale"] for point in judged])
    ]


def _judged_points(check: Json) -> "list[str]":
    spec = spec_of(check["calc"])
    return [
        check["points"][input]
        for input in check["points"]
        if input not in spec.optional or input in spec.judged
    ]


def _points_concerned(state: State, step: Step, check: Json) -> "list[str]":
    """Return the points in the procedure's order; of a sill none is read panel by panel."""
    out = _points_named(step, check)
    return [
        point["id"]
        for data in state.procedure["steps"]
        if not data["per"]
        for point in data["points"]
        if point["id"] in out
    ]


def _points_named(step: Step, check: Json) -> "list[str]":
    out = _judged_points(check)
    for moved in adjustments_of(step, check):
        out.extend([point for point in moved["stale"] if point not in out])
    return out


def _is_near(place: Place, touched: "list[int]") -> bool:
    x = place.x
    return x is None or any([abs(x - at) <= NEAR for at in touched])
