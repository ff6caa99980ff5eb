"""Squareness and twist against exact geometry: corners in fractions and vectors."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from app.core.trade.frame import corner_off, fits_sides, head_shift, square_root_floor

MM = 1_000_000
# Pythagorean pairs (a, b, hypotenuse), so that both diagonals are whole
TRIPLES = ((3, 4, 5), (5, 12, 13), (8, 15, 17), (7, 24, 25), (20, 21, 29), (9, 40, 41))


@given(st.sampled_from(TRIPLES), st.sampled_from(TRIPLES), st.integers(1, 1000))
def test_shift_is_exact_where_both_diagonals_are_whole(first, second, scale):
    # diagonals (p, h) and (q, h) of one height: width (p + q) / 2, shift (p - q) / 2 by vectors
    p, h1, long = first
    q, h2, short = second
    p, long, q, short = p * h2, long * h2, q * h1, short * h1
    width = (p + q) * scale
    num, den = head_shift(2 * long * scale, 2 * short * scale, [width])
    assert Fraction(num, den) == (p - q) * scale


@given(
    st.integers(500 * MM, 8000 * MM),
    st.integers(1500 * MM, 4000 * MM),
    st.integers(-30 * MM, 30 * MM),
)
def test_shift_is_found_from_rounded_diagonals(width, rise, shift):
    rising, falling = (square_root_floor((width + s) ** 2 + rise**2) for s in (shift, -shift))
    num, den = head_shift(rising, falling, [width])
    # each diagonal is short of the true one by less than 1 nm: error below D / (2 W) nm each
    assert abs(Fraction(num, den) - shift) <= Fraction(rising + falling, 2 * width)
    side = square_root_floor(rise**2 + shift**2)
    assert fits_sides(rising, falling, [width], [side], 3)


@given(
    st.integers(500 * MM, 8000 * MM),
    st.integers(1500 * MM, 4000 * MM),
    st.integers(-30 * MM, 30 * MM),
    st.integers(10 * MM, 50 * MM),
)
def test_both_diagonals_misread_alike_are_found(width, rise, shift, wrong):
    rising, falling = (
        square_root_floor((width + s) ** 2 + rise**2) + wrong for s in (shift, -shift)
    )
    side = square_root_floor(rise**2 + shift**2)
    assert not fits_sides(rising, falling, [width], [side], 9 * MM)


@given(st.lists(st.integers(-50 * MM, 50 * MM), min_size=4, max_size=4))
def test_a_corner_is_off_the_plane_of_the_other_three(offsets):
    # a, b, d make the plane; the fourth corner of the parallelogram is b + d - a
    a, b, c, d = offsets
    assert corner_off(a, b, c, d) == c - (b + d - a)
    assert abs(corner_off(a, b, c, d)) == 2 * abs(Fraction(a + c, 2) - Fraction(b + d, 2))


@given(st.integers(0, 10**40))
def test_root(number):
    found = square_root_floor(number)
    assert found * found <= number < (found + 1) ** 2
