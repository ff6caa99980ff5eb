"""Service visits: what is measured and done at an accepted door, years after it was handed over.

An entry of a visit names it. For the opening's own state it counts for nothing, so that sign-offs,
verdicts and record stand as they were. `visited_state` is the door as the visit finds it: there
the entries of this visit and of those before it count as any others, and the as-left set is
measured again. So points, checks and the door model are the same as when the door was set.
"""

from app.core.errors import MissingError
from app.core.kinds import Json
from app.core.order import sort_by
from app.core.quantity.messages import Msg
from app.core.quantity.units import INCH
from app.core.record import gate, judge, purposes
from app.core.record.door_as_read import CLOSING_GAP, INTERLOCK_GAP, MEETING_PLUMB
from app.core.record.events import is_of_visit
from app.core.record.standing import opening_state
from app.core.record.state import Reading, State, Step
from app.core.where.place import Place

# What the door model is told of hung panels; asked where something has moved.
ASKED_OF_MODEL = (CLOSING_GAP, INTERLOCK_GAP, MEETING_PLUMB)
# So much is a movement, and no difference of two gauges read to 1/64 (common practice, no source).
MOVED = INCH // 32
# What else than a step of the work the trouble can come from.
OTHER_TRACES = ("use", "house", "unclear")


class Move:
    """One place as it was left, as a visit found it, and as the visit left it.

    before: None where nothing was read at the handover. change: how much more the visit found, in
    the quantity's base unit; None where nothing can be taken off. A level line is held against its
    own first place, since each visit sets up its own laser. now: the last reading of the visit.
    """

    def __init__(
        self,
        point: Json,
        panel: str,
        place: Place,
        before: "Reading | None",
        found: "list[Reading]",
    ) -> None:
        """found: the readings of the visit, first to last."""
        self.point = point
        self.panel = panel
        self.place = place
        self.before = before
        self.found = found[0]
        self.now = found[-1]
        self.is_as_left = point.get("purpose") == purposes.AS_LEFT
        self.change: int | None = None

    @property
    def is_moved(self) -> bool:
        """Return whether a length has changed by more than its reading can be off."""
        long = self.point["quantity"] == "length"
        return long and self.change is not None and abs(self.change) >= MOVED


def is_visited(state: State) -> bool:
    """Return whether a visit can begin here: the office has accepted the door, or had once."""
    return opening_state(state) == "done" or bool(state.ledger.of_kind("record.issued"))


def visits_of(state: State) -> "list[Json]":
    """Return the visits that were begun, causes first."""
    return state.ledger.of_kind("visit.begun")


def signed_of(state: State, visit: str) -> "Json | None":
    """Return by which event a visit was signed, or None while it goes on."""
    return state.ledger.last("visit|" + visit)


def visited_state(state: State, visit: str) -> State:
    """Return the door as a visit finds it. state: the opening's own.

    Errors: MissingError 'visit-unknown'.
    """
    ids = [begun["id"] for begun in visits_of(state)]
    if visit not in ids:
        raise MissingError("visit-unknown", Msg("There is no such service visit."), visit=visit)
    until = ids[: ids.index(visit) + 1]
    events = [
        _as_ordinary(event)
        for event in state.ledger.events
        if not is_of_visit(event) or event["body"]["visit"] in until
    ]
    found = State(events, state.procedures)
    begun, points = state.ledger.by_id[visit], points_as_left(state)
    found.ask_again(begun, points)
    if any([move.is_moved for move in moves_of(state, found)]):
        found.ask_again(begun, points + _points_of_model(found))
    return found


def _as_ordinary(event: Json) -> Json:
    if not is_of_visit(event):
        return event
    out = dict(event)
    out["body"] = {name: event["body"][name] for name in event["body"] if name != "visit"}
    return out


def points_as_left(state: State) -> "list[str]":
    """Return the points that say how the door was left; at short depth those that stand in."""
    out: list[str] = []
    for point, _panel, _place in purposes.places_of_purpose(state, purposes.AS_LEFT):
        if point not in out:
            out.append(point)
    return out


