"""F-numbers of a slab after ASTM E1155: for information only, never a verdict on a sill.

Readings every 12 in along a line. F-numbers are irrational, so these are floats; they
are shown to a tenth and decide nothing.
"""

import math

from app.core.errors import InputError
from app.core.kinds import Sequence
from app.core.quantity.messages import Msg
from app.core.quantity.units import INCH, decimal_text
from app.core.trade.finding import INFORMATION, Finding

FLAT = 4.57  # FF = 4.57 / (3 S + |mean|), inches; constants from memory
LEVEL = 12.5  # FL = 12.5 / (3 S + |mean|)
FAR = 10  # readings apart for FL: 10 ft


def height_curvatures(heights: "Sequence[float]") -> "list[float]":
    """Return h[i] - 2 h[i-1] + h[i-2] for every reading from the third on, in their unit.

    Source:  ASTM E1155 section 3 (seen). Example: height_curvatures([0, 1, 0]) -> [-2]
    """
    return [a - 2 * b + c for a, b, c in zip(heights, heights[1:], heights[2:])]


def height_differences(heights: "Sequence[float]") -> "list[float]":
    """Return h[i] - h[i-10]: what is 10 ft apart, in their unit.

    Example: height_differences(list(range(11))) -> [10]
    """
    return [b - a for a, b in zip(heights, heights[FAR:])]


def mean_and_spread(values: "Sequence[float]") -> "tuple[float, float]":
    """Return mean and standard deviation of a sample (n - 1).

    Errors:  InputError 'readings-few' for fewer than two.
    Example: mean_and_spread([1.0, 3.0]) -> (2.0, 1.41421356)
    """
    if len(values) < 2:
        raise InputError("readings-few", Msg("More readings are needed, 12 in apart."))
    mean = sum(values) / len(values)
    square = sum([(value - mean) * (value - mean) for value in values])
    return mean, math.sqrt(square / (len(values) - 1))


def f_number(values: "Sequence[float]", constant: float) -> "float | None":
    """Return constant / (3 S + |mean|) of values in inches; None where they are all zero.

    Errors:  InputError 'readings-few'.
    Example: f_number([0.05, -0.05, 0.10, -0.10, 0.00], FLAT) -> 19.269
    """
    mean, spread = mean_and_spread(values)
    below = 3 * spread + abs(mean)
    return constant / below if below else None


def flatness_number(heights: "Sequence[int]") -> "float | None":
    """Return FF of one line of readings in nanometres, 12 in apart; None if it is a plane.

    Validity: four readings or more. Errors: InputError 'readings-few'.
    Source:  ASTM E1155 (constants from memory).
    Example: flatness_number([0, INCH // 50, 0, INCH // 50]) -> 26.929
    """
    return f_number([value / INCH for value in height_curvatures(heights)], FLAT)


def levelness_number(heights: "Sequence[int]") -> "float | None":
    """Return FL of one line of readings in nanometres, 12 in apart; None if it is level.

    Validity: twelve readings or more. Errors: InputError 'readings-few'.
    Source:  ASTM E1155 (constants from memory).
    Example: levelness_number([0] * 10 + [INCH // 4, -INCH // 4]) -> 11.785
    """
    return f_number([value / INCH for value in height_differences(heights)], LEVEL)


def f_numbers_in_words(heights: "Sequence[int]") -> Finding:
    """Return FF, and FL where the line is long enough, in words: information, never a verdict.

    Errors:  InputError 'readings-few' for fewer than four readings.
    Example: f_numbers_in_words([0, 0, 0, 1]).verdict -> "information"
    """
    says = [Msg("FF {number} along this line.", number=_shown_number(flatness_number(heights)))]
    if len(heights) >= FAR + 2:
        says.append(
            Msg("FL {number} along this line.", number=_shown_number(levelness_number(heights)))
        )
    else:
        says.append(Msg("Too short for FL: it needs twelve readings, 12 in apart."))
    return Finding(INFORMATION, says, cautions=[exclusion_words()])


def exclusion_words() -> Msg:
    """Return why F-numbers judge no sill: ASTM E1155 5.3 and its edge strip (seen)."""
    return Msg(
        "For information on the slab only. The standard is not for floors that carry traffic on a "
        "fixed path, and leaves out a strip along every edge: a door's sill is both. The limits of "
        "the drawing judge the sill."
    )


def _shown_number(number: "float | None") -> object:
    if number is None or number > 1000:
        return Msg("over 1000")
    return decimal_text(math.floor(10 * number + 0.5), 1)
