"""Faults that a trainer plants in a door that stands as drawn: what a tape then shows more.

Each fault is small and known, so what it does is linear: the door model's own first-order
formulas (door_model; seen from outside, x to the right, y up, a lean counts to the left). Lengths
are whole nanometres.
Source:  derived as in door_model/__init__.py; checked against its exact functions in the tests.
"""

from app.core.kinds import Json
from app.core.quantity.messages import Len, Msg
from app.core.quantity.units import INCH, half_up
from app.core.trade.drawing import Drawing, Panel
from app.core.trade.instruments import root_up

# where a fault is: along the sill, at a panel, or nowhere that must be said
ALONG, PANEL, NOWHERE = "along", "panel", ""
# kind -> where, words for who plants it, words for the debrief
FAULTS = {
    "bed-falls": (NOWHERE, Msg("Floor: falls to the right"),
                  Msg("The floor falls {size} to the right over the frame's width")),
    "bed-hump": (ALONG, Msg("Floor: a hump"), Msg("A hump of {size} in the floor at {at}")),
    "bed-hollow": (ALONG, Msg("Floor: a hollow"), Msg("A hollow of {size} in the floor at {at}")),
    "shim-missing": (ALONG, Msg("Sill: a shim is missing, it sinks"),
                     Msg("A shim is missing at {at}: the sill sinks {size} there")),
    "left-jamb-out": (NOWHERE, Msg("LEFT jamb: leans out at the top"),
                      Msg("The LEFT jamb leans out {size} at the top")),
    "left-jamb-in": (NOWHERE, Msg("LEFT jamb: leans in at the top"),
                     Msg("The LEFT jamb leans in {size} at the top")),
    "right-jamb-out": (NOWHERE, Msg("RIGHT jamb: leans out at the top"),
                       Msg("The RIGHT jamb leans out {size} at the top")),
    "right-jamb-in": (NOWHERE, Msg("RIGHT jamb: leans in at the top"),
                      Msg("The RIGHT jamb leans in {size} at the top")),
    "head-sags": (NOWHERE, Msg("Head: sags in the middle"),
                  Msg("The head sags {size} in the middle")),
    "roller-left-low": (PANEL, Msg("Panel: LEFT roller too low"),
                        Msg("Panel {at}: its LEFT roller is {size} too low")),
    "roller-right-low": (PANEL, Msg("Panel: RIGHT roller too low"),
                         Msg("Panel {at}: its RIGHT roller is {size} too low")),
    "panel-racked": (PANEL, Msg("Panel: out of square, top to the right"),
                     Msg("Panel {at} is out of square: its top stands {size} to the right")),
    "panel-wide": (PANEL, Msg("Panel: wider at the top"),
                   Msg("Panel {at} is {size} wider at the top")),
}  # fmt: skip
MOST_SIZE = INCH  # a greater one is no fault to practise on, but another door
HUMP_REACH = 12 * INCH  # how far to each side a hump or hollow runs out
SHIM_REACH = 24 * INCH  # from a missing shim to the next one that bears


