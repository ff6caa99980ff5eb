"""How straight a line of readings is, whatever its tilt: trend, narrowest zone, straightedge.

Whole numbers in; lines and gaps come out as ratios of whole numbers, exact. A
line is (base, rise, run): its height at x is (base + rise * x) / run, run above zero.
Positions ascend strictly; of two readings at one position give one.
"""

from app.core.kinds import Any


def least_squares(xs: "list[int]", ys: "list[int]") -> "tuple[int, int, int]":
    """Return the least-squares line (base, rise, run): for showing a trend.

    Errors:  none; a single position gives a level line through the mean.
    Source:  normal equations, b = (n Sxy - Sx Sy) / (n Sxx - Sx^2).
    Example: least_squares([0, 1, 2], [0, 0, 3]) -> (-9, 27, 18) (1.5 x - 0.5)
    """
    n = len(xs)
    sx = sum(xs)
    sy = sum(ys)
    run = n * sum([x * x for x in xs]) - sx * sx
    if run == 0:
        return sy, 0, n
    rise = n * sum([x * y for x, y in zip(xs, ys)]) - sx * sy
    return (sy * run - rise * sx), rise * n, run * n


def height_above_line(line: "tuple[int, int, int]", x: int, y: int) -> "tuple[int, int]":
    """Return how far y stands above the line at x, as (numerator, denominator).

    Example: height_above_line((0, 1, 2), 4, 5) -> (6, 2)
    """
    base, rise, run = line
    return y * run - base - rise * x, run


def upper_hull(xs: "list[int]", ys: "list[int]", start: int, stop: int) -> "list[int]":
    """Return the stations that a taut string laid on top of stations start … stop - 1 touches.

    Source:  upper convex hull, monotone chain; points on an edge are left out.
    Example: upper_hull([0, 1, 2], [0, -1, 0], 0, 3) -> [0, 2]
    """
    hull: list[int] = []
    for i in range(start, stop):
        x = xs[i]
        y = ys[i]
        while len(hull) > 1:
            a = hull[-2]
            b = hull[-1]
            if (ys[b] - ys[a]) * (x - xs[a]) > (y - ys[a]) * (xs[b] - xs[a]):
                break
            hull.pop()
        hull.append(i)
    return hull


def narrowest_zone(
    xs: "list[int]", ys: "list[int]"
) -> "tuple[tuple[int, int, int], tuple[int, int]]":
    """Return the minimax line and the width of the zone around it, exactly.

    The greatest distance from the line is half the width. Up and down, not square to
    the line: on a sill the two differ by less than the slope squared.
    Source:  straightness as a minimum zone (the idea of ISO 12780-1, from memory);
             the width is the greatest upright chord of the convex hull, which stands at
             one of its corners (linear programming duality).
    Example: narrowest_zone([0, 1, 2], [0, 0, 3])[1] -> (3, 2) (the line is 1.5 x - 0.75)
    """
    below = [-y for y in ys]
    over = upper_hull(xs, ys, 0, len(xs))
    under = upper_hull(xs, below, 0, len(xs))
    top = _longest_chord(xs, ys, under, over)
    bottom = _longest_chord(xs, below, over, under)
    if top[0] * bottom[1] >= bottom[0] * top[1]:
        return _middle_line(xs, ys, top), (top[0], top[1])
    base, rise, run = _middle_line(xs, below, bottom)
    return (-base, -rise, run), (bottom[0], bottom[1])


def _longest_chord(
    xs: "list[int]", ys: "list[int]", edges: "list[int]", corners: "list[int]"
) -> Any:
    """Return the longest upright from an edge below to a corner above it.

    As (numerator, denominator, edge's start, edge's end).
    """
    best = (0, 1, edges[0], edges[-1])
    k = 1
    for corner in corners[1:-1]:
        while xs[edges[k]] < xs[corner]:
            k += 1
        a = edges[k - 1]
        b = edges[k]
        run = xs[b] - xs[a]
        num = (ys[corner] - ys[a]) * run - (ys[b] - ys[a]) * (xs[corner] - xs[a])
        if num * best[1] > best[0] * run:
            best = (num, run, a, b)
    return best


def _middle_line(xs: "list[int]", ys: "list[int]", chord: Any) -> "tuple[int, int, int]":
    """Return the line along a chord's edge, raised by half the chord."""
    a = chord[2]
    b = chord[3]
    run = xs[b] - xs[a]
    if run == 0:
        return ys[a], 0, 1
    rise = ys[b] - ys[a]
    # the chord is chord[0] / run, or nothing
    return 2 * (ys[a] * run - rise * xs[a]) + chord[0], 2 * rise, 2 * run


def straightedge_gap(
    xs: "list[int]", ys: "list[int]", length: int
) -> "tuple[tuple[int, int], int, int, int]":
    """Return the greatest gap under a straightedge laid anywhere along the line.

    As ((numerator, denominator), station of the gap, and the two stations it rests on).
    A straightedge rests on two high points, so it is blind to tilt. It rests on
    stations, never farther apart than its length.
    Source:  upper convex hull of every window of stations; a wider window never has a
             smaller gap, so only windows that cannot grow are looked at.
    Example: straightedge_gap([0, 1, 2], [0, -1, 0], 2) -> ((2, 2), 1, 0, 2)
    """
    # Counted in the greatest steps that all fit: small numbers are quick in MicroPython.
    across, up = step_of(xs), step_of(ys)
    near = [(x - xs[0]) // across for x in xs]
    high = [(y - ys[0]) // up for y in ys]
    (num, den), where, a, b = _under_edges(near, high, length // across)
    return (num * up, den), where, a, b


def step_of(values: "list[int]") -> int:
    """Return the greatest length that all distances between values are a multiple of; 1 for none.

    Source:  Euclid's algorithm.
    Example: step_of([5, 11, 20]) -> 3
    """
    step = 0
    for value in values:
        a, b = step, abs(value - values[0])
        while b:
            a, b = b, a % b
        step = a
    return step or 1


def _under_edges(xs: "list[int]", ys: "list[int]", length: int) -> Any:
    worst: Any = ((0, 1), 0, 0, 0)
    seen: set[tuple[int, int]] = set()
    stop = 0
    for start in range(len(xs)):
        reached = stop
        while stop < len(xs) and xs[stop] - xs[start] <= length:
            stop += 1
        if stop > reached:
            hull = upper_hull(xs, ys, start, stop)
            # neighbouring windows share most edges; each is looked under once
            for edge in [edge for edge in zip(hull, hull[1:]) if edge not in seen]:
                seen.add(edge)
                worst = _worst_under(xs, ys, edge[0], edge[1], worst)
    return worst


def _worst_under(xs: "list[int]", ys: "list[int]", a: int, b: int, worst: Any) -> Any:
    run = xs[b] - xs[a]
    rise = ys[b] - ys[a]
    deep = 0
    where = a
    for i in range(a + 1, b):
        gap = rise * (xs[i] - xs[a]) - (ys[i] - ys[a]) * run
        if gap > deep:
            deep = gap
            where = i
    if deep * worst[0][1] > worst[0][0] * run:
        return ((deep, run), where, a, b)
    return worst
