"""The fit of a frame in an opening whose jambs are measured from plumb lines.

Seen from outside. Each jamb is known by its distances from a plumb line that hangs
inside the opening: bigger is farther from the middle. A position of the frame is the
distance of its left edge to the right of the LEFT plumb line (as a rule it is below
zero: the frame then reaches past the line toward the left jamb). All lengths are whole nanometres.
"""

from app.core.kinds import Sequence
from app.core.quantity.units import FOOT, INCH


def between_lines(width: int, left: int, right: int) -> int:
    """Return the distance between the two plumb lines from what one height shows.

    Source:  width = left offset + distance between the lines + right offset.
    Example: between_lines(100, 10, 12) -> 78
    """
    return width - left - right


def middle_one(values: "Sequence[int]") -> int:
    """Return the middle one by size; of an even number the lower of the two in the middle.

    Example: middle_one([5, 1, 3]) -> 3
    """
    return sorted(values)[(len(values) - 1) // 2]


def burned_length(off: int, agree: int) -> int:
    """Return INCH or FOOT if a reading is off by almost exactly that, else 0.

    An inch or a foot is lost when a tape is held at its 1 in or 1 ft mark.

    Example: burned_length(25400000, 1587500) -> 25400000
    """
    for unit in (INCH, FOOT):
        if abs(abs(off) - unit) <= agree:
            return unit
    return 0


def usable_width(distance: int, left: "Sequence[int]", right: "Sequence[int]") -> int:
    """Return the width of the widest plumb frame that goes between the jambs.

    The place where the left jamb stands in most and the one where the right jamb does
    count, at whatever heights: jambs that lean the same way cost the lean, though every
    tape width is full.

    distance: between the two plumb lines. left, right: offsets at every height.
    Source:   least over all pairs of heights of (right jamb - left jamb).
    Example:  usable_width(100, [4, 2], [3, 5]) -> 105
    """
    return distance + min(left) + min(right)


def even_position(distance: int, left: "Sequence[int]", right: "Sequence[int]", frame: int) -> int:
    """Return the position where the least gap is as great as it can be on both sides.

    An odd nanometre goes to the right side.

    Example: even_position(100, [4, 2], [3, 5], 101) -> 0 (least gaps 2 and 2)
    """
    return (usable_width(distance, left, right) - frame) // 2 - min(left)


def best_position(
    distance: int,
    left: "Sequence[int]",
    right: "Sequence[int]",
    frame: int,
    least: int,
    most: int,
) -> int:
    """Return where to set the frame: most even, moved only so far that every gap is in limits.

    Where no position brings every gap between least and most it is the even one.

    Source:  every gap lies within its limits exactly where all four bounds do (exact).
    Example: best_position(100, [2, 6], [3, 3], 99, 1, 7) -> 1 (gaps 3 to 7 left, 3 right)
    """
    rest = distance - frame
    low = max(least - min(left), rest + max(right) - most)
    high = min(most - max(left), rest + min(right) - least)
    even = even_position(distance, left, right, frame)
    if low > high:
        return even
    return min(max(even, low), high)


def left_gaps(left: "Sequence[int]", position: int) -> "list[int]":
    """Return the gap between the left jamb and the frame at every height; it is the shim there.

    Example: left_gaps([2, 6], 1) -> [3, 7]
    """
    return [position + offset for offset in left]


def right_gaps(distance: int, right: "Sequence[int]", frame: int, position: int) -> "list[int]":
    """Return the gap between the frame and the right jamb at every height.

    Example: right_gaps(100, [3, 5], 99, 1) -> [3, 5]
    """
    return [distance + offset - position - frame for offset in right]


def height_left(heights: "Sequence[int]", frame_height: int, stack: int) -> "list[int]":
    """Return what is left over the frame at each measured height of the opening.

    stack:   everything under the frame: packing, pan, bed.
    Returns: below zero where the frame is too high by that much.
    Source:  opening height = stack + frame + gap over it.
    Example: height_left([100, 99], 96, 2) -> [2, 1]
    """
    return [height - frame_height - stack for height in heights]
