"""Checks of a frame, an opening or a panel: square, and free of twist."""

from app.core.checks.base import Ask, Outcome, Spec

# diagonals: places "low-left-high-right" and "low-right-high-left", seen from outside.
# widths, heights: tape; where both are given the limit `agree` finds a misread diagonal.
# most: difference of the diagonals. rack: sideways shift of the head, for each `over` of height
# (no setting `over`: in all); rack_any: sideways shift in any case. At least one of the three.
# of: "opening" | "frame" | "panel" (whose width and height the drawing gives where not measured).
SQUARE_SPEC = Spec(
    {"diagonals": "length", "widths": "length", "heights": "length"},
    {"most": "length", "rack": "length", "rack_any": "length", "agree": "length"},
    {"of": "text", "over": "length"},
    ("widths", "heights", "most", "rack", "rack_any", "agree"),
)
# strings: one place (the gap where two strings from corner to corner cross), or two with the ids
# of the diagonals: the gap with that string in front, nearer to you outside; 0 where they touch.
TWIST_SPEC = Spec({"strings": "length"}, {"most": "length"})


def square(ask: Ask) -> Outcome:
    raise NotImplementedError


twist = square
