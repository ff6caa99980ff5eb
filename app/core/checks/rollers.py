"""Checks of a panel on its rollers: closing gap and stiles."""

from app.core.checks.base import Ask, Outcome, Spec

# gap: places with side "low", "middle", "high" (per panel, or place.panel). stiles: bottom of the
# stile over the sill, side "left" and "right". plumb: `how: plumb` on the leading stile of a panel
# that meets another lead, side "low" and "high". trial: how much one trial turn raised the panel.
# most: gap alike. middle: middle off the mean of low and high. alike: stiles alike (with stiles).
# The drawing gives lock, axle_distance, gap_distance.
ROLLER_GAP_SPEC = Spec(
    {"gap": "length", "stiles": "length", "plumb": "length", "trial": "length"},
    {"most": "length", "middle": "length", "alike": "length"},
    {},
    ("stiles", "plumb", "trial", "alike"),
)
# stiles: side "left" and "right", per panel or place.panel. most: left and right alike.
# target: height over the sill as drawn; off: how far from it at most (else `most`).
STILES_ALIKE_SPEC = Spec(
    {"stiles": "length", "trial": "length"},
    {"most": "length", "target": "length", "off": "length"},
    {},
    ("trial", "target", "off"),
)


def roller_gap(ask: Ask) -> Outcome:
    raise NotImplementedError


stiles_alike = roller_gap
