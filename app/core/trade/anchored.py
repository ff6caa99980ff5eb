"""The anchors of a drawing, member by member: one answer for what is set out and what is measured.

Seen from outside: a jamb from the foot up, the head from the LEFT end. Whole nanometres.
"""

from app.core.quantity.messages import Msg
from app.core.trade import anchors, moving
from app.core.trade.drawing import Drawing


def jamb_anchors(drawing: Drawing, jamb: str) -> anchors.AnchorPlan:
    """Return the anchors of one jamb ("left", "right"), clear of its locks where these are drawn.

    Errors: InputError 'drawing-silent', and those of anchors.anchor_plan().
    Example: len(jamb_anchors(DOOR, "right").points) -> 7
    """
    return _member_plan(drawing, "frame_height", lock_zones(drawing, jamb))


def head_anchors(drawing: Drawing) -> anchors.AnchorPlan:
    """Return the anchors of the head, clear of interlocks and meeting stiles where that is drawn.

    Errors: InputError 'drawing-silent', and those of anchors.anchor_plan().
    Example: len(head_anchors(DOOR).points) -> 13
    """
    return _member_plan(drawing, "frame_width", interlock_zones(drawing))


def _member_plan(drawing: Drawing, side: str, zones: "list[anchors.Zone]") -> anchors.AnchorPlan:
    end, spacing = drawing.need("anchor_end"), drawing.need("anchor_spacing")
    return anchors.anchor_plan(drawing.need(side), end, spacing, zones)


def lock_zones(drawing: Drawing, jamb: str) -> "list[anchors.Zone]":
    """Return the places by the locks of a jamb; none where it has none or nothing is drawn.

    Example: [zone.at for zone in lock_zones(DOOR, "left")] -> [40 * INCH]
    """
    clear = drawing.length("lock_clear")
    if clear is None or jamb not in moving.lock_jambs(drawing):
        return []
    return [anchors.Zone(at, clear, Msg("a lock")) for at in drawing.locks]


def interlock_zones(drawing: Drawing) -> "list[anchors.Zone]":
    """Return the places by interlocks and meeting stiles; none where nothing is drawn.

    Example: len(interlock_zones(DOOR)) -> 3
    """
    clear = drawing.length("interlock_clear")
    if clear is None:
        return []
    what = Msg("an interlock")
    return [anchors.Zone(at, clear, what) for at in drawing.interlocks + drawing.meetings]
