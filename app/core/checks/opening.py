"""Checks of the hole in the wall, and of a head over a sill."""

from app.core.checks.base import Ask, Outcome, Spec

# left, right: `how: plumb`, places at the same heights (place.y) on both jambs.
# widths: tape from jamb to jamb at those heights; one is enough, more are checked against each
# other within the limit `agree`. The frame's width is the drawing's frame_width.
FIT_SPEC = Spec(
    {"left": "length", "right": "length", "widths": "length"},
    {"least": "length", "most": "length", "agree": "length"},
)
# jamb: `how: plumb`, two places or more with y. most: over the whole jamb. most_over: within any
# length of setting `over`; then no two neighbours may stand farther apart than `over`.
# jamb: "left" | "right". way: "in the wall" (line inside the opening) | "through the wall" (line on
# the ROOM side of the jamb: bigger means nearer the outside).
LEAN_SPEC = Spec(
    {"jamb": "length"},
    {"most": "length", "most_over": "length"},
    {"jamb": "text", "way": "text", "over": "length"},
    ("most_over",),
)
# head: `how: level`, ends, quarters, middle (place.x). most: any place off the straight line
# between the two ends (in the middle: off the mean of the ends). level: highest to lowest.
# of: "opening" | "frame".
HEAD_SAG_SPEC = Spec(
    {"head": "length"}, {"most": "length", "level": "length"}, {"of": "text"}, ("level",)
)
# head alone: clear heights by tape, place.x. head and sill: both `how: level` from one line, and
# every place of the head has a place of the sill with the same x. of: "opening" | "frame".
HEAD_OVER_SILL_SPEC = Spec(
    {"head": "length", "sill": "length"}, {"most": "length"}, {"of": "text"}, ("sill",)
)


def fit(ask: Ask) -> Outcome:
    raise NotImplementedError


lean = head_sag = head_over_sill = fit
