"""One line of level readings along a sill: range, local slope, coverage, blunders, ties.

Heights are whole nanometres above one level line, positions whole nanometres
from the left end of the frame, ascending. Between two stations the floor is
taken as straight. A figure that is not whole is a pair (numerator, denominator)
and is compared by cross-multiplying, so that a reading exactly on a limit is on it.
"""

from app.core.order import sort_by
from app.core.quantity.units import half_up

INCH = 25400000
FOOT = 12 * INCH


class Window:
    """The worst stretch of a line: rise is num / den nanometres between left and right.

    left and right are positions; num is above zero where the right one is higher.
    """

    def __init__(self, left: int, right: int, num: int, den: int) -> None:
        self.left = left
        self.right = right
        self.num = num
        self.den = den

    @property
    def size(self) -> int:
        """Return the difference in height, nanometres, half up."""
        return half_up(abs(self.num), self.den)

    def exceeds(self, limit: int) -> bool:
        """Return whether the difference is greater than the limit, exactly."""
        return abs(self.num) > limit * self.den

    def worse_than(self, other: "Window") -> bool:
        """Return whether this stretch has the greater difference, exactly."""
        return abs(self.num) * other.den > abs(other.num) * self.den


def extent_of(heights: "list[int]") -> "tuple[int, int]":
    """Return the indexes of the lowest and of the highest station (the first of equals).

    Units:   nanometres; at least one station.
    Source:  range R = max h - min h, arithmetic.
    Example: extent_of([0, 3, -1, 3]) -> (2, 1)
    """
    low = high = 0
    for i, height in enumerate(heights):
        if height < heights[low]:
            low = i
        if height > heights[high]:
            high = i
    return low, high


def slope_between(xs: "list[int]", heights: "list[int]", i: int, j: int) -> "tuple[int, int]":
    """Return rise and run from station i to station j, whole nanometres.

    Validity: the run is above zero for i < j; slopes compare as rise * other run.
    Source:   s = (h_j - h_i) / (x_j - x_i).
    Example:  slope_between([0, 24], [0, 2], 0, 1) -> (2, 24)
    """
    return heights[j] - heights[i], xs[j] - xs[i]


def height_at(xs: "list[int]", heights: "list[int]", x: int) -> "tuple[int, int]":
    """Return the height of the line at x as (numerator, denominator).

    Validity: straight between stations; beyond the ends the end station's height.
    Source:   linear interpolation.
    Example:  height_at([0, 10], [0, 5], 4) -> (20, 10)
    """
    if x <= xs[0]:
        return heights[0], 1
    for i in range(1, len(xs)):
        if x <= xs[i]:
            return _height_between(xs, heights, i, x)
    return heights[-1], 1


def _height_between(xs: "list[int]", heights: "list[int]", i: int, x: int) -> "tuple[int, int]":
    """Return the height at x between stations i - 1 and i, as (numerator, denominator)."""
    run = xs[i] - xs[i - 1]
    return heights[i - 1] * run + (heights[i] - heights[i - 1]) * (x - xs[i - 1]), run


def worst_window(xs: "list[int]", heights: "list[int]", over: int) -> Window:
    """Return the greatest difference in height of any two points at most `over` apart.

    Units:   nanometres; at least one station, positions ascending.
    Source:  on a line that is straight between stations one of the two points of the
             greatest difference is a station; the other is a station too, or exactly
             `over` away from it. Both are tried.
    Example: worst_window([0, 12, 24], [0, 1, 2], 12).size -> 1
    """
    worst = Window(xs[0], xs[0], 0, 1)
    for i in range(len(xs)):
        worst = _worse_window(worst, _worst_among(xs, heights, i, over))
        worst = _worse_window(worst, _window_ahead(xs, heights, i, over))
        worst = _worse_window(worst, _window_behind(xs, heights, i, over))
    return worst


def _worse_window(one: Window, other: "Window | None") -> Window:
    return other if other is not None and other.worse_than(one) else one


def _worst_among(xs: "list[int]", heights: "list[int]", i: int, over: int) -> "Window | None":
    """Return the worst pair of station i and a later one within reach."""
    end = xs[i] + over
    here = heights[i]
    best = 0
    best_at = i
    for j in range(i + 1, len(xs)):
        if xs[j] > end:
            break
        rise = heights[j] - here
        if abs(rise) > abs(best):
            best = rise
            best_at = j
    return Window(xs[i], xs[best_at], best, 1) if best else None


def _window_ahead(xs: "list[int]", heights: "list[int]", i: int, over: int) -> "Window | None":
    """Return station i and the point `over` to its right, where the line reaches so far."""
    end = xs[i] + over
    j = i + 1
    while j < len(xs) and xs[j] <= end:
        j += 1
    if j == len(xs):
        return None
    num, den = _height_between(xs, heights, j, end)
    return Window(xs[i], end, num - heights[i] * den, den)


def _window_behind(xs: "list[int]", heights: "list[int]", i: int, over: int) -> "Window | None":
    """Return the point `over` to the left of station i, and the station."""
    end = xs[i] - over
    j = i - 1
    while j >= 0 and xs[j] >= end:
        j -= 1
    if j < 0:
        return None
    num, den = _height_between(xs, heights, j + 1, end)
    return Window(end, xs[i], heights[i] * den - num, den)


