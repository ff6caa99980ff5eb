"""Which extensions a panel's two rollers may have: closed, in mid-travel and stacked.

e is the left roller's extension and f the right one's less e. The bottom corners of the
panel stand at g + e - f first/apart (left) and h + e + f (width - first)/apart (right), g and
h from its track alone. So every bound reads e >= a + b f, or e <= a + b f, with the same b
in every position, and of all positions only the tightest counts.
"""

from app.core.kinds import Any
from app.core.trade.door_model.chain import GRAIN
from app.core.trade.door_model.door import Door, RigidPanel, hidden_at
from app.core.trade.door_model.profile import Profile

LEFT, RIGHT = "left", "right"


class Strip:
    """The tightest of the bounds of one kind: on e, from a corner or from the rollers' travel.

    value, slope: e against value + slope x f. corner: LEFT, RIGHT or "" for the travel. kind:
    "clearance", "engagement" (from above: play) or "travel". shift: how far the panel was moved.
    spread: how unsure the value is. whole: the bound in whole numbers, see keeps().
    """

    def __init__(
        self, value: float, slope: float, corner: str = "", kind: str = "travel", shift: int = 0
    ) -> None:
        self.value = value
        self.slope = slope
        self.corner = corner
        self.kind = kind
        self.shift = shift
        self.spread = 0.0
        self.whole = 0


class Allowed:
    """What one panel's rollers may do.

    low, high: Strips that e stands above, below. first, last: least and most f; a panel that
    cannot keep all its bounds has last below first, and `short` says by how much.
    """

    def __init__(self, door: Door, panel: RigidPanel) -> None:
        self.panel = panel
        least, most = panel.travel
        self.low = [Strip(least, 0.0), Strip(least, -1.0)]
        self.high = [Strip(most, 0.0), Strip(most, -1.0)]
        if not panel.held:
            _add_corners(self, door, panel)
        self.first, self.last = self.room(0.0)
        if 0 < self.first - self.last <= GRAIN:
            self.first = self.last = (self.first + self.last) / 2
        self.short = 0.0 if self.first <= self.last else self._shortfall()

    def room(self, doubt: float) -> "tuple[float, float]":
        """Return least and most f with every strip narrowed by doubt x its spread.

        Least above most: no f keeps them all. Travel bounds f by itself.
        """
        least, most = self.panel.travel
        first, last = float(least - most), float(most - least)
        for low in self.low:
            for high in self.high:
                base = low.value - high.value + doubt * _doubt_between(low, high)
                slope = high.slope - low.slope
                if slope > 0:
                    first = max(first, base / slope)
                elif slope < 0:
                    last = min(last, base / slope)
                elif base > GRAIN:
                    return 1.0, -1.0
        return first, last

    def span(self, f: float) -> "tuple[float, float]":
        """Return least and most e at f."""
        low = max([strip.value + strip.slope * f for strip in self.low])
        high = min([strip.value + strip.slope * f for strip in self.high])
        return low, high

    def tightest(self, f: float) -> "tuple[Strip, Strip]":
        """Return the strips that give least and most e at f."""
        low, high = self.span(f)
        lows = [strip for strip in self.low if strip.value + strip.slope * f >= low]
        highs = [strip for strip in self.high if strip.value + strip.slope * f <= high]
        return lows[-1], highs[-1]

    def keeps(self, left: int, right: int) -> bool:
        """Return whether these extensions keep every bound, in whole numbers."""
        least, most = self.panel.travel
        if not (least <= left <= most and least <= right <= most):
            return False
        return all(
            [strip.whole <= lifted(self.panel, strip.corner, left, right) for strip in self.low[2:]]
            + [
                strip.whole >= lifted(self.panel, strip.corner, left, right)
                for strip in self.high[2:]
            ]
        )

    def crossings(self) -> "list[float]":
        """Return every f at which two strips of one side cross."""
        pairs = []
        for strips in (self.low, self.high):
            for i, one in enumerate(strips):
                pairs.extend([(one, other) for other in strips[:i]])
        return [_crossing(one, other) for one, other in pairs if one.slope != other.slope]

    def _shortfall(self) -> float:
        """Return by how much the bounds miss each other at the f where they miss least."""
        points = [0.0] + self.crossings()
        for low in self.low:
            points.extend([_crossing(low, high) for high in self.high if low.slope != high.slope])
        spans = [self.span(f) for f in points]
        return max(min([low - high for low, high in spans]), 0.0)


def _crossing(one: Strip, other: Strip) -> float:
    return (other.value - one.value) / (one.slope - other.slope)


def _doubt_between(low: Strip, high: Strip) -> float:
    """Return how unsure two strips are against each other: of one surface at one place, not."""
    if low.kind == high.kind and low.corner == high.corner and low.shift == high.shift:
        return 0.0
    return low.spread + high.spread


def lifted(panel: RigidPanel, corner: str, left: int, right: int) -> int:
    """Return how far two extensions lift a bottom corner, times the distance of the axles.

    Two rollers that rise alike by e lift both corners by e.
    """
    apart, first = panel.apart, panel.first
    if corner == LEFT:
        return left * apart - (right - left) * first
    return left * apart + (right - left) * (panel.width - first)


def corner_lever(panel: RigidPanel, corner: str) -> "tuple[int, int]":
    """Return how far a corner rises per f at a fixed e, as (numerator, denominator)."""
    if corner == LEFT:
        return -panel.first, panel.apart
    return panel.width - panel.first, panel.apart


