"""Squareness and twist of a frame, an opening or a panel.

Seen from outside. The rising diagonal joins low left and high right, the falling one
low right and high left. Lengths are whole nanometres; a figure that need not be whole
is a pair (num, den) with den above zero. Nothing here is decided with a float.
"""

import math

from app.core.kinds import Sequence


def head_shift(rising: int, falling: int, widths: "Sequence[int]") -> "tuple[int, int]":
    """Return how far the head stands to the RIGHT of where it is square (below zero: left).

    widths:  measured widths; their mean is the width.
    Returns: (num, den) nanometres, exact for a parallelogram of these sides.
    Source:  rising^2 - falling^2 = 4 * width * shift (law of cosines, twice).
    Example: head_shift(60, 60, [36]) -> (0, 144) (alike diagonals: no shift)
    """
    count = len(widths)
    return count * (rising * rising - falling * falling), 4 * sum(widths)


def fits_sides(
    rising: int,
    falling: int,
    widths: "Sequence[int]",
    heights: "Sequence[int]",
    agree: int,
) -> bool:
    """Return whether the diagonals can belong to these sides: the parallelogram law.

    True where the root mean square of the diagonals differs from the one that
    follows from the mean width and the mean height by no more than `agree`.

    Source:  rising^2 + falling^2 = 2 * (width^2 + height^2); exact in squares.
    Example: fits_sides(60, 60, [36, 36], [48, 48], 0) -> True
    """
    w, h = len(widths), len(heights)
    scale = 2 * w * w * h * h
    read = (rising * rising + falling * falling) * w * w * h * h
    sides = 2 * (sum(widths) * sum(widths) * h * h + sum(heights) * sum(heights) * w * w)
    band = agree * agree * scale
    if read < sides:
        read, sides = sides, read
    rest = read - sides - band
    return rest <= 0 or rest * rest <= 4 * band * sides


def diagonal_of(widths: "Sequence[int]", heights: "Sequence[int]") -> int:
    """Return the diagonal of a rectangle of the mean width and height, rounded down.

    Source:  Pythagoras.
    Example: diagonal_of([36], [48]) -> 60
    """
    w, h = len(widths), len(heights)
    square = sum(widths) * sum(widths) * h * h + sum(heights) * sum(heights) * w * w
    return square_root_floor(square // (w * w * h * h))


def square_root_floor(number: int) -> int:
    """Return the whole part of the square root of a whole number (0 or more).

    Source:  Newton's method from above; it never leaves the whole numbers.
    Example: square_root_floor(8) -> 2
    """
    guess = 1
    while guess * guess <= number:
        guess *= 2
    while guess * guess > number:
        guess = (guess + number // guess) // 2
    return guess


def rack_over(num: int, den: int, heights: "Sequence[int]", over: int) -> "tuple[int, int]":
    """Return the size of a sideways shift num / den for each `over` of height.

    heights: measured heights; their mean is the height.
    Returns: (num, den), exact.
    Example: rack_over(-2, 1, [192], 96) -> (192, 192) (1 for each 96)
    """
    return abs(num) * over * len(heights), den * sum(heights)


def off_square(rising: int, falling: int, width: int, height: int) -> float:
    """Return the angle off square in degrees, for a picture only; above zero: head to the right.

    Source:  sin(theta) = (rising^2 - falling^2) / (4 * width * height).
    Example: off_square(173170, 172962, 144000, 96000) -> 0.0746
    """
    sine = (rising * rising - falling * falling) / (4 * width * height)
    return math.degrees(math.asin(max(-1.0, min(1.0, sine))))


def corner_off(a: int, b: int, c: int, d: int) -> int:
    """Return how far one corner is out of the plane of the other three.

    a, b, c, d: distances from one flat plane at the corners, in order around.
    Returns:    above zero where the a-c diagonal stands out; it is twice the gap
                between two strings from corner to corner where they cross.
    Source:     the strings cross at the middles (a + c) / 2 and (b + d) / 2.
    Example:    corner_off(0, 0, 4, 0) -> 4
    """
    return (a + c) - (b + d)


def corner_of_gap(gap: int) -> int:
    """Return how far one corner must move to close this gap between the strings.

    Source:  the string moves half as far at its middle as its end does.
    Example: corner_of_gap(3) -> 6
    """
    return 2 * gap
