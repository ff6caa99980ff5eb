"""Rollers against linear programming, lifting against fractions, slabs against numpy."""

from datetime import date
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from app.core.errors import InputError
from app.core.quantity.dates import is_date
from app.core.quantity.units import INCH, KILOGRAM, POUND
from app.core.trade import deflection, din18202, fnumbers, handling, lifting, rollers_load
from app.core.trade.lifting import Lift

MM = 1_000_000


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(0, 2000), min_size=2, max_size=5, unique=True),
    st.integers(0, 2000),
    st.integers(1, 900),
)
def test_no_distribution_in_balance_loads_a_roller_more(
    positions: list[int], centre: int, kilos: int
) -> None:
    """Every set of reactions that balances weight and moment, by linear programming."""
    assume(min(positions) < centre < max(positions))
    most = 0.0
    for k in range(len(positions)):
        goal = [-1.0 if i == k else 0.0 for i in range(len(positions))]
        balance = [[1.0] * len(positions), [float(p - centre) for p in positions]]
        found = linprog(goal, A_eq=balance, b_eq=[kilos, 0.0], method="highs")
        most = max(most, -found.fun)
    ours = rollers_load.greatest_roller_load(
        kilos * KILOGRAM, [p * MM for p in positions], centre * MM
    )
    assert ours / KILOGRAM == pytest.approx(most, rel=1e-6)


@settings(max_examples=60, deadline=None)
@given(st.integers(300, 2000), st.integers(20, 200), st.integers(1, 900))
def test_half_of_the_mass_bounds_three_of_four_at_the_corners(
    length: int, width: int, kilos: int
) -> None:
    """Four rollers at the corners of a rectangle, any one lifted off: at most W/2 each."""
    corners = [(0, 0), (length, 0), (0, width), (length, width)]
    for lifted in range(4):
        touching = [corner for k, corner in enumerate(corners) if k != lifted]
        matrix = [
            [1.0] * 3,
            [x - length / 2 for x, _ in touching],
            [y - width / 2 for _, y in touching],
        ]
        reactions = np.linalg.solve(np.array(matrix), np.array([kilos, 0.0, 0.0]))
        needed = rollers_load.needed_rating(kilos * KILOGRAM) / KILOGRAM
        assert max(reactions) == pytest.approx(needed, rel=1e-9)


@given(st.integers(1, 10**14), st.integers(0, 10**9), st.integers(0, 10**9))
def test_shares_balance(mass: int, left: int, right: int) -> None:
    assume(left + right)
    a, b = rollers_load.roller_shares(mass, left, right)
    assert mass <= a + b <= mass + 1
    assert abs(a * left - b * right) <= max(left, right)


def rwl(lift: Lift) -> Fraction:
    """Return the formula of NIOSH 94-110 in pounds, written anew with fractions of inches."""
    h, v, d = (Fraction(nm, INCH) for nm in (lift.away, lift.height, lift.travel))
    h, d = max(h, Fraction(10)), max(d, Fraction(10))
    if h > 25 or v > 70 or d > 70 or lift.turn > 135:
        return Fraction(0)
    table = {200: "1", 1000: ".94", 3000: ".88", 8000: ".6"}
    hold = {"good": ("1", "1"), "fair": (".95", "1"), "poor": (".9", ".9")}[lift.hold]
    return (
        51
        * (10 / h)
        * (1 - Fraction("0.0075") * abs(v - 30))
        * (Fraction("0.82") + Fraction("1.8") / d)
        * (1 - Fraction("0.0032") * lift.turn)
        * Fraction(table[lift.pace])
        * Fraction(hold[0 if v < 30 else 1])
    )


@given(
    st.integers(0, 30 * INCH),
    st.integers(0, 75 * INCH),
    st.integers(0, 75 * INCH),
    st.integers(0, 180),
    st.sampled_from([200, 1000, 3000, 8000]),
    st.sampled_from(["good", "fair", "poor"]),
)
def test_lifting_equation_written_anew(
    away: int, height: int, travel: int, turn: int, pace: int, hold: str
) -> None:
    lift = Lift(away, height, travel, turn, pace, hold)
    found = lifting.recommended_weight(lift, lifting.lifting_multipliers(lift))
    assert found == rwl(lift) * POUND // 1


@given(st.integers(1, 900 * KILOGRAM), st.integers(1, 40 * KILOGRAM))
def test_crew_never_approves(mass: int, each: int) -> None:
    found = handling.judge_crew(mass, each)
    assert found.verdict == (
        "information" if mass <= max(each, each * 4 // 3, each * 3 // 2) else "out"
    )
    lifter = handling.one_pad_lost(mass, each, 4)
    assert lifter.verdict == ("information" if 3 * each > mass else "out")


@given(st.lists(st.integers(0, 20 * MM), min_size=13, max_size=40))
def test_f_numbers_agree_with_numpy(heights: list[int]) -> None:
    inches = np.array(heights) / INCH
    for found, values, constant in (
        (fnumbers.flatness_number(heights), np.diff(inches, n=2), 4.57),
        (fnumbers.levelness_number(heights), inches[10:] - inches[:-10], 12.5),
    ):
        below = 3 * np.std(values, ddof=1) + abs(np.mean(values))
        if below > 1e-9:
            # the differences of two floats of some inches: to 1e-9
            assert found == pytest.approx(constant / below, rel=1e-6)


@given(st.sampled_from("1234567"), st.integers(100, 15000))
def test_din_rows_agree_with_numpy(row: str, millimetres: int) -> None:
    values = next(known[2] for known in din18202.GAPS if known[0] == row)
    exact = np.interp(millimetres, [10 * cm for cm in din18202.DISTANCES], values)
    assert abs(din18202.allowed_gap(row, millimetres * MM) / MM - exact) <= 0.5 + 1e-9


GAP = st.integers(-10 * MM, 40 * MM)


@given(GAP, GAP, GAP, st.integers(0, 20 * MM), st.integers(0, 20 * MM))
def test_room_over_the_frame_is_within_exactly_where_it_outlasts_the_deflection(
    left: int, middle: int, right: int, live: int, needed: int
) -> None:
    stated = deflection.Stated("R. Example", "2026-03-02", live)
    gaps = {"left": left, "middle": middle, "right": right}
    found = deflection.judge_head_gap(gaps, stated, needed)
    assert (found.verdict == "within") == all(gap - live >= needed for gap in gaps.values())
    # what the remedies ask for, done: then it is within
    for remedy in found.remedies:
        if "by" in remedy.params:
            place = remedy.template.split(" ")[0].strip(":").lower()
            gaps[place] += remedy.params["by"].nm
    assert deflection.judge_head_gap(gaps, stated, needed).verdict == "within"


@given(st.text(max_size=12) | st.dates().map(str))
def test_a_date_is_one_that_datetime_reads_too(text: str) -> None:
    """Days are not counted by month: 31 February is a slip that this lets pass."""
    try:
        real = str(date.fromisoformat(text)) == text
    except ValueError:
        real = False
    if real:
        assert deflection.Stated("R. Example", text, 0).date == text
    elif not is_date(text):
        with pytest.raises(InputError):
            deflection.Stated("R. Example", text, 0)
    else:
        assert text[8:] in ("29", "30", "31") or text.startswith("0000")
