"""A state that is carried forward by new events alone.

`carried` gives what State(all events) would, at a cost that hangs on what is new and not on the
history: what was worked out of the events before is kept but for what the new one alters
(ALTERS). Where that cannot be exact, everything is folded anew: for an event that arrives late,
one that was struck or set aside before it came, and every kind that is not listed here (a setting
aside, a new issue, drawing or procedure, a raised depth, an instrument's check).
"""

from app.core.checks.index import spec_of
from app.core.kinds import Callable, Json
from app.core.record.door_as_read import DOOR_ROLES
from app.core.record.events import is_of_visit
from app.core.record.state import State, Step


def carried_forward(
    state: "State | None",
    events: "list[Json]",
    procedures: "dict[str, Json]",
    truths: "dict[str, bool]",
) -> State:
    """Return the state of an opening; `state` may be one of the first `state.taken` of its events.

    events: a list that has only grown at its end since. procedures, truths: see State; the same
    as before. The state that was given is used up.
    Example: carried_forward(None, events, procedures, {}) -> State(events, procedures, {})
    """
    if state is not None and all([_add_event(state, event) for event in events[state.taken :]]):
        state.taken = len(events)
        return state
    return State(events, procedures, truths)


def _add_event(state: State, event: Json) -> bool:
    """Take an event in; False where the state is of no use any more."""
    known = event["id"] in state.ledger.by_id
    if not known and is_of_visit(event):
        return state.ledger.add(event)
    if known or not state.ledger.counts(event):
        return known  # what counts for nothing now may still name what comes
    alter = _alteration(state, event)
    if alter is None or not state.ledger.add(event):
        return False
    if state.unsure:  # more of a sign-off's past may be here now
        state.unsure.clear()
        state.signs.clear()
    state.doors.clear()
    alter(state, event["body"])
    return True


def _alteration(state: State, event: Json) -> "Callable[[State, Json], None] | None":
    """Return what an event does to what was kept; None where only a new state is exact."""
    if event["kind"] != "entry.struck":
        return ALTERS.get(event["kind"])
    target = state.ledger.by_id.get(event["body"]["target"])
    struck = target is not None and target["kind"] != "entry.struck"
    return _alter_strike if target is None or not struck or target["kind"] in ALTERS else None


def _alter_nothing(_state: State, _body: Json) -> None:
    """What is kept does not hang on it: the ledger is asked each time."""


def _alter_reading(state: State, body: Json) -> None:
    state.forget_place(body)
    _forget_point(state, body["point"])


def _alter_tie(state: State, body: Json) -> None:
    state.forget_readings()
    _forget_point(state, body["point"])


def _alter_strike(state: State, body: Json) -> None:
    target = state.ledger.by_id.get(body["target"])
    if target is not None and target["kind"] != "entry.struck":
        ALTERS[target["kind"]](state, target["body"])


def _alter_correction(state: State, body: Json) -> None:
    state.forget_readings()
    _forget_point(state, body["check"])
    for key in body.get("places", []):
        _forget_point(state, key.partition("|")[0])
    check = state.check(body["check"])
    for role in check["points"] if check is not None else ():
        if check is not None:
            _forget_point(state, check["points"][role])


def _alter_adjustment(state: State, body: Json) -> None:
    state.forget_readings()
    _alter_step(state, body)
    _forget_point(state, body["adjustment"])
    moved = state.adjustment(body["adjustment"])
    for point in moved["stale"] if moved is not None else ():
        _forget_point(state, point)


def _written(state: State, body: Json) -> None:
    """A judgement: of one event, and of the checks that it or one that it supersedes names."""
    state.written = None
    state.signs.clear()
    for given in state.ledger.slots.get("judgement|" + body["target"], []):
        for line in given["body"]["verdicts"]:
            _alter_check(state, line)
    target = state.ledger.by_id.get(body["target"])
    if target is not None and "check" in target["body"]:
        _alter_check(state, target["body"])


def _conceded(state: State, body: Json) -> None:
    state.written = None
    _alter_check(state, body)


def _alter_check(state: State, body: Json) -> None:
    for step in state.steps:
        if body["check"] in [check["id"] for check in step.data["checks"]]:
            _forget_judged(state, step, body["check"])


def _alter_tick(state: State, body: Json) -> None:
    _alter_step(state, body)
    _forget_point(state, body["task"])


def _alter_ticks(state: State, body: Json) -> None:
    for task in body["tasks"]:
        _alter_tick(state, {"step": body["step"], "task": task})
    _alter_step(state, body)