class PlantedFault:
    """One fault: kind, of FAULTS; at: nanometres from the LEFT end, or a panel's letter; size."""

    def __init__(self, data: Json) -> None:
        self.kind: str = data["kind"]
        self.at: str = data["at"]
        self.size = int(data["size"])

    @property
    def known(self) -> bool:
        """Return whether this version knows such a fault."""
        return self.kind in FAULTS

    def words(self) -> Msg:
        """Return what is wrong, in words."""
        where, _, words = FAULTS[self.kind]
        at: Len | str = Len(int(self.at), "place") if where == ALONG else self.at
        return Msg(words.template, size=Len(self.size), at=at)

    # ---- what it does to lines along the frame

    def bed(self, x: int, drawing: Drawing) -> int:
        """Return how much higher the floor lies at x."""
        if self.kind == "bed-falls":
            return -half_up(self.size * x, drawing.need("frame_width"))
        if self.kind in ("bed-hump", "bed-hollow"):
            rise = self.size if self.kind == "bed-hump" else -self.size
            return _tent(rise, x - int(self.at), HUMP_REACH)
        return 0

    def swept_gap(self, edge: int, drawing: Drawing) -> int:
        """Return the greatest gap that it leaves under a straightedge swept along the floor.

        edge: its length. It rests on two spots, and the gap is between them: it bridges the foot
        of a hump, one end on the floor and one on the slope, or the middle of a hollow.
        A floor that only falls is straight. A hump of 1 in clears 1/4 in under 12 in of edge, and
        3/4 in under 4 ft.
        Source:  the chord over a bend of a straight line; held against trying every chord.
        """
        if self.kind not in ("bed-hump", "bed-hollow"):
            return 0
        at, width = int(self.at), drawing.need("frame_width")
        if self.kind == "bed-hollow":
            left, right = min(HUMP_REACH, at), min(HUMP_REACH, width - at)
            half = min(left, right, edge // 2)
            other = min(max(left, right), edge - half)
            return _chord_gap(2 * self.size, half, other)
        return max([self._gap_at_foot(edge, flat) for flat in (at, width - at)])

    def _gap_at_foot(self, edge: int, beside: int) -> int:
        """Return the gap at the foot of a hump; beside: from its top to the end of the frame."""
        flat = min(beside - HUMP_REACH, max(edge - HUMP_REACH, edge // 2))
        return _chord_gap(self.size, flat, min(HUMP_REACH, edge - flat)) if flat > 0 else 0

    def track(self, x: int) -> int:
        """Return how much higher the set sill and its tracks lie at x."""
        if self.kind != "shim-missing":
            return 0
        return _tent(-self.size, x - int(self.at), SHIM_REACH)

    def head(self, x: int, drawing: Drawing) -> int:
        """Return how much higher the head lies at x."""
        half = half_up(drawing.need("frame_width"), 2)
        return _tent(-self.size, x - half, half) if self.kind == "head-sags" else 0

    def jamb(self, side: str, y: int, drawing: Drawing) -> int:
        """Return how much farther from the middle of the frame a jamb stands at y."""
        if self.kind not in (side + "-jamb-out", side + "-jamb-in"):
            return 0
        out = self.size if self.kind.endswith("-out") else -self.size
        return half_up(out * y, drawing.need("frame_height"))

    # ---- what it does to a panel

    def _axles(self, panel: Panel, drawing: Drawing) -> "tuple[int, int, int]":
        """Return how much higher a panel stands at its left and right axle; their distance."""
        apart = drawing.length("axle_distance") or half_up(panel.width * 3, 4)
        first = panel.left + half_up(panel.width - apart, 2)
        left, right = self.track(first), self.track(first + apart)
        if self.at == panel.letter:
            left -= self.size if self.kind == "roller-left-low" else 0
            right -= self.size if self.kind == "roller-right-low" else 0
        return left, right, apart

    def lean(self, panel: Panel, drawing: Drawing, y: int) -> int:
        """Return how far a panel leans to the left at the height y."""
        left, right, apart = self._axles(panel, drawing)
        return half_up((right - left) * y, apart)

    def lift(self, panel: Panel, drawing: Drawing, side: str) -> int:
        """Return how much higher a bottom corner of a panel stands: side "left" or "right"."""
        left, right, apart = self._axles(panel, drawing)
        first = half_up(panel.width - apart, 2)
        at = -first if side == "left" else apart + first
        return left + half_up((right - left) * at, apart)

    def wider(self, panel: Panel, y: int) -> int:
        """Return how much wider a panel is at the height y."""
        mine = self.kind == "panel-wide" and self.at == panel.letter
        return half_up(self.size * y, panel.height) if mine else 0

    def racked(self, panel: Panel, y: int) -> int:
        """Return how far a panel stands to the right of square at the height y."""
        mine = self.kind == "panel-racked" and self.at == panel.letter
        return half_up(self.size * y, panel.height) if mine else 0

    def stile_out(self, panel: Panel, drawing: Drawing, side: str, y: int) -> int:
        """Return how far a stile stands out of its panel's place, to its own side, at y."""
        to_left = self.lean(panel, drawing, y) - self.racked(panel, y)
        width = self.wider(panel, y)
        half = width // 2
        return to_left + half if side == "left" else width - half - to_left

    def diagonal(self, panel: Panel, rising: bool) -> int:
        """Return how much longer a diagonal is: rising from LOW LEFT to HIGH RIGHT, or falling."""
        aside = self.racked(panel, panel.height)
        wide = self.wider(panel, panel.height)
        top = panel.width + half_up(wide, 2) + (aside if rising else -aside)
        return _corner_to_corner(top, panel.height) - _corner_to_corner(panel.width, panel.height)


def _tent(rise: int, off: int, reach: int) -> int:
    """Return the height of a tent that stands `rise` high and runs out over `reach` each way.

    Example: _tent(4, 5, 10) -> 2; _tent(4, 12, 10) -> 0
    """
    left = reach - abs(off)
    return half_up(rise * left, reach) if left > 0 else 0


def _chord_gap(rise: int, one: int, other: int) -> int:
    """Return how far a chord clears a bend from which it reaches so far to each side.

    rise: how much the line turns over HUMP_REACH.
    """
    if one <= 0 or other <= 0:
        return 0
    return half_up(rise * one * other, HUMP_REACH * (one + other))


def _corner_to_corner(width: int, height: int) -> int:
    return root_up(width * width + height * height)
