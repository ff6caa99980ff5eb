"""The move of a roller, simulated: the panel is turned as a rigid body and measured again."""

import math
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from app.core.checks.lean import lean
from app.core.checks.rollers import roller_gap
from app.core.trade.drawing import Drawing
from app.core.trade.rollers import raised_roller, roller_rise, side_of
from tests.core.asked import ask, up

MM = 1_000_000


def turned(x, y, angle):
    """Return a point turned counterclockwise about the origin."""
    return (
        x * math.cos(angle) - y * math.sin(angle),
        x * math.sin(angle) + y * math.cos(angle),
    )


@given(
    st.integers(-12 * MM, 12 * MM).filter(bool),
    st.integers(600 * MM, 2000 * MM),
    st.integers(1800 * MM, 3500 * MM),
    st.sampled_from(("left", "right")),
)
def test_the_move_closes_the_gap_it_was_computed_for(taper, axles, distance, leading):
    rise = roller_rise(taper, axles, distance)
    side = side_of(raised_roller(taper), leading)
    # the stile leans away from the jamb by the taper over `distance`; the roller that stands still
    # is the pivot, so the panel turns by asin(rise / axles), up on `side`
    away = math.asin(taper / distance)
    lean_angle = -away if leading == "left" else away  # counterclockwise is to the left at the top
    turn = math.asin(rise / axles) * (1 if side == "right" else -1)
    before = turned(0, distance, lean_angle)[0]
    after = turned(*turned(0, distance, lean_angle), turn)[0]
    assert abs(abs(before) - abs(taper)) < 1  # nm: the simulation starts from the measured taper
    assert abs(after) < 4  # nm: the rise is rounded to 1 nm, times distance / axles (below 6 / 2)


@given(st.integers(-(10**8), 10**8), st.integers(1, 10**9), st.integers(1, 10**9))
def test_rise_is_the_exact_ratio_rounded_half_up(taper, axles, distance):
    exact = Fraction(abs(taper) * axles, distance)
    assert roller_rise(taper, axles, distance) == math.floor(exact + Fraction(1, 2))


@given(st.lists(st.integers(0, 40 * MM), min_size=3, max_size=3), st.integers(0, 3 * MM))
def test_a_gap_is_within_exactly_when_it_is_alike_and_straight(gaps, most):
    row = [{"letter": "A", "kind": "X", "track": 1, "width": "1", "height": "1", "lead": True}]
    drawing = Drawing({"panels": row, "lengths": {}, "lock": "left"})
    inputs = {"gap": up(*gaps, prefix="left-", panel="A", x=0)}
    found = roller_gap(ask(inputs, {"most": most, "middle": most}, {}, drawing))
    bow = abs(Fraction(gaps[0] + gaps[2], 2) - gaps[1])
    within = max(gaps) - min(gaps) <= most and bow <= most
    assert (found.verdict == "within") == within
    assert bool(found.remedies) != within


@given(st.lists(st.integers(0, 40 * MM), min_size=3, max_size=3), st.integers(0, 9 * MM))
def test_a_jamb_moved_as_told_is_within(offsets, most):
    def asked(values):
        heights = (0, 1000 * MM, 2000 * MM)
        settings = {"jamb": "left", "way": "in the wall"}
        return ask({"jamb": up(*values, heights=heights)}, {"most": most}, settings)

    found = lean(asked(offsets))
    if found.verdict == "within":
        return
    low, middle, high = offsets
    told = {one.template: one.params["by"].nm for one in found.remedies}
    top = sum(by if "away" in text else -by for text, by in told.items() if "top" in text)
    middle += Fraction(top, 2)
    bow = sum(by if "Take" in text else -by for text, by in told.items() if "bowed" in text)
    values = (low, middle + bow, high + top)
    assert max(values) - min(values) <= most + 1  # the words are whole nanometres