def _alter_step(state: State, body: Json) -> None:
    _forget_cover(state, body["step"])


def _alter_parts(state: State, _body: Json) -> None:
    state.covers.clear()
    state.signs.clear()


def _alter_signed(state: State, body: Json) -> None:
    state.signs.pop(body["step"], None)


def _alter_reviewed(state: State, body: Json) -> None:
    state.written = None
    state.signs.clear()
    for line in body.get("verdicts", []):
        _alter_check(state, line)
    if body.get("again"):
        state.forget_readings()
    for point in body.get("again", []):
        _forget_point(state, point)


def _forget_point(state: State, point: str) -> None:
    """Forget what was judged by a point, of whatever panel; or by another act, or as a clock."""
    for step, check in _uses_of_points(state).get(point, []):
        _forget_judged(state, step, check)


def _uses_of_points(state: State) -> "dict[str, list[tuple[Step, str]]]":
    """Return point -> where it counts: the step and the check, "" for the step by itself.

    So it does for a clock, by its own id and those of the acts that start and end it.
    """
    if not state.uses:
        for step in state.steps:
            for point in step.data["points"]:
                state.uses.setdefault(point["id"], []).append((step, ""))
            for check in step.data["checks"]:
                points = [check["points"][role] for role in check["points"]]
                if spec_of(check["calc"]).whole_door:
                    points.extend(_points_of_the_door(state, points))
                for point_id in points:
                    state.uses.setdefault(point_id, []).append((step, check["id"]))
                for id in _acts_of(check):
                    state.uses.setdefault(id, []).append((step, check["id"]))
                    state.uses[id].extend([(other, "") for other in _steps_of(state, check)])
    return state.uses


def _acts_of(check: Json) -> "list[str]":
    clock = check.get("clock")
    if not clock:
        return []
    acts = [clock["start"], clock["end"]]
    named = [act[name] for act in acts for name in ("task", "adjustment") if name in act]
    return [check["id"]] + [str(id) for id in named]


def _steps_of(state: State, check: Json) -> "list[Step]":
    """Return the steps that a clock's acts stand in: their ticks may be undone with it."""
    sides = check["clock"]
    named = [sides[role].get("step", "") for role in sides]
    return [step for step in state.steps if step.key in named]


def _points_of_the_door(state: State, but: "list[str]") -> "list[str]":
    """Return the points that the door model is made of; what it says hangs on all of them."""
    points = [state.points[id] for id in state.points]
    return [p["id"] for p in points if p.get("role") in DOOR_ROLES and p["id"] not in but]


def _forget_judged(state: State, step: Step, check: str) -> None:
    state.results.pop(check, None)
    if _acts_of(state.check(check) or {}):
        state.checks.pop(step.key, None)  # a clock is asked for only once its act was done
    state.openers.pop(check, None)  # and with it the points that it opens
    _forget_cover(state, step.key)


def _forget_cover(state: State, key: str) -> None:
    state.covers.pop(key, None)
    state.signs.pop(key, None)


# kind -> what to forget of a state that an event of this kind came to
ALTERS: "dict[str, Callable[[State, Json], None]]" = {
    "reading.taken": _alter_reading,
    "reading.unreachable": _alter_reading,
    "setup.tied": _alter_tie,
    "entry.struck": _alter_strike,
    "correction.made": _alter_correction,
    "adjustment.made": _alter_adjustment,
    "close.settled": _alter_check,
    "concession.given": _conceded,
    "judgement.given": _written,
    "concession.withdrawn": _alter_check,
    "concession.spoken": _alter_check,
    "cautions.read": _alter_nothing,
    "concession.missed": _alter_nothing,
    "entry.taken-in": _alter_nothing,
    "task.ticked": _alter_tick,
    "decision.made": _alter_step,
    "part.stated": _alter_parts,
    "tasks.ticked": _alter_ticks,
    "parts.stated": _alter_parts,
    "step.signed": _alter_signed,
    "opening.reviewed": _alter_reviewed,
    "opening.closed": _alter_nothing,
    "opening.reopened": _alter_nothing,
    "record.issued": _alter_nothing,
    "visit.begun": _alter_nothing,
    "visit.signed": _alter_nothing,
    "service.issued": _alter_nothing,
    "how.chosen": _alter_nothing,
    "query.raised": _alter_nothing,
    "query.answered": _alter_nothing,
    "photo.taken": _alter_step,
    "handover.signed": _alter_nothing,
    "sheet.signed": _alter_nothing,
}
