"""How an opening and its steps stand: what lists and summaries are made of, in no language."""

from app.core.kinds import Json
from app.core.record.clocks import Clock
from app.core.record.events import has_seen
from app.core.record.gate import bars_of, holds_before, sign_of
from app.core.record.judge import checks_of, result_of
from app.core.record.state import State, Step


def opening_standing(state: State) -> Json:
    """Return how an opening stands, in no language: what its line on the list is made of."""
    following = next_step(state)
    drawing = state.drawing
    closed = state.closed()
    return {
        "door": drawing.data.get("door", ""),
        "letters": drawing.configuration,
        "steps": [{"key": s.key, "state": step_state(state, s)} for s in state.steps],
        "next": {"id": following.id, "title": following.data["title"], "panel": following.panel}
        if following is not None and state.cancelled() is None
        else None,
        "plan": state.plan(),
        "closed": closed["body"]["reason"] if closed is not None else "",
        "state": opening_state(state),
        "clocks": clocks_running(state),
        "practice": state.practice is not None,
    }


def clocks_running(state: State) -> "list[Json]":
    """Return the clocks that were started and not ended, in no language, in the steps' order.

    {"id", "title", "sort": least or most, "since", "until": claimed times, "doubt"}
    """
    out: list[Json] = []
    for step in state.steps:
        for check in step.data["checks"]:
            clock = _running_clock(state, step, check) if check.get("clock") else None
            if clock is not None:
                out.append(
                    {
                        "id": check["id"],
                        "title": check["title"],
                        "sort": clock.sort,
                        "since": clock.since,
                        "until": clock.until,
                        "doubt": clock.back > 0,
                    }
                )
    return out


def _running_clock(state: State, step: Step, check: Json) -> "Clock | None":
    signed = sign_of(state, step)
    if check not in checks_of(state, step) or (signed is not None and signed.good):
        return None
    clock = result_of(state, check, step.panel).clock
    return clock if clock is not None and clock.runs else None


CLOSED = ("cancelled", "archived")
BEFORE_WORK = ("opening.issued", "opening.closed", "opening.reopened", "opening.planned")


def opening_state(state: State) -> str:
    """Return where an opening is: as work_state, or cancelled or archived by the office.

    Archived is only what stands accepted: what breaks afterwards is shown again.
    """
    closed = state.closed()
    if closed is not None and closed["body"]["result"] == "cancelled":
        return "cancelled"
    kind = work_state(state)
    return "archived" if closed is not None and kind == "done" else kind


def work_state(state: State) -> str:
    """Return where the work is: new, open, broken, disputed, signed, returned or done."""
    review = state.review()
    kinds = [sign_state(state, step) for step in state.steps]
    if "broken" in kinds or "disputed" in kinds:
        returned = review is not None and review["body"]["result"] == "returned"
        return "returned" if returned else ("broken" if "broken" in kinds else "disputed")
    if all([kind == "signed" for kind in kinds]):
        return "done" if _accepts(state, review) else "signed"
    begun = any(event["kind"] not in BEFORE_WORK for event in state.ledger.events)
    return "open" if begun else "new"


def _accepts(state: State, review: "Json | None") -> bool:
    """Return whether the office accepted every sign-off that stands: one made since waits again."""
    if review is None or review["body"]["result"] != "accepted":
        return False
    signs = [sign_of(state, step) for step in state.steps]
    return all([sign is not None and has_seen(review, sign.event) for sign in signs])


def step_state(state: State, step: Step) -> str:
    """Return signed, disputed, broken, ready, barred or open."""
    signed = sign_state(state, step)
    if signed:
        return signed
    if state.judged and holds_before(state, step):
        return "barred"
    return "open" if bars_of(state, step) else "ready"


def sign_state(state: State, step: Step) -> str:
    """Return how a step's sign-off stands: signed, disputed, broken, or "" where there is none."""
    sign = sign_of(state, step)
    if sign is None:
        return ""
    if not sign.holds:
        return "broken"
    return "signed" if sign.true else "disputed"


def ids_not_signed(state: State) -> "list[str]":
    """Return the ids of the steps that are not signed, one for each panel where a step has some."""
    return [step.id for step in state.steps if step_state(state, step) != "signed"]


def next_step(state: State) -> "Step | None":
    """Return the first step that is not signed for good; None when all are."""
    for step in state.steps:
        sign = sign_of(state, step)
        if sign is None or not sign.good:
            return step
    return None
