"""What was only written down: marks on labels, lots, inspections, what was said at the handover.

Nothing judges it. It is printed as somebody typed it; where nobody did, the record says that.
"""

from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Request
from app.core.record.state import State, Step
from app.core.words import Msg

MARKS = "panel-labels"  # the point of the procedure at which the marks of the panels are read
NOTHING = Msg("not written down")


def points(step: Step) -> list[Json]:
    """Return the points of a step at which words are written down."""
    return [point for point in step.data["points"] if point["quantity"] == "text"]


def marks(request: Request, state: State) -> str:
    """Return the marks of the panels as they were read; "" where the procedure asks for none."""
    if MARKS not in state.points:
        return ""
    words = [
        Msg("{place}: {words}", place=place.title, words=_typed(state, MARKS, "", place.id))
        for place in state.places(MARKS, "")
    ]
    return request.say(words) if _is_any(state, MARKS, "") else request.say(NOTHING)


def told(request: Request, state: State) -> list[str]:
    """Return what was written down in the last step: what cures until when, the keys."""
    last = state.steps[-1]
    return [
        request.say(
            Msg(
                "{what}: {words}",
                what=Msg(point["title"]),
                words=[
                    _typed(state, point["id"], last.unit, place.id)
                    for place in state.places(point["id"], last.unit)
                ],
            )
        )
        for point in points(last)
    ]


def left_out(request: Request, state: State, step: Step) -> list[Json]:
    """Return remarks on what a step asks to be written down and nobody wrote."""
    return [
        common.note(request.say(Msg("{what}: {words}", what=Msg(point["title"]), words=NOTHING)))
        for point in points(step)
        if not _is_any(state, point["id"], step.unit)
    ]


def _typed(state: State, point: str, unit: str, place: str) -> str | Msg:
    found = [reading for reading in state.readings(point, unit, place) if reading.reached]
    return found[-1].text if found else NOTHING


def _is_any(state: State, point: str, unit: str) -> bool:
    return any(state.readings(point, unit, place.id) for place in state.places(point, unit))