def stations_missing(
    xs: "list[int]", spacing: int, left: int, right: int, end: int = 0
) -> "list[int]":
    """Return where to measure so that no gap is wider than `spacing` and both ends are reached.

    Units:   nanometres; left and right are the ends of the sill, `end` how near to
             one a station must stand to count as reaching it.
    Source:  a limit over a length is not proved by stations farther apart than it.
    Example: stations_missing([0, 24], 12, 0, 30) -> [12, 30]
    """
    marks = list(xs)
    wanted = []
    if not marks or marks[0] > left + end:
        wanted.append(left)
        marks.insert(0, left)
    if marks[-1] < right - end:
        wanted.append(right)
        marks.append(right)
    for i in range(1, len(marks)):
        wanted.extend(_even_marks(marks[i - 1], marks[i], spacing))
    return sort_by(wanted, lambda x: x)


def _even_marks(start: int, stop: int, spacing: int) -> "list[int]":
    """Return the fewest even marks between two stations that leave no gap over `spacing`."""
    parts = max(1, -(-(stop - start) // spacing))
    return [start + (stop - start) * k // parts for k in range(1, parts)]


def cross_falls(
    room: "tuple[list[int], list[int]]", weather: "tuple[list[int], list[int]]"
) -> "list[tuple[int, int, int]]":
    """Return (room station, weather station, fall) wherever both lines have the same position.

    Units:   each line is (positions, heights) from one set-up; the fall is room height
             less weather height: above zero the sill drains to the weather side.
    Example: cross_falls(([0], [5]), ([0], [2])) -> [(0, 0, 3)]
    """
    at = {x: j for j, x in enumerate(weather[0])}
    out = []
    for i, x in enumerate(room[0]):
        if x in at:
            out.append((i, at[x], room[1][i] - weather[1][at[x]]))
    return out


def whole_misreads(
    heights: "list[int]", wholes: "tuple[int, ...]", slack: int
) -> "list[tuple[int, int]]":
    """Return (station, whole) for readings almost exactly one whole off their neighbours.

    wholes: what is misread in one piece, such as INCH and FOOT ("burned an inch").
    slack:  how far from the whole it may be. A step that stays is not a misreading:
            the neighbours on both sides must agree; an end has one neighbour, which
            must agree with its own.
    Example: whole_misreads([0, INCH, 0], (INCH,), 0) -> [(1, INCH)]
    """
    out = []
    for i in range(len(heights)):
        whole = _whole_jump(heights, i, wholes, slack)
        if whole:
            out.append((i, whole))
    return out


def _whole_jump(heights: "list[int]", i: int, wholes: "tuple[int, ...]", slack: int) -> int:
    last = len(heights) - 1
    if last < 2:
        return 0
    sides = [i - 1, i + 1]
    if i in (0, last):
        sides = [1, 2] if i == 0 else [last - 1, last - 2]
    jumps = [_nearest_whole(heights[i] - heights[j], wholes, slack) for j in sides]
    return jumps[0] if jumps[0] == jumps[1] else 0


def _nearest_whole(rise: int, wholes: "tuple[int, ...]", slack: int) -> int:
    for whole in wholes:
        if abs(abs(rise) - whole) <= slack:
            return whole if rise > 0 else -whole
    return 0


def tie_shift(pairs: "list[tuple[int, int]]") -> "tuple[int, int]":
    """Return what to add to a second set-up's heights, and how far its tie points disagree.

    pairs:   (height in the first set-up, height in the second) at each common station;
             at least one. With one the disagreement is unknown and given as 0.
    Units:   nanometres; the shift is the mean difference, half up.
    Source:  change of height of instrument in levelling, arithmetic.
    Example: tie_shift([(10, 4), (12, 8)]) -> (5, 2)
    """
    shifts = [first - second for first, second in pairs]
    return half_up(sum(shifts), len(shifts)), max(shifts) - min(shifts)


def tied_heights(heights: "list[int]", shift: int) -> "list[int]":
    """Return a second set-up's heights over the first one's level line.

    Example: tied_heights([1, 2], 5) -> [6, 7]
    """
    return [height + shift for height in heights]


def stack_rooms(
    line: "tuple[list[int], list[int]]",
    openings: "list[tuple[int, int]]",
    level: int,
    taken: int,
) -> "list[tuple[int, int]]":
    """Return (position, frame height room) at each place where the opening's height was measured.

    room = opening height - packing there - what else the frame stands on (`taken`: pan,
    bed), with packing there = level - height of the sill line there, rounded against us
    by less than a nanometre.

    line:     (positions, heights) of the surveyed line.
    openings: (position, clear height from the unpacked sill to the head).
    level:    height of the level that the packed sill is brought to.
    Example:  stack_rooms(([0], [0]), [(0, 100)], 3, 2) -> [(0, 95)]
    """
    out = []
    for x, clear in openings:
        num, den = height_at(line[0], line[1], x)
        out.append((x, clear + num // den - level - taken))
    return out


def highest_level(
    line: "tuple[list[int], list[int]]", openings: "list[tuple[int, int]]", needed: int
) -> "int | None":
    """Return the highest level for the packed sill that leaves `needed` under the head.

    needed: frame height, gap over the frame, pan and bed together, nanometres.
    None without any opening height.
    Example: highest_level(([0], [0]), [(0, 100)], 95) -> 5
    """
    rooms = stack_rooms(line, openings, 0, needed)
    return min([room for _, room in rooms]) if rooms else None
