"""Points along a straight member: bow off its chord, and change within a length.

Everything is exact. A figure that need not be whole is a pair (num, den), den
greater than zero; compare it with a limit as abs(num) <= limit * den.
"""

from app.core.kinds import Sequence


def bows_off_line(points: "Sequence[tuple[int, int]]") -> "tuple[list[int], int]":
    """Return how far each point is off the straight line from the first point to the last.

    points:  (position, value), nanometres, positions rising; two or more.
    Returns: ([num, …], den): num / den nanometres, above zero where the value is greater.
    Source:  the chord through two points (plane geometry).
    Example: bows_off_line([(0, 0), (10, 3), (20, 2)]) -> ([0, 40, 0], 20) (2 in the middle)
    """
    x0, v0 = points[0]
    span = points[-1][0] - x0
    rise = points[-1][1] - v0
    return [(v - v0) * span - rise * (x - x0) for x, v in points], span


def greatest_index(values: "Sequence[int]") -> int:
    """Return the index of the value farthest from zero, the first of several.

    Example: greatest_index([1, -3, 3]) -> 1
    """
    best = 0
    for index in range(1, len(values)):
        if abs(values[index]) > abs(values[best]):
            best = index
    return best


def too_far_apart(points: "Sequence[tuple[int, int]]", over: int) -> "list[int]":
    """Return the index of each point that is farther than `over` from the next one.

    Example: too_far_apart([(0, 0), (4, 0), (9, 0)], 4) -> [1]
    """
    return [i for i in range(len(points) - 1) if points[i + 1][0] - points[i][0] > over]


def worst_change(points: "Sequence[tuple[int, int]]", over: int) -> "tuple[int, int]":
    """Return the greatest change of the value within any length of `over` or less.

    Between two points the member is taken as straight, so the greatest change is
    found either between two points, or between a point and the spot exactly
    `over` away from it.

    points:  (position, value), nanometres, positions rising.
    Returns: (num, den), num not below zero.
    Source:  a piecewise linear function takes its greatest difference at a corner of
             the region |b - a| <= over.
    Example: worst_change([(0, 0), (30, 3), (60, 6)], 40) -> (120, 30) (4)
    """
    worst = (0, 1)
    for near in points:
        for far in points:
            if 0 < far[0] - near[0] <= over:
                worst = _greater_of(worst, (abs(far[1] - near[1]), 1))
        for reach in (near[0] - over, near[0] + over):
            worst = _greater_of(worst, _change_at(points, near[1], reach))
    return worst


def _greater_of(a: "tuple[int, int]", b: "tuple[int, int]") -> "tuple[int, int]":
    return b if b[0] * a[1] > a[0] * b[1] else a


def _change_at(points: "Sequence[tuple[int, int]]", value: int, x: int) -> "tuple[int, int]":
    """Return |value at x - value| on the line between the neighbours of x, or 0 outside."""
    for (x0, v0), (x1, v1) in zip(points, points[1:]):
        if x0 <= x <= x1:
            span = x1 - x0
            return abs((v0 - value) * span + (v1 - v0) * (x - x0)), span
    return 0, 1