def base_of(panel: RigidPanel, corner: str, shift: int) -> "tuple[int, int]":
    """Return how high a bottom corner stands with both rollers retracted, exactly."""
    x = panel.left + shift + panel.first
    n1, d1 = panel.track.exact_height(x)
    n2, d2 = panel.track.exact_height(x + panel.apart)
    lever, apart = corner_lever(panel, corner)
    # t1 + lever/apart (t2 - t1), over the common denominator d1 d2 apart
    return n1 * d2 * apart + lever * (n2 * d1 - n1 * d2), d1 * d2 * apart


def corner_at(panel: RigidPanel, corner: str, shift: int) -> int:
    """Return where along the frame a bottom corner is."""
    return panel.left + shift + (0 if corner == LEFT else panel.width)


def positions(panel: RigidPanel) -> "list[int]":
    """Return the shifts at which a bound can be tightest: both ends, and every station passed.

    Between two of them everything is straight.
    """
    if panel.slides == 0:
        return [0]
    near, far = min(panel.slides, 0), max(panel.slides, 0)
    out = {0: True, panel.slides: True}
    points = (
        (panel.track.xs, (panel.first, panel.axles[-1])),
        (panel.sill.xs, (0, panel.width)),
        (panel.lip.xs, (0, panel.width)),
    )
    for xs, offsets in points:
        for offset in offsets:
            start = panel.left + offset
            for x in xs:
                if near < x - start < far:
                    out[x - start] = True
    shifts = list(out)
    shifts.sort()
    return shifts


def _add_corners(allowed: Allowed, door: Door, panel: RigidPanel) -> None:
    """Add the tightest strip for each bottom corner, below and above."""
    held = surfaces(door, panel)
    if not held:
        return
    shifts = positions(panel)
    start = panel.left + panel.first
    under_left = panel.track.heights(start, shifts)
    under_right = panel.track.heights(start + panel.apart, shifts)
    for corner in (LEFT, RIGHT):
        n, d = corner_lever(panel, corner)
        lever = float(n) / d
        feet = [a + lever * (b - a) for a, b in zip(under_left, under_right)]
        lows: list[Any] = []
        highs: list[Any] = []
        for kind, line, extra, least, most in held:
            over = line.heights(corner_at(panel, corner, 0), shifts)
            over = [height - foot for height, foot in zip(over, feet)]
            if least is not None:
                tightest = max(over)
                lows.append((tightest - extra + least, shifts[over.index(tightest)], kind))
            if most is not None:
                tightest = min(over)
                highs.append((tightest - extra + most, shifts[over.index(tightest)], kind))
        if lows:
            allowed.low.append(_strip(door, panel, corner, max(lows), 1))
        if highs:
            allowed.high.append(_strip(door, panel, corner, min(highs), -1))


def surfaces(door: Door, panel: RigidPanel) -> "list[Any]":
    """Return what a panel's corners are held against: (kind, line, panel's height, least, most).

    The clearance over the sill, and the engagement in the head where its lip was read.
    """
    out: list[Any] = [("clearance", panel.sill, 0) + door.drawn.clearance]
    if panel.lip.xs:
        out.append(("engagement", panel.lip, panel.height) + door.drawn.engaged)
    return [one for one in out if one[3] is not None or one[4] is not None]


def _strip(door: Door, panel: RigidPanel, corner: str, tightest: Any, sign: int) -> Strip:
    """Return the strip of the tightest (value, shift, kind); sign 1 from below, -1 from above."""
    value, shift, kind = tightest
    n, d = corner_lever(panel, corner)
    strip = Strip(value, -(float(n) / d), corner, kind, shift)
    for other, line, extra, least, most in surfaces(door, panel):
        if other == kind:
            bound = (least if sign > 0 else most) - extra
            strip.whole = _whole_bound(panel, strip, line, bound, sign)
            strip.spread = _spread(door, panel, strip, line)
    return strip


def _whole_bound(panel: RigidPanel, strip: Strip, line: Profile, bound: int, sign: int) -> int:
    """Return what lifted() must reach (sign 1) or not pass (-1), rounded to the safe side."""
    n, d = base_of(panel, strip.corner, strip.shift)
    sn, sd = line.exact_height(corner_at(panel, strip.corner, strip.shift))
    num = (bound * sd * d + sn * d - n * sd) * panel.apart
    return -(-num // (sd * d)) if sign > 0 else num // (sd * d)


def _spread(door: Door, panel: RigidPanel, strip: Strip, line: Profile) -> float:
    """Return how unsure a strip is.

    Closed, the rollers are turned until the corner stands where it should: what the track hides
    drops out, and the surface counts that the corner is held against. Elsewhere the track does.
    """
    total = _unsure(door, panel, line, corner_at(panel, strip.corner, strip.shift))
    if strip.shift:
        x = panel.left + strip.shift + panel.first
        total += abs(1 + strip.slope) * _unsure(door, panel, panel.track, x)
        total += abs(strip.slope) * _unsure(door, panel, panel.track, x + panel.apart)
    return total


def _unsure(door: Door, panel: RigidPanel, profile: Profile, x: int) -> float:
    """Return how far a line may be off what it is taken for at x."""
    # along one panel nothing can be hidden beyond what the slope allows
    most = door.slope[0] * (float(panel.width) / door.slope[1])
    hidden = hidden_at(profile, x, door.slope)
    return profile.error + (most if hidden is None else min(hidden, most))
