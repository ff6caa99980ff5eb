"""What was only written down: marks on labels, lots, inspections, what was said at the handover.

Nothing judges it. It is printed as somebody typed it; where nobody did, the record says that.
"""

from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record import judge, purposes
from app.core.record.state import State, Step
from app.homeowner.wording import as_json

NOTHING = Msg("not written down")


def points(state: State, step: Step) -> list[Json]:
    """Return the points of a step at which words are asked for."""
    return [point for point in judge.asked_points(state, step) if point["quantity"] == "text"]


def marks(state: State) -> list[Json]:
    """Return the marks of the panels as they were read; [] where the procedure asks for none.

    [{"place": words, "words": as typed, or "" where nobody did}]
    """
    return [
        {"place": as_json(place.title), "words": reading.text if reading else ""}
        for place, reading in purposes.readings_of_purpose(state, purposes.PANEL_LABEL)
    ]


def marks_in_words(marks: list[Json]) -> object:
    """Return the marks of the panels in words; "" for none."""
    if not any(mark["words"] for mark in marks):
        return NOTHING if marks else ""
    return [
        Msg("{place}: {words}", place=mark["place"], words=mark["words"] or NOTHING)
        for mark in marks
    ]


def told(state: State) -> list[Msg]:
    """Return what was written down of the handover: what cures until when, the keys."""
    return [
        Msg(
            "{what}: {words}",
            what=Msg(state.point(point)["title"]),
            words=[_typed(state, point, panel, place.id) or NOTHING],
        )
        for point, panel, place in purposes.places_of_purpose(state, purposes.HANDOVER)
    ]


def left_out(state: State, step: Step) -> list[Json]:
    """Return the titles of what a step asks to be written down and nobody wrote, as words."""
    return [
        as_json(Msg(point["title"]))
        for point in points(state, step)
        if not any(
            state.readings(point["id"], step.panel, place.id)
            for place in state.places(point["id"], step.panel)
        )
    ]


def _typed(state: State, point: str, panel: str, place: str) -> str:
    """Return what was typed last at a place; "" where nobody did."""
    reached = [reading for reading in state.readings(point, panel, place) if reading.reached]
    return reached[-1].text if reached else ""
