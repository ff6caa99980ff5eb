"""Bow and change within a length.

Expected values: computed independently on paper (plane geometry).
"""

from app.core.trade.line import bows_off_line, greatest_index, too_far_apart, worst_change
from tests.core.golden import checks

SIXTEENTH = 1587500
INCH = 25400000


def test_bow_is_measured_from_the_chord():
    # chord 0 -> 2 over 20: at 10 it stands at 1, the point at 3: 2 above it
    nums, den = bows_off_line([(0, 0), (10, 3), (20, 2)])
    source = "chord through two points, worked by hand"
    checks("head-sag", "bow, twentieths", [0, 40, 0], nums, source, "computed")
    assert den == 20


def test_bow_where_the_middle_is_not_half_way():
    # chord 0 -> 4 over 40: at 10 it stands at 1, the point at 0: 1 below it
    nums, den = bows_off_line([(0, 0), (10, 0), (40, 4)])
    assert nums[1] == -den


def test_a_straight_lean_has_no_bow():
    assert bows_off_line([(0, 5), (7, 12), (30, 35)])[0] == [0, 0, 0]


def test_greatest_is_the_first_of_the_farthest_from_zero():
    assert greatest_index([1, -3, 3]) == 1


def test_places_farther_apart_than_the_length_are_named():
    assert too_far_apart([(0, 0), (4, 0), (9, 0)], 4) == [1]
    assert too_far_apart([(0, 0), (4, 0), (8, 0)], 4) == []


def test_change_between_two_places():
    num, den = worst_change([(0, 0), (48 * INCH, SIXTEENTH), (96 * INCH, 0)], 48 * INCH)
    assert num == SIXTEENTH * den


def test_change_is_found_between_places_that_do_not_span_the_length():
    # 3 in each 30: no two places span 40, the line over 40 changes by 4
    num, den = worst_change([(0, 0), (30, 3), (60, 6)], 40)
    assert num == 4 * den


def test_change_of_a_flat_member_is_none():
    assert worst_change([(0, 7), (30, 7)], 40)[0] == 0
