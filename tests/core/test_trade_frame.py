"""Squareness from diagonals, and twist from strings. Sources stand beside the rows."""

from app.core.quantity.units import half_up
from app.core.trade.frame import (
    corner_of_gap,
    corner_off,
    diagonal_of,
    fits_sides,
    head_shift,
    off_square,
    rack_over,
    square_root_floor,
)
from tests.core.golden import checks

INCH = 25400000
SIXTEENTH = INCH // 16
MM = 1000000


def racked(width, height, shift):
    """Return the diagonals, rounded down, of a frame whose head stands `shift` to the right.

    The corners are (0, 0), (width, 0), (shift, h), (width + shift, h), h from Pythagoras.
    """
    rise = height * height - shift * shift
    return square_root_floor((width + shift) * (width + shift) + rise), square_root_floor(
        (width - shift) * (width - shift) + rise
    )


def near(value, expected, within):
    """Return whether two whole numbers are that near."""
    return abs(value - expected) <= within


def test_rack_from_diagonals():
    # computed independently: (W, H, rack, difference of the diagonals).
    # Tolerance 3 nm: the diagonals are whole nanometres.
    rows = (
        (144 * INCH, 96 * INCH, INCH // 8, 5283530),  # 0.208013 in
        (240 * INCH, 120 * INCH, INCH // 4, 11359236),  # 0.447214 in
        (3600 * MM, 2400 * MM, 3 * MM, 4992303),  # 4.992303 mm
    )
    for width, height, rack, difference in rows:
        rising, falling = racked(width, height, rack)
        assert near(rising - falling, difference, 13)  # six decimals of an inch
        num, den = head_shift(rising, falling, [width])
        source = "law of cosines, computed independently from the corners"
        ours = half_up(num, den)
        checks("square", "rack from the diagonals", rack, ours, source, "computed", 3, "nm")


def test_inverse_of_an_eighth_on_a_door_12_by_8_feet():
    # computed independently: 1/8 in of difference is 0.075116 in of rack
    mean = diagonal_of([144 * INCH], [96 * INCH])
    num, den = head_shift(mean + INCH // 16, mean - INCH // 16, [144 * INCH])
    source = "r = dD D/(2 W), 0.075116 in, computed independently"
    ours = half_up(num, den)
    checks("square", "rack of 1/8 in, 144 x 96 in", 1907946, ours, source, "computed", 13, "nm")


def test_a_longer_rising_diagonal_means_a_head_too_far_right():
    rising, falling = racked(144 * INCH, 96 * INCH, SIXTEENTH)
    assert rising > falling
    assert head_shift(rising, falling, [144 * INCH])[0] > 0
    assert head_shift(falling, rising, [144 * INCH])[0] < 0


def test_right_triangles_known_from_the_textbook():
    # 3-4-5 (Euclid); 12 ft x 16 ft -> 20 ft; 96 x 144 -> 173.0665 in (computed)
    euclid = "Euclid, Elements I.47: the 3-4-5 triangle"
    for width, height, due in ((36, 48, 60), (144, 192, 240)):
        ours = diagonal_of([width * INCH], [height * INCH])
        checks("square", "diagonal", due * INCH, ours, euclid, "published", 0, "nm")
    assert near(diagonal_of([144 * INCH], [96 * INCH]), 4395889100, 1270)


def test_parallelogram_law_holds_for_a_racked_frame():
    # parallelogram law (plane geometry): rack does not change the sum of the squares
    rising, falling = racked(144 * INCH, 96 * INCH, 10 * INCH)
    assert fits_sides(rising, falling, [144 * INCH], [96 * INCH], 1)


def test_parallelogram_law_is_exact_at_its_tolerance():
    # 3-4-5: both diagonals longer by exactly the tolerance still fit, one nanometre more does not
    for by in (SIXTEENTH, -SIXTEENTH):
        read = 60 * INCH + by
        assert fits_sides(read, read, [36 * INCH], [48 * INCH], SIXTEENTH)
        read += 1 if by > 0 else -1
        assert not fits_sides(read, read, [36 * INCH], [48 * INCH], SIXTEENTH)


def test_one_burned_inch_is_found():
    sides = ([36 * INCH, 36 * INCH], [48 * INCH, 48 * INCH])
    assert not fits_sides(61 * INCH, 60 * INCH, *sides, INCH // 8)


def test_an_isosceles_trapezoid_has_alike_diagonals():
    # plane geometry: why widths must be compared as well. Bottom 146, top 142, 96 high:
    # each diagonal spans (146 + 142) / 2 = 144 sideways.
    diagonal = square_root_floor((144 * INCH) ** 2 + (96 * INCH) ** 2)
    assert head_shift(diagonal, diagonal, [146 * INCH, 142 * INCH])[0] == 0
    assert fits_sides(diagonal, diagonal, [146 * INCH, 142 * INCH], [96 * INCH], 1)


def test_rack_over_a_height():
    # 1/8 in over 16 ft is 1/16 in over 8 ft; computed by hand
    num, den = rack_over(-2 * SIXTEENTH, 1, [192 * INCH], 96 * INCH)
    assert num == SIXTEENTH * den


def test_angle_for_the_picture():
    # computed: 0.07460 degrees; tolerance half its last digit
    rising, falling = racked(144 * INCH, 96 * INCH, INCH // 8)
    assert abs(off_square(rising, falling, 144 * INCH, 96 * INCH) - 0.0746) < 0.000005


def test_root_is_whole_and_never_too_great():
    for number in (0, 1, 2, 3, 4, 8, 9, 10**30, 10**30 - 1):
        found = square_root_floor(number)
        assert found * found <= number < (found + 1) * (found + 1)


def test_string_gap_is_half_of_the_corner():
    # computed: offsets at the corners in order around -> corner out of plane
    quarter, eighth = INCH // 4, INCH // 8
    source = "two strings cross at their middles, worked by hand"
    ours = corner_off(0, 0, quarter, 0)
    checks("twist", "one corner 1/4 in out", quarter, ours, source, "computed", 0, "nm")
    assert corner_off(0, eighth, 0, eighth) == -quarter
    assert corner_off(0, 0, 0, 3 * SIXTEENTH) == -3 * SIXTEENTH
    ours = corner_of_gap(eighth)
    checks("twist", "corner of a gap of 1/8 in", quarter, ours, source, "computed", 0, "nm")


def test_moving_one_corner_by_that_closes_the_gap():
    assert corner_off(0, 0, 7 - corner_off(0, 0, 7, 3), 3) == 0
