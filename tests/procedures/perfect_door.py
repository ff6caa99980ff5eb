"""What a crew would read at a door that is exactly as drawn, for every point of the procedure.

Worked out from the drawing by plain geometry here, not by the core's own calculations.
"""

from math import isqrt

from app.core.kinds import Json
from app.core.quantity.moments import moment_of, moment_text
from app.core.quantity.units import MINUTE
from app.core.trade.drawing import Drawing
from app.core.where.place import Place

IN = 25_400_000
FORCE = 5 * 44_482_216_152_605_000  # 5 lbf in 1e-16 N; 1 lbf = 4.4482216152605 N
FIELDS = {
    "sill-length": "sill_length",
    "head-length": "head_length",
    "jamb-lengths": "jamb_length",
    "sill-setback": "setback",
    "sill-floor": "floor_below_sill",
    "stile-clearance": "stile_clearance",
    "head-engagement": "head_engagement",
    "final-engagement": "head_engagement",
    "overlap": "interlock_overlap",
    "overlap-ends": "interlock_overlap",
    "head-gap-least": "head_gap_least",
    "head-gap": "head_gap_least",
    "shims-done": "frame_anchors",
    "hook-depth": "hook_depth",
    "bed-weeps": "weep_count",
    "seal-weeps": "weep_count",
    "weeps-running": "weep_count",
    "anchors-done": "frame_anchors",
    "sill-screws-done": "sill_screws",
    "fixed-screws-done": "fixed_screws",
    "shim-gaps": "side_gap_least",
    "joint-width": "joint_width_least",
    "joint-depth": "joint_width_least",
}
FIXED = {
    "panel-weights": 140 * 10**11,
    "cure-time": 0,  # nothing to wait for: what takes hours is tested with clocks of its own
    "timber-moisture": 140_000,
    "timber-wettest": 150_000,
    "bed-humidity": 500_000,
    "seal-humidity": 500_000,
    "lock-throws": 10,
    "proof-throws": 10,
    "force-start": FORCE,
    "force-move": FORCE,
    "as-left-force": FORCE,
    "handle-pull": FORCE,
    "as-left-handle": FORCE,
    "sill-straightedge": 0,
    "left-jamb-top": 0,
    "right-jamb-top": 0,
    "left-jamb-top-across": 0,
    "right-jamb-top-across": 0,
    "sill-straightedge-long": 0,
    "stile-bow": 0,
    "opening-strings": 0,
    "frame-strings": 0,
    "frame-jamb-bow": 0,
    "lift-play": IN // 16,
}
LEVEL = 13 * IN  # what every level line reads


def value(point: Json, place: Place, drawing: Drawing) -> int:
    """Return the reading in base units."""
    id_ = point["id"]
    if point["quantity"] == "yes-no":
        return 1
    if point["quantity"] == "temperature":
        return 20 * 9000
    if id_ in FIXED:
        return FIXED[id_]
    if id_ in FIELDS:
        drawn = drawing.value(FIELDS[id_])
        return 3 * IN // 8 if drawn is None else drawn
    if id_ in SHAPES:
        return SHAPES[id_](place, drawing)
    return LEVEL


# point, place -> minutes by which the crew measured it before it entered it: the flood stood
AGO = {("flood-level", "start"): 20}


def measured_at(point: Json, place: Place, now: str) -> str:
    """Return when a crew says that it measured, as it types that; "" for just now."""
    ago = AGO.get((point["id"], place.id), 0)
    return moment_text((moment_of(now) or 0) - ago * MINUTE, now)[:16] if ago else ""


def _diagonal(width: int, height: int) -> int:
    return isqrt(width * width + height * height)


def _opening(drawing: Drawing) -> tuple[int, int]:
    """Return the opening's width and height; an inch around the frame where they are not drawn."""
    width = drawing.length("opening_width") or drawing.need("frame_width") + IN
    return width, drawing.length("opening_height") or drawing.need("frame_height") + IN


def _frame(drawing: Drawing) -> tuple[int, int]:
    return drawing.need("frame_width") - 2 * drawing.need("jamb_face"), drawing.need(
        "frame_height"
    ) - 3 * IN


def _panel(place: Place, drawing: Drawing) -> tuple[int, int]:
    panel = drawing.panel(place.panel)
    return panel.width, panel.height


SHAPES = {
    "stile-lifted": lambda place, drawing: (
        drawing.need("stile_clearance") + drawing.need("panel_lift_least")
    ),
    "panel-widths": lambda place, drawing: _panel(place, drawing)[0],
    "panel-heights": lambda place, drawing: _panel(place, drawing)[1],
    "lead-diagonals": lambda place, drawing: _diagonal(*_panel(place, drawing)),
    "panel-diagonals": lambda place, drawing: _diagonal(*_panel(place, drawing)),
    # The plumb lines stand 13 in off both jambs (LEVEL).
    "opening-widths": lambda place, drawing: _opening(drawing)[0],
    "opening-heights": lambda place, drawing: _opening(drawing)[1],
    "high-spot-height": lambda place, drawing: _opening(drawing)[1],
    "opening-diagonals": lambda place, drawing: _diagonal(*_opening(drawing)),
    # Read down from the beam: bigger is lower, so the weather side falls outward.
    "sill-weather": lambda place, drawing: LEVEL + drawing.need("cross_fall"),
    "sill-weather-shots": lambda place, drawing: LEVEL + drawing.need("cross_fall"),
    "frame-widths": lambda place, drawing: _frame(drawing)[0],
    "frame-heights": lambda place, drawing: _frame(drawing)[1],
    "frame-diagonals": lambda place, drawing: _diagonal(*_frame(drawing)),
}
