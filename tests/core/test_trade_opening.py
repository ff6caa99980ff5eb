"""Fit of a frame between jambs that are measured from plumb lines.

Sources stand beside the rows. All are exact: no tolerance.
"""

from app.core.trade.opening import (
    best_position,
    between_lines,
    burned_length,
    even_position,
    height_left,
    left_gaps,
    middle_one,
    right_gaps,
    usable_width,
)
from tests.core.golden import checks

INCH = 25400000
SIXTEENTH = INCH // 16
BY_HAND = "least of right jamb less left jamb, worked by hand"
# widths low, middle, high: 144 1/4, 144 3/8, 144 1/2
WIDTHS = (144 * INCH + 4 * SIXTEENTH, 144 * INCH + 6 * SIXTEENTH, 144 * INCH + 8 * SIXTEENTH)


def jambs(lean):
    """Return (distance, left, right) of the three widths, the top of the left jamb `lean` over.

    lean: how far the top of the left jamb stands to the right of its foot; the left line hangs
    2 in off the foot, the right one 2 in off the foot of the right jamb.
    """
    left = [2 * INCH, 2 * INCH - lean // 2, 2 * INCH - lean]
    distance = WIDTHS[0] - 4 * INCH
    right = [width - distance - offset for width, offset in zip(WIDTHS, left)]
    return distance, left, right


def test_left_jamb_leaning_right_costs_the_lean():
    due, ours = 144 * INCH + SIXTEENTH, usable_width(*jambs(3 * SIXTEENTH))
    checks("fit", "usable width, jamb leaning in", due, ours, BY_HAND, "computed", 0, "nm")


def test_left_jamb_leaning_left_keeps_the_least_tape_width():
    due, ours = 144 * INCH + 4 * SIXTEENTH, usable_width(*jambs(-3 * SIXTEENTH))
    checks("fit", "usable width, jamb leaning out", due, ours, BY_HAND, "computed", 0, "nm")


def test_frame_between_plumb_jambs_has_alike_gaps():
    # least width 144 1/4, frame 143 1/2: 3/4 in all, 3/8 a side
    frame = 143 * INCH + 8 * SIXTEENTH
    left, right = [0, 0, 0], [width - WIDTHS[0] for width in WIDTHS]
    x = even_position(WIDTHS[0], left, right, frame)
    ours = min(left_gaps(left, x))
    checks("fit", "least gap a side", 6 * SIXTEENTH, ours, BY_HAND, "computed", 0, "nm")
    assert min(right_gaps(WIDTHS[0], right, frame, x)) == 6 * SIXTEENTH


def test_gaps_and_frame_make_the_width_at_every_height():
    distance, left, right = jambs(3 * SIXTEENTH)
    frame = 143 * INCH + 3
    x = even_position(distance, left, right, frame)
    both = zip(left_gaps(left, x), right_gaps(distance, right, frame, x))
    assert [a + b + frame for a, b in both] == list(WIDTHS)


def test_position_is_moved_off_even_only_to_keep_every_gap_in_limits():
    # the even position leaves 4 and 8 on the left, 4 on the right: 8 is more than 7
    assert left_gaps([2, 6], even_position(100, [2, 6], [3, 3], 97)) == [4, 8]
    x = best_position(100, [2, 6], [3, 3], 97, 1, 7)
    assert left_gaps([2, 6], x) == [3, 7]
    assert right_gaps(100, [3, 3], 97, x) == [5, 5]


def test_position_is_even_where_nothing_keeps_the_limits():
    assert best_position(100, [0, 0], [0, 0], 98, 5, 9) == even_position(100, [0], [0], 98)


def test_distance_between_the_lines_comes_from_one_height():
    assert between_lines(100, 10, 12) == 78


def test_middle_one_of_three_and_of_two():
    assert middle_one([5, 1, 3]) == 3
    assert middle_one([4, 2]) == 2


def test_a_burned_inch_and_foot_are_recognised():
    assert burned_length(INCH + SIXTEENTH, SIXTEENTH) == INCH
    assert burned_length(-12 * INCH, SIXTEENTH) == 12 * INCH
    assert burned_length(INCH + SIXTEENTH + 1, SIXTEENTH) == 0
    assert burned_length(0, SIXTEENTH) == 0


def test_height_left_over_the_frame():
    # 97 in of opening, 96 in of frame, 3/8 in under it: 5/8 in; computed by hand
    assert height_left([97 * INCH], 96 * INCH, 6 * SIXTEENTH) == [10 * SIXTEENTH]
    assert height_left([96 * INCH], 96 * INCH, SIXTEENTH) == [-SIXTEENTH]
