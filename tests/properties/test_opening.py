"""Fit against a brute-force search; remedies applied to the readings make it within."""

from fractions import Fraction
from itertools import pairwise

from hypothesis import assume, given
from hypothesis import strategies as st

from app.core.checks.opening import fit
from app.core.trade import line, opening
from app.core.trade.drawing import Drawing
from tests.core.asked import ask, up

OFFSETS = st.lists(st.integers(0, 12), min_size=3, max_size=3)
SMALL = st.integers(0, 14)
NM = st.integers(0, 60_000_000)
JAMB = st.lists(NM, min_size=3, max_size=3)


def search(distance, left, right, frame):
    """Return the greatest least gap over every whole position: tried one by one."""
    return max(
        min([x + offset for offset in left] + [distance + offset - x - frame for offset in right])
        for x in range(-60, 120)
    )


@given(OFFSETS, OFFSETS, st.integers(20, 40), st.integers(15, 60))
def test_no_position_is_better_than_the_even_one(left, right, distance, frame):
    x = opening.even_position(distance, left, right, frame)
    gaps = opening.left_gaps(left, x) + opening.right_gaps(distance, right, frame, x)
    assert min(gaps) == search(distance, left, right, frame)


@given(OFFSETS, OFFSETS, st.integers(20, 40))
def test_usable_width_is_the_widest_frame_that_goes_in(left, right, distance):
    usable = opening.usable_width(distance, left, right)
    assert search(distance, left, right, usable) >= 0
    assert search(distance, left, right, usable + 1) < 0


@given(OFFSETS, OFFSETS, st.integers(20, 40), st.integers(15, 60), SMALL, SMALL)
def test_limits_are_kept_wherever_any_position_keeps_them(left, right, distance, frame, a, b):
    least, most = min(a, b), max(a, b)

    def gaps(x):
        return opening.left_gaps(left, x) + opening.right_gaps(distance, right, frame, x)

    def kept(x):
        return all(least <= gap <= most for gap in gaps(x))

    best = opening.best_position(distance, left, right, frame, least, most)
    assert kept(best) == any(kept(x) for x in range(-60, 120))


def asked(left, right, distance, frame, least, most):
    """Return the Ask of an opening with consistent widths."""
    widths = [distance + a + b for a, b in zip(left, right, strict=True)]
    inputs = {"left": up(*left, prefix="l"), "right": up(*right, prefix="r"), "widths": up(*widths)}
    drawing = Drawing({"lengths": {"frame_width": str(frame)}})
    return ask(inputs, {"least": least, "most": most, "agree": 0}, drawing=drawing)


@given(JAMB, JAMB, st.integers(0, 120_000_000), st.integers(0, 10**7), st.integers(1, 10**7))
def test_cutting_and_padding_as_told_makes_it_within(left, right, room, least, band):
    distance, most = 3_000_000_000, least + band
    frame = distance + room - 30_000_000
    found = fit(asked(left, right, distance, frame, least, most))
    assume(found.verdict == "out")
    x = opening.best_position(distance, left, right, frame, least, most)

    def mended(offsets, gaps):
        return [
            o + max(0, least - g) - max(0, g - most) for o, g in zip(offsets, gaps, strict=True)
        ]

    new_left = mended(left, opening.left_gaps(left, x))
    new_right = mended(right, opening.right_gaps(distance, right, frame, x))
    assert found.remedies
    assert fit(asked(new_left, new_right, distance, frame, least, most)).verdict == "within"


@given(
    st.lists(st.tuples(st.integers(1, 50), st.integers(-50, 50)), min_size=2, max_size=6),
    st.integers(1, 120),
)
def test_worst_change_agrees_with_a_search_in_fractions(steps, over):
    points, x = [], 0
    for step, value in steps:
        points.append((x, value))
        x += step

    def value_at(at):
        for (x0, v0), (x1, v1) in pairwise(points):
            if x0 <= at <= x1:
                return Fraction(v0) + Fraction((v1 - v0) * (at - x0), x1 - x0)
        raise AssertionError

    end = points[-1][0]
    grid = [value_at(at) for at in range(end + 1)]
    worst = max(
        abs(grid[b] - grid[a]) for a in range(end + 1) for b in range(a, min(end, a + over) + 1)
    )
    assert Fraction(*line.worst_change(points, over)) == worst
