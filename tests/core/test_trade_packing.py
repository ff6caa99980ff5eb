"""Packing, grinding and filling: worked by hand, and by counting out."""

from app.core.trade.packing import (
    DOWN,
    NEAREST,
    UP,
    Ladder,
    Line,
    fall_kept,
    fill_volume,
    grinding_level,
    high_level,
    work_line,
)
from app.core.trade.sill import FOOT, INCH
from tests.core.expect import refused
from tests.core.golden import checks

BOX = [INCH // 16, INCH // 8, INCH // 4]
MM = 1000000


def test_fewest_pieces():
    # counted out: 7/16 = 1/4 + 1/8 + 1/16; 1/2 = 1/4 + 1/4, not four eighths.
    ladder = Ladder(BOX, 4, INCH)
    assert ladder.make(7 * INCH // 16, NEAREST) == 7 * INCH // 16
    assert ladder.pieces(7 * INCH // 16) == (INCH // 4, INCH // 8, INCH // 16)
    assert ladder.pieces(INCH // 2) == (INCH // 4, INCH // 4)
    assert ladder.pieces(INCH) == (INCH // 4,) * 4
    assert ladder.pieces(0) == ()


def test_greedy_would_take_a_piece_too_many():
    # 6 from 1, 3 and 4: 4 + 1 + 1 by the thickest first, 3 + 3 by the fewest.
    assert Ladder([1, 3, 4], 3, 6).pieces(6) == (3, 3)
    # of two pairs the one with the thickest piece, whatever the order of the box
    assert Ladder([1, 3, 5], 3, 6).pieces(6) == Ladder([5, 3, 1], 3, 6).pieces(6) == (5, 1)


def test_never_more_pieces_than_allowed():
    ladder = Ladder(BOX, 2, INCH)
    assert ladder.make(INCH // 2, NEAREST) == INCH // 2
    assert ladder.make(7 * INCH // 16, NEAREST) is None
    assert ladder.make(INCH, NEAREST) is None


def test_rounding_to_the_smallest_shim():
    ladder = Ladder([2, 4], 9, 30)
    assert ladder.make(5, NEAREST) == 6  # a half goes up
    assert [ladder.make(depth, UP) for depth in (0, 1, 2, 3)] == [0, 2, 2, 4]
    assert [ladder.make(depth, DOWN) for depth in (0, 1, 2, 3)] == [0, 0, 2, 2]
    fine = Ladder([2, 3], 9, 30)
    assert [fine.make(depth, NEAREST) for depth in (1, 2, 3, 4, 7)] == [2, 2, 3, 4, 7]


def test_without_a_box_nothing_is_rounded():
    ladder = Ladder([], 0, 100)
    assert [ladder.make(depth, way) for way in (NEAREST, UP, DOWN) for depth in (7,)] == [7, 7, 7]
    assert ladder.pieces(7) == (7,)


def test_a_shim_has_a_thickness():
    refused("shim-size", Ladder, [INCH, 0], 4, INCH)
    refused("shim-size", Ladder, [-INCH], 4, INCH)


def test_pack_to_the_high_point():
    # The trade's rule for shims under a level frame: shim = level at the highest point - height.
    heights = [count * INCH // 16 for count in (0, 1, 2, 4, 3, 2, 1)]
    line = Line(heights)
    work = work_line(line, high_level([line]), Ladder(BOX, 4, INCH), NEAREST)
    due = [count * INCH // 16 for count in (4, 3, 2, 0, 1, 2, 3)]
    source = "shim = level at the high point less height: rule of the trade"
    checks("sill-packing", "packs", due, work.packs, source, "common practice", 0, "nm")
    assert work.grinds == [0] * 7
    assert (work.places, work.thickest, work.deepest) == (6, INCH // 4, 0)
    assert work.after(heights) == [INCH // 4] * 7


def test_one_hump_is_ground_rather_than_all_else_packed():
    heights = [0, 0, 0, INCH // 8, 0, -INCH // 16]
    level = grinding_level([Line(heights)], INCH // 32, None)
    assert level == 0
    work = work_line(Line(heights), level, Ladder(BOX, 4, INCH), NEAREST)
    assert work.grinds == [0, 0, 0, INCH // 8, 0, 0]
    assert work.packs == [0, 0, 0, 0, 0, INCH // 16]


def test_grinding_level_under_a_ceiling():
    assert grinding_level([Line([0, 4, 8])], 0, None) == 8
    assert grinding_level([Line([0, 4, 8])], 0, 5) == 4
    assert grinding_level([Line([0, 4, 8])], 0, 0) == 0
    assert grinding_level([Line([0, 4, 8])], 0, -1) is None
    assert grinding_level([Line([0, 0]), Line([-9, -9, -9], 10)], 0, None) == 1


def test_two_lines_keep_their_fall():
    # Weather line 3/16 under a drawn fall of 1/8: the room line must come up 1/16 with it.
    eighth = INCH // 8
    room = Line([0, -eighth])
    weather = Line([-INCH // 16, -eighth], eighth)
    level = high_level([room, weather])
    assert level == INCH // 16
    ladder = Ladder(BOX, 4, INCH)
    lines = [work_line(line, level, ladder, NEAREST) for line in (room, weather)]
    assert lines[0].after(room.heights) == [INCH // 16] * 2
    assert lines[1].after(weather.heights) == [-INCH // 16] * 2


def test_fall_between_the_levels():
    assert fall_kept([5, 4], [2, 3], None) == 2  # as found
    assert fall_kept([1, 0], [3, 0], None) == 0  # never toward the room
    assert fall_kept([1, 0], [3, 0], 7) == 7  # as drawn


def test_volume_of_compound():
    # by hand: wedge 0 … 1/2 in, 144 x 6 in: 216 in3 (0.125 ft3);
    # 0 1/8 1/4 3/16 0 every 36 in, 8 in wide: 162 in3; 4.0 x 0.2 m, 5 mm on average: 4.0 L.
    num, den = fill_volume([0, 144 * INCH], [0, INCH // 2], 6 * INCH)
    source = "a wedge and a profile, by hand (trapezoids)"
    ours = num / den / INCH**3
    checks("compound-volume", "wedge, in³", 216, ours, source, "computed", 1e-9)
    assert num == 216 * INCH**3 * den
    xs = [i * 3 * FOOT for i in range(5)]
    num, den = fill_volume(xs, [0, INCH // 8, INCH // 4, 3 * INCH // 16, 0], 8 * INCH)
    ours = num / den / INCH**3
    checks("compound-volume", "profile, in³", 162, ours, source, "computed", 1e-9)
    assert num == 162 * INCH**3 * den
    num, den = fill_volume([0, 4000 * MM], [4 * MM, 6 * MM], 200 * MM)
    assert num == 4 * 10**24 * den
