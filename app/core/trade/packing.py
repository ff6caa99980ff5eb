"""What brings a surveyed sill level: shims to the high point, grinding first, or a fill.

One line is packed along its own length to one level. Two lines are brought to two
levels that are kept apart by the fall toward the weather side: packing both to one
level would build a dam. All lengths are whole nanometres.
"""

from app.core.errors import InputError
from app.core.order import sort_by
from app.core.quantity.messages import Msg

# How a thickness is made from the shims in the box: NEAREST (half up), never less, never more.
NEAREST = "nearest"
UP = "up"
DOWN = "down"
# Shims in one stack when the procedure does not say; common practice, no source.
PIECES = 4
CUBIC_LITRE = 10**24  # cubic nanometres


class Ladder:
    """Every thickness that at most `pieces` shims of the box can make, with the fewest pieces.

    box:    sizes in the box, nanometres; empty: any thickness can be made (nothing is
            known of the box, so nothing is rounded).
    top:    the greatest thickness that will be asked for.
    Errors: InputError 'shim-size' for a size that is not above zero.
    Source: counting out; common practice, no source.
    Example: Ladder([2, 4], 2, 10).make(7, NEAREST) -> 8 (made of 4 and 4)
    """

    def __init__(self, box: "list[int]", pieces: int, top: int) -> None:
        if [size for size in box if size <= 0]:
            raise InputError("shim-size", Msg("A shim must have a thickness above zero."))
        self.exact = not box
        self.step = min(box) if box else 0
        self._made = _shim_sums(box, pieces, top + self.step)
        self._known: dict[tuple[int, str], int | None] = {}
        self.rungs: list[int] = sort_by(list(self._made), lambda rung: rung)

    def pieces(self, thickness: int) -> "tuple[int, ...]":
        """Return the shims of a thickness that the ladder has, thickest first."""
        return self._made.get(thickness, (thickness,)) if thickness else ()

    def make(self, depth: int, rounding: str) -> "int | None":
        """Return the thickness for a depth; None where the box cannot make one.

        NEAREST: a half goes up. UP: the least that is not less. DOWN: the greatest that
        is not more. More than half the smallest shim (NEAREST) or a whole one (UP, DOWN)
        away from the depth is not made at all.
        """
        if self.exact:
            return depth
        if (depth, rounding) not in self._known:  # many stations ask for the same
            self._known[(depth, rounding)] = self._nearest(depth, rounding)
        return self._known[(depth, rounding)]

    def _nearest(self, depth: int, rounding: str) -> "int | None":
        """Return the rung that serves and is nearest; of two as near the higher."""
        above = self._first_not_below(depth)
        best: int | None = None
        for rung in self.rungs[max(0, above - 1) : above + 1]:
            if self._fits(rung - depth, rounding) and (
                best is None or rung - depth <= depth - best
            ):
                best = rung
        return best

    def _fits(self, excess: int, rounding: str) -> bool:
        if rounding == UP:
            return 0 <= excess < self.step
        if rounding == DOWN:
            return -self.step < excess <= 0
        return -self.step < 2 * excess <= self.step

    def _first_not_below(self, depth: int) -> int:
        low = 0
        high = len(self.rungs)
        while low < high:
            middle = (low + high) // 2
            if self.rungs[middle] < depth:
                low = middle + 1
            else:
                high = middle
        return low


def _shim_sums(box: "list[int]", pieces: int, top: int) -> "dict[int, tuple[int, ...]]":
    """Return thickness -> shims; one more piece a round, so that the fewest come first."""
    made: dict[int, tuple[int, ...]] = {0: ()}
    last = made
    for _ in range(pieces):
        fresh: dict[int, tuple[int, ...]] = {}
        for total, parts in last.items():
            for size in box:
                if total + size <= top and total + size not in made:
                    _add_sum(fresh, total + size, _with_shim(parts, size))
        made.update(fresh)
        last = fresh
    return made


def _with_shim(parts: "tuple[int, ...]", size: int) -> "tuple[int, ...]":
    """Return the shims with one more, thickest first."""
    for i, part in enumerate(parts):
        if size > part:
            return parts[:i] + (size,) + parts[i:]
    return parts + (size,)


def _add_sum(fresh: "dict[int, tuple[int, ...]]", total: int, parts: "tuple[int, ...]") -> None:
    # Of equally many pieces take the ones with the thickest first, in whatever order they came.
    if total not in fresh or parts > fresh[total]:
        fresh[total] = parts


class Line:
    """One surveyed line and what is to be done at each of its stations.

    drop: how far this line's level lies below the leading line's: 0 for the room-side
    line, the fall for the weather-side one.
    """

    def __init__(self, heights: "list[int]", drop: int = 0) -> None:
        self.heights = heights
        self.drop = drop

    def lifted(self) -> "list[int]":
        """Return the heights as if the line lay on the leading line's level."""
        return [height + self.drop for height in self.heights]


