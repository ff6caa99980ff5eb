"""What some points of a procedure are for beyond their checks: record and door model go by this.

A procedure gives each point at most one purpose (`purpose:` in its file), so that no module knows
the name of a point. The procedure compiler holds each point against the table here.
"""

from app.core.record import door_as_read
from app.core.record.judge import asked_points
from app.core.record.state import Reading, State, Step
from app.core.where.place import Place

PANEL_LABEL = "panel-label"  # mark and number on a panel's label, as somebody read it
ANCHOR_GAP = "anchor-gap"  # what the shim fills at each anchor
ANCHOR_COUNT = "anchor-count"  # anchors in place, counted
PANEL_WIDTH = door_as_read.PANEL_WIDTH  # a panel's width, low and high
WEEP_COUNT = "weep-count"  # weeps open, counted
AS_LEFT = "as-left"  # how the door was left, to compare with in later years
HANDOVER = "handover"  # what the owner was told or given, in words

# purpose -> quantities that such a point may have, kinds of places; () is any
PURPOSES = {
    door_as_read.TRACK_BETWEEN: (("length",), ("tracks-between",)),
    PANEL_LABEL: (("text",), ("panels",)),
    PANEL_WIDTH: (("length",), ("panel-sides",)),
    ANCHOR_GAP: (("length",), ("anchors", "jamb-anchors")),
    ANCHOR_COUNT: (("count",), ("one",)),
    WEEP_COUNT: (("count",), ("one",)),
    AS_LEFT: ((), ()),
    HANDOVER: (("text",), ("one",)),
}
# what the door model is made of
for _purpose in door_as_read.DOOR_PURPOSES:
    if _purpose not in PURPOSES:
        _quantity = "count" if _purpose == door_as_read.FIXED_SCREWS else "length"
        PURPOSES[_purpose] = ((_quantity,), ())


def places_of_purpose(state: State, purpose: str) -> "list[tuple[str, str, Place]]":
    """Return (point, panel, place) of each place where a purpose's points are measured, in order.

    Where a point is not asked at this depth, the places of the one that stands in for it.
    """
    return [
        (point, step.panel, place)
        for step in state.steps
        for point in _points_of_purpose(state, step, purpose)
        for place in state.places(point, step.panel)
    ]


def _points_of_purpose(state: State, step: Step, purpose: str) -> "list[str]":
    asked = [point["id"] for point in asked_points(state, step)]
    mine = [point for point in step.data["points"] if point.get("purpose") == purpose]
    stand = [one["id"] if one["id"] in asked else one.get("instead", "") for one in mine]
    return [id for id in stand if id]


def readings_of_purpose(state: State, purpose: str) -> "list[tuple[Place, Reading | None]]":
    """Return each place of a purpose's points with its last live reading; None where there is none.

    A place that could not be reached has no reading.
    """
    out: list[tuple[Place, Reading | None]] = []
    for point, panel, place in places_of_purpose(state, purpose):
        reached = [reading for reading in state.readings(point, panel, place.id) if reading.reached]
        out.append((place, reached[-1] if reached else None))
    return out
