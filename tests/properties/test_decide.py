"""Decision rules and uncertainties against scipy and fractions."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm, uniform

from app.core.checks.decide import per_length, verdict_of
from app.core.trade.instruments import expanded_uncertainty, root_up

# ILAC-G8:09/2019: probability of false acceptance at the acceptance limit, U = 2 u
# (w = U below 2.5 %, w = 0 up to 50 %; seen). Digits computed: w/U -> percent.
FALSE_ACCEPTANCE = ((1000, 2.275), (830, 4.85), (500, 15.87), (0, 50.0))


@pytest.mark.parametrize(("band", "percent"), FALSE_ACCEPTANCE)
def test_the_last_accepted_reading_carries_the_published_risk(band: int, percent: float) -> None:
    limit, u = 100_000, 500  # U = 2 u = 1000
    accepted = max(
        value
        for value in range(limit - 1500, limit + 1)
        if verdict_of(value, None, limit, band) == "within"
    )
    risk = 100 * norm.sf((limit - accepted) / u)
    assert risk == pytest.approx(percent, abs=0.005)  # the digits given


# T = ±3, u = 0.5: probability that the true value conforms at y (JCGM 106, computed)
@pytest.mark.parametrize(("y", "conforms"), [(2.0, 0.97725), (2.5, 0.84134), (3.0, 0.5)])
def test_probability_of_conformity_falls_as_the_guard_band_is_entered(
    y: float, conforms: float
) -> None:
    assert norm.cdf((3 - y) / 0.5) - norm.cdf((-3 - y) / 0.5) == pytest.approx(conforms, abs=5e-6)
    assert verdict_of(int(y * 10), -30, 30, 10) == ("within" if conforms > 0.975 else "close")


@given(st.lists(st.integers(0, 10**10), min_size=1, max_size=6))
def test_expanded_uncertainty_against_the_variance_of_rectangles(widths: list[int]) -> None:
    variance = sum(uniform(scale=width).var() if width else 0.0 for width in widths)
    reference = 2 * math.sqrt(variance)
    # rounded up to a whole nanometre; 1e-12 for the floats of the reference
    assert reference * (1 - 1e-12) <= expanded_uncertainty(widths) <= reference * (1 + 1e-12) + 1


@given(st.integers(0, 10**40))
def test_root_up_against_isqrt(n: int) -> None:
    assert root_up(n) == (math.isqrt(n - 1) + 1 if n else 0)


@given(
    st.integers(-(10**9), 10**9),
    st.integers(0, 10**7),
    st.integers(1, 10**10),
    st.integers(0, 10**11),
)
def test_a_limit_by_length_decides_as_the_fraction_does(
    value: int, rise: int, run: int, length: int
) -> None:
    exact = Fraction(rise, run) * length
    assert (verdict_of(value, None, per_length(rise, run, length)) == "within") == (value <= exact)


@given(st.integers(), st.integers(), st.integers(), st.integers(0, 1000))
def test_a_guard_band_only_ever_makes_a_verdict_greyer(
    value: int, one: int, other: int, error: int
) -> None:
    least, most = min(one, other), max(one, other)
    simple = verdict_of(value, least, most)
    guarded = verdict_of(value, least, most, error)
    assert guarded in (simple, "close")
