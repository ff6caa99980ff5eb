"""A state that is carried forward by new events alone.

`carried_forward` gives what State(all events) would, at a cost that hangs on what is new and not
on the history: what was worked out of the events before stays remembered, but for what was read
from something that a new one changes (memory.py). Where that cannot be exact, everything is folded
anew: for an event that arrives late, one that counts for nothing, one that was struck or set aside
before it came, a setting aside, and whatever changes what a state begins with (State.begun).
"""

from app.core.kinds import Json
from app.core.record.events import is_of_visit
from app.core.record.state import State


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
    if event["id"] in state.ledger.by_id:
        return True
    if is_of_visit(event):
        return state.ledger.add(event)
    # what counts for nothing now may still name what comes
    if not state.ledger.counts(event) or not state.ledger.add(event):
        return False
    state.unsure.clear()  # more of a sign-off's past may be here now
    return state.begun
