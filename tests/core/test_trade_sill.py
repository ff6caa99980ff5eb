"""One line of level readings: arithmetic of the trade, golden rows with their sources.

"arithmetic" means worked by hand beside the row; it is checked against independent
programs in tests/properties/test_sill.py.
"""

from app.core.trade.sill import (
    FOOT,
    INCH,
    cross_falls,
    extent_of,
    height_at,
    highest_level,
    slope_between,
    stack_rooms,
    stations_missing,
    tie_shift,
    tied_heights,
    whole_misreads,
    worst_window,
)
from tests.core.golden import checks

SIXTEENTH = INCH // 16
MM = 1000000


def sixteenths(*counts):
    return [count * SIXTEENTH for count in counts]


def feet(count):
    return [i * FOOT for i in range(count)]


def test_slope_and_range_of_the_two_foot_survey():
    # arithmetic: 0.125 in over 24 in is 1/16 in per foot; range 4/16.
    xs = [i * 2 * FOOT for i in range(7)]
    heights = sixteenths(0, 1, 2, 4, 3, 2, 1)
    assert extent_of(heights) == (0, 3)
    slopes = [slope_between(xs, heights, i, i + 1) for i in range(6)]
    worst = max([abs(rise) for rise, _ in slopes])
    source = "arithmetic, worked by hand"
    checks("sill-local", "rise over 24 in", INCH // 8, worst, source, "computed", 0, "nm")
    ends = max(heights) - min(heights)
    checks("sill-range", "highest to lowest", INCH // 4, ends, source, "computed", 0, "nm")
    assert [run for _, run in slopes] == [2 * FOOT] * 6
    found = worst_window(xs, heights, FOOT)
    checks("sill-local", "within 1 ft", SIXTEENTH, found.size, source, "computed", 0, "nm")
    assert found.num == SIXTEENTH * found.den
    assert (found.left, found.right) == (4 * FOOT, 5 * FOOT)


def test_slope_conversions():
    # arithmetic: 1/8 in in 10 ft is 1.0417 mm/m, exactly 1/960; 1/4 in per ft is 1/48 (2.0833 %).
    rise, run = slope_between([0, 10 * FOOT], [0, INCH // 8], 0, 1)
    assert rise * 960 == run
    rise, run = slope_between([0, FOOT], [0, INCH // 4], 0, 1)
    assert rise * 48 == run


def test_steady_tilt_passes_every_foot_and_adds_up():
    # The trap of the trade: 1/16 in per foot is on the local limit everywhere and 5/16 over 5 ft.
    heights = sixteenths(0, 1, 2, 3, 4, 5)
    worst = worst_window(feet(6), heights, FOOT)
    assert worst.size == SIXTEENTH
    assert not worst.exceeds(SIXTEENTH)
    assert worst.exceeds(SIXTEENTH - 1)
    low, high = extent_of(heights)
    assert heights[high] - heights[low] > INCH // 4


def test_stations_closer_than_the_length_count_together():
    # arithmetic: stations at 0, 5, 9 in; 1/32 up each time is 1/16 between the outer two.
    xs = [0, 5 * INCH, 9 * INCH]
    heights = [0, INCH // 32, INCH // 16]
    found = worst_window(xs, heights, FOOT)
    assert (found.size, found.left, found.right) == (INCH // 16, 0, 9 * INCH)
    assert worst_window(xs, heights, 8 * INCH).size < INCH // 16


def test_a_stretch_may_end_between_stations():
    # arithmetic: 1/16 in 8 in, steadily, is 3/32 in 12 in though no two stations are 12 in apart.
    xs = [0, 8 * INCH, 16 * INCH]
    found = worst_window(xs, sixteenths(0, 1, 2), FOOT)
    assert found.size == 3 * INCH // 32
    assert found.exceeds(SIXTEENTH)
    # and one station alone in reach, the fall to the right: the sign says which end is high
    found = worst_window([0, 20 * INCH], [0, -INCH], 10 * INCH)
    assert found.num == -found.den * INCH // 2


def test_one_station_has_no_stretch():
    found = worst_window([5], [7], FOOT)
    assert (found.size, found.left, found.right) == (0, 5, 5)


def test_height_between_stations_and_beyond():
    assert height_at([0, 10], [0, 5], 4) == (20, 10)
    assert height_at([0, 10], [3, 5], -4) == (3, 1)
    assert height_at([0, 10], [3, 5], 40) == (5, 1)


def test_where_a_limit_is_not_proved():
    # counting: from 12 to 40 in are 28 in: two marks more leave 9 1/3 in, one would leave 14.
    assert stations_missing([0, 12, 40], 12, 0, 40) == [21, 30]
    assert stations_missing([0, 24], 12, 0, 30) == [12, 30]
    assert stations_missing([5], 12, 0, 10) == [0, 10]
    assert stations_missing([5], 12, 0, 10, 5) == []
    assert stations_missing([], 12, 0, 12) == [0, 12]
    assert stations_missing(feet(17), FOOT, 0, 16 * FOOT) == []


def test_cross_fall_at_common_stations_only():
    room = ([0, 10, 20], [5, 5, 5])
    weather = ([0, 15, 20], [3, 0, 6])
    found = cross_falls(room, weather)
    assert found == [(0, 0, 2), (2, 2, -1)]
    source = "room height less weather height, by hand"
    checks("sill-across", "falls", [2, -1], [fall for _, _, fall in found], source, "computed")


def test_burned_an_inch():
    heights = sixteenths(0, 1, 17, 1, 2)
    assert whole_misreads(heights, (INCH, FOOT), INCH // 8) == [(2, INCH)]
    # a foot low at the last station, an inch high at the first
    assert whole_misreads([INCH, 0, 1, 0, -FOOT], (INCH, FOOT), INCH // 8) == [
        (0, INCH),
        (4, -FOOT),
    ]


def test_a_real_step_is_not_asked_back():
    assert whole_misreads([0, 0, INCH, INCH], (INCH, FOOT), INCH // 8) == []
    assert whole_misreads([0, INCH], (INCH, FOOT), INCH // 8) == []
    assert whole_misreads(sixteenths(0, 12, 0), (INCH, FOOT), INCH // 8) == []


def test_second_set_up_is_tied_to_the_first():
    # arithmetic: the second line of sight lies 30 mm higher; heights read 30 mm less.
    shift, spread = tie_shift([(100 * MM, 70 * MM)])
    source = "change of height of instrument, by hand"
    checks("set-up-tie", "shift", 30 * MM, shift, source, "computed", 0, "nm")
    assert spread == 0
    assert tied_heights([70 * MM, 71 * MM], shift) == [100 * MM, 101 * MM]
    assert tie_shift([(10, 4), (12, 8)]) == (5, 2)


def test_room_under_the_head():
    # arithmetic: 96 1/2 - 1/4 packing - 1/8 pan - 3/16 bed = 95 15/16.
    line = (feet(3), [0, -INCH // 4, 0])
    rooms = stack_rooms(line, [(FOOT, 193 * INCH // 2)], 0, 5 * INCH // 16)
    due = 95 * INCH + 15 * INCH // 16
    source = "96 1/2 - 1/4 - 1/8 - 3/16, by hand"
    checks("height-stack", "room for the frame", due, rooms[0][1], source, "computed", 0, "nm")
    assert [x for x, _ in rooms] == [FOOT]
    assert highest_level(line, [(FOOT, 193 * INCH // 2)], 96 * INCH) == INCH // 4
    assert highest_level(line, [], 96 * INCH) is None
