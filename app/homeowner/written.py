"""What was only written down: marks on labels, lots, inspections, what was said at the handover.

Nothing judges it. It is printed as somebody typed it; where nobody did, the record says that.
"""

from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Request
from app.core.quantity.messages import Msg
from app.core.record import roles
from app.core.record.state import State, Step

NOTHING = Msg("not written down")


def points(step: Step) -> list[Json]:
    """Return the points of a step at which words are written down."""
    return [point for point in step.data["points"] if point["quantity"] == "text"]


def marks(request: Request, state: State) -> str:
    """Return the marks of the panels as they were read; "" where the procedure asks for none."""
    labels = roles.places_of_role(state, roles.PANEL_LABEL)
    words = [
        Msg("{place}: {words}", place=place.title, words=_typed(state, point, panel, place.id))
        for point, panel, place in labels
    ]
    if not any(state.readings(point, panel, place.id) for point, panel, place in labels):
        return request.say(NOTHING) if labels else ""
    return request.say(words)


def told(request: Request, state: State) -> list[str]:
    """Return what was written down of the handover: what cures until when, the keys."""
    return [
        request.say(
            Msg(
                "{what}: {words}",
                what=Msg(state.point(point)["title"]),
                words=[_typed(state, point, panel, place.id)],
            )
        )
        for point, panel, place in roles.places_of_role(state, roles.HANDOVER)
    ]


def left_out(request: Request, state: State, step: Step) -> list[Json]:
    """Return remarks on what a step asks to be written down and nobody wrote."""
    return [
        common.remark_of(
            request.say(Msg("{what}: {words}", what=Msg(point["title"]), words=NOTHING))
        )
        for point in points(step)
        if not _is_any(state, point["id"], step.panel)
    ]


def _typed(state: State, point: str, panel: str, place: str) -> str | Msg:
    found = [reading for reading in state.readings(point, panel, place) if reading.reached]
    return found[-1].text if found else NOTHING


def _is_any(state: State, point: str, panel: str) -> bool:
    return any(state.readings(point, panel, place.id) for place in state.places(point, panel))