def _points_of_model(state: State) -> "list[str]":
    return [
        point["id"]
        for step in state.steps
        for point in judge.asked_points(state, step)
        if point.get("purpose") in ASKED_OF_MODEL and point["id"] not in state.asked_again
    ]


def entries_of(state: State, visit: str) -> "list[Json]":
    """Return the entries of a visit that are not struck, causes first."""
    struck = [
        event["body"]["target"]
        for event in state.ledger.events
        if event["kind"] == "entry.struck" and is_of_visit(event)
    ]
    return [
        event
        for event in state.ledger.events
        if is_of_visit(event)
        and event["body"]["visit"] == visit
        and event["kind"] != "entry.struck"
        and event["id"] not in struck
    ]


def moves_of(state: State, visited: State) -> "list[Move]":
    """Return each place that a visit measured, beside how it was left.

    Those of the as-left set and those that moved come first, each in the procedure's order.
    state: the opening's own.
    """
    if visited.visit is None:
        return []
    taken: dict[tuple[str, str, str], list[Reading]] = {}
    for event in entries_of(state, visited.visit["id"]):
        if event["kind"] == "reading.taken" and not event["body"].get("info"):
            body = event["body"]
            key = (body["point"], body["panel"], body["place"])
            taken.setdefault(key, []).append(Reading(event, visited.shift_of(event)))
    out: list[Move] = []
    done: dict[str, bool] = {}
    for step in visited.steps:
        for point in step.data["points"]:
            panel = visited.panel_for(point["id"], step.panel)
            if done.get(point["id"] + "|" + panel):
                continue
            done[point["id"] + "|" + panel] = True
            here = []
            for place in visited.places(point["id"], panel):
                found = taken.get((point["id"], panel, place.id))
                if found is not None:
                    known = [r for r in state.readings(point["id"], panel, place.id) if r.reached]
                    here.append(Move(point, panel, place, known[-1] if known else None, found))
            _take_off(here)
            out.extend(here)
    first = [move for move in out if move.is_as_left or move.is_moved]
    return first + [move for move in out if move not in first]


def _take_off(moves: "list[Move]") -> None:
    """Work out the changes of one point. A level line starts at its own first place."""
    first = moves[0] if moves else None
    for move in moves:
        if move.before is None or move.point["quantity"] in ("text", "choice", "yes-no"):
            continue
        if move.point["how"] != "level":
            move.change = (move.found.value or 0) - (move.before.value or 0)
        elif first is not None and first.before is not None:
            found = move.found.height - first.found.height
            move.change = found - (move.before.height - first.before.height)


def places_left(state: State) -> "list[tuple[Step, str, Place]]":
    """Return what a visit has still to measure: step, point, place."""
    return [
        (step, point["id"], place)
        for step in state.steps
        for point in judge.asked_points(state, step)
        if not point.get("info")
        for place in gate.places_unmeasured(state, point["id"], step.panel)
    ]


def checks_out(state: State) -> "list[tuple[Step, judge.Result]]":
    """Return the checks that what the visit measured puts out, or too close to call."""
    return [
        (step, result)
        for step in state.steps
        for result in judge.results_of(state, step)
        if result.verdict in ("out", "close") and not result.settled
    ]


def trace_of(state: State, point: str) -> "list[str]":
    """Return the ids of the steps whose adjustments move what a point measures, last one first.

    A gap at the lock moves with the rollers, with a panel set again, with shims.
    """
    found = [
        step["id"]
        for step in state.procedure["steps"]
        if any([point in move["stale"] for move in step["adjustments"]])
    ]
    own: str = state.step_of_point[point]["id"]
    return sort_by(found, lambda id: -_number(state, id)) or [own]


def _number(state: State, id: str) -> int:
    return [step["id"] for step in state.procedure["steps"]].index(id)