class Work:
    """What one line needs: a level, and pack and grind at each station (None: cannot be made)."""

    def __init__(self, level: int, packs: "list[int | None]", grinds: "list[int]") -> None:
        self.level = level
        self.packs = packs
        self.grinds = grinds

    @property
    def possible(self) -> bool:
        """Return whether every thickness can be made from the box."""
        return None not in self.packs

    @property
    def places(self) -> int:
        """Return at how many stations something is done."""
        return len([1 for pack, grind in zip(self.packs, self.grinds) if pack != 0 or grind])

    @property
    def thickest(self) -> int:
        """Return the greatest packing that can be made."""
        return max([pack or 0 for pack in self.packs])

    @property
    def deepest(self) -> int:
        """Return the deepest grinding."""
        return max(self.grinds)

    def after(self, heights: "list[int]") -> "list[int]":
        """Return the heights when the work is done."""
        work = zip(heights, self.packs, self.grinds)
        return [height + (pack or 0) - grind for height, pack, grind in work]


def fall_kept(room: "list[int]", weather: "list[int]", drawn: "int | None") -> int:
    """Return the fall between the two levels: the drawn one, else the one found, never inward.

    Units:   nanometres, above zero toward the weather side.
    Source:  common practice, no source: level along is not slope across.
    Example: fall_kept([5, 4], [2, 3], None) -> 2; fall_kept([1], [3], None) -> 0
    """
    if drawn is not None:
        return max(0, drawn)
    return max(0, max(room) - max(weather))


def high_level(lines: "list[Line]") -> int:
    """Return the leading line's lowest level that no line stands above: the high point's.

    Example: high_level([Line([0, 3]), Line([1, 2], 2)]) -> 4
    """
    return max([max(line.lifted()) for line in lines])


def grinding_level(lines: "list[Line]", reach: int, most: "int | None") -> "int | None":
    """Return the leading line's level that leaves the fewest stations to work on.

    reach: how far from the level a station may stand and still be left as it is.
    most:  the level may not be higher (room under the head); None: the high point.
    Of equal levels the highest is taken, which grinds least. None where even the
    lowest station stands above `most`: then there is nothing to pack to.
    Source: common practice, no source.
    Example: grinding_level([Line([0, 0, 5, 0])], 0, None) -> 0
    """
    counts = _counted_heights(lines)
    heights: list[int] = sort_by(list(counts), lambda h: h)
    cap = heights[-1] if most is None else min(most, heights[-1])
    if cap < heights[0]:
        return None
    best: tuple[int, int] = (0, cap)
    first = past = within = 0  # within: stations at the heights from first to past
    for level in [h for h in heights if h <= cap] + [cap]:
        while past < len(heights) and heights[past] <= level + reach:
            within += counts[heights[past]]
            past += 1
        while heights[first] < level - reach:
            within -= counts[heights[first]]
            first += 1
        best = max(best, (within, level))
    return best[1]


def _counted_heights(lines: "list[Line]") -> "dict[int, int]":
    """Return how many stations stand at each height, the lines on one level."""
    counts: dict[int, int] = {}
    for line in lines:
        for height in line.lifted():
            counts[height] = counts.get(height, 0) + 1
    return counts


def work_line(line: Line, level: int, ladder: Ladder, rounding: str) -> Work:
    """Return pack and grind at each station of a line, for the leading line's level.

    Stations above the level are ground down to it, except by less than the rounding
    leaves anyway; stations below are packed from the ladder.
    Example: work_line(Line([0, 3]), 2, Ladder([], 0, 2), NEAREST).grinds -> [0, 1]
    """
    mine = level - line.drop
    known: dict[int, tuple[int | None, int]] = {}  # many stations stand alike
    for height in line.heights:
        if height not in known:
            known[height] = _station_work(height - mine, ladder, rounding)
    packs = [known[height][0] for height in line.heights]
    return Work(mine, packs, [known[height][1] for height in line.heights])


def _station_work(high: int, ladder: Ladder, rounding: str) -> "tuple[int | None, int]":
    """Return pack and grind of a station that stands `high` over the level."""
    pack = 0 if high >= 0 else ladder.make(-high, rounding)
    return pack, 0 if _is_left(high, ladder.step, rounding) else high


def _is_left(high: int, step: int, rounding: str) -> bool:
    """Return whether a station that stands `high` over the level is not ground."""
    if rounding == UP:
        return high <= 0 or high < step
    if rounding == DOWN:
        return high <= 0
    return high <= 0 or 2 * high <= step


def fill_volume(xs: "list[int]", depths: "list[int]", width: int) -> "tuple[int, int]":
    """Return the volume of compound under a line as (numerator, denominator), cubic nanometres.

    Units:   positions, depths and width in nanometres; 1 litre is 10**24 cubic nanometres.
    Source:  trapezoid rule, V = width * sum dx (d_i + d_i+1) / 2.
    Example: fill_volume([0, 10], [0, 2], 3) -> (60, 2)
    """
    twice = 0
    for i in range(1, len(xs)):
        twice += (xs[i] - xs[i - 1]) * (depths[i - 1] + depths[i])
    return twice * width, 2
