"""Movement and joints against pint and fractions; dew points against psychrolib."""

import math
from fractions import Fraction
from itertools import pairwise

import pint
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.quantity.units import FOOT, INCH
from app.core.trade import dew, heat, joint, water, watertest
from app.core.trade.heat import MICRO, SIZE, Difference, Expansion
from app.core.trade.water import Pressure

UNITS = pint.UnitRegistry()
LENGTHS = st.integers(1, 20_000_000_000)
DEGREES = st.sampled_from(["C", "F"])
CAPABLE = st.integers(joint.CAPABLE_LEAST, joint.WHOLE)  # movement capability, ppm
HUMIDITY = st.integers(1, 1_000_000)


@given(LENGTHS, st.integers(1, 60), st.integers(-150, 150), DEGREES)
def test_movement_agrees_with_pint(length: int, micro: int, degrees: int, unit: str) -> None:
    found = heat.thermal_movement(
        length, Expansion(micro * MICRO, unit), Difference(degrees * SIZE[unit], unit)
    )
    per = UNITS.Quantity(micro * 1e-6, f"1/delta_deg{unit}")
    exact = UNITS.Quantity(length, "nm") * per * UNITS.Quantity(abs(degrees), f"delta_deg{unit}")
    # rounded up to a nanometre; pint is in floats
    assert found == pytest.approx(exact.to("nm").magnitude, rel=1e-12, abs=1)


@given(LENGTHS, st.integers(1, 100), st.integers(1, 100))
def test_either_degree_gives_the_same_movement(length: int, micro: int, steps: int) -> None:
    celsius = Expansion(micro * MICRO, "C")
    value = steps * 45000  # 5 °C, 9 °F
    one = heat.thermal_movement(length, celsius, Difference(value, "C"))
    assert heat.thermal_movement(length, celsius.per("F"), Difference(value, "F")) == one
    assert celsius.per("F").per("C").parts == celsius.parts


@given(st.integers(0, 10**8), st.integers(0, 10**8), st.integers(0, 10**8), CAPABLE)
def test_the_width_takes_the_movement_and_no_nanometre_less_does(
    thermal: int, other: int, tolerance: int, capability: int
) -> None:
    wide = joint.joint_width(thermal, other, tolerance, capability)
    share = Fraction(capability, 10**6)
    assert (wide - tolerance) * share >= thermal + other > (wide - tolerance - 1) * share


@given(st.integers(1, 10**8), st.integers(0, 10**8), CAPABLE)
def test_shear_decides_as_exact_arithmetic_does(width: int, shift: int, capability: int) -> None:
    share = 1 + Fraction(capability, 10**6)
    exact = width**2 + shift**2 <= (width * share) ** 2
    assert (joint.joint_elongation(width, shift) <= capability) == exact
    assert (width >= joint.shear_width(shift, capability)) == exact
    assert joint.joint_elongation(width, shift) / 1e6 == pytest.approx(
        math.hypot(width, shift) / width - 1, abs=1.001e-6
    )


@given(st.floats(5, 40), st.floats(0.40, 0.95))
def test_dew_points_agree_with_psychrolib(celsius: float, humidity: float) -> None:
    """Other coefficients: 0.03 °C apart at most, where the dew point is above freezing."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    found = dew.dew_point(celsius, humidity)
    if found > 0.05:  # below it psychrolib gives the frost point
        assert found == pytest.approx(
            psychrolib.GetTDewPointFromRelHum(celsius, humidity), abs=0.03
        )


@pytest.mark.parametrize("celsius", [0.0, 5.0, 20.0, 40.0])
def test_vapour_pressures_agree_with_psychrolib(celsius: float) -> None:
    """Other coefficients: 0.3 % apart at most (20 °C: 23.326 and 23.388 hPa)."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    other = psychrolib.GetSatVapPres(celsius) / 100
    assert dew.vapour_pressure(celsius) == pytest.approx(other, rel=0.003)


def test_a_frost_point_is_not_borrowed() -> None:
    """At 5 °C and 30 % psychrolib's frost point is 1.25 °C off: ours is 0 °C there, and said."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    frost = psychrolib.GetTDewPointFromRelHum(5.0, 0.30)
    assert abs(frost - dew.dew_point(5.0, 0.30)) > 1
    assert dew.dew_point_taken(5 * 9000, 300_000) == (0, True)


@given(st.integers(-40 * 9000, 60 * 9000), HUMIDITY)
def test_dew_is_never_above_the_air_nor_below_zero(air: int, humidity: int) -> None:
    found, taken = dew.dew_point_taken(air, humidity)
    assert found >= 0
    assert found <= max(air + dew.HUNDREDTH, 0)
    assert not taken or found == 0


@given(st.integers(0, 10**6), st.sampled_from(["psf", "Pa", "inH2O"]))
def test_pressures_and_heads_agree_with_pint(hundredths: int, unit: str) -> None:
    named = {"psf": "lbf/ft**2", "Pa": "Pa", "inH2O": "inH2O"}
    exact = UNITS.Quantity(hundredths / 100, named[unit])
    ours = Pressure(hundredths, unit, 100)
    for name, other in named.items():
        # to half a thousandth; pint's own factors are floats
        assert ours.thousandths(name) == pytest.approx(
            exact.to(other).magnitude * 1000, abs=0.51, rel=1e-9
        )
    column = exact / (UNITS.Quantity(1000, "kg/m**3") * UNITS.Quantity(9.80665, "m/s**2"))
    assert water.head_of_water(ours) == pytest.approx(column.to("nm").magnitude, rel=1e-12, abs=1)


@given(st.integers(1, 20 * FOOT), st.integers(1, 20 * FOOT))
def test_sprayed_water_agrees_with_pint(width: int, height: int) -> None:
    rate = UNITS.Quantity(5, "gallon/ft**2/hour")
    area = UNITS.Quantity(width, "nm") * UNITS.Quantity(height, "nm")
    exact = (rate * area * UNITS.Quantity(15, "min")).to("nm**3").magnitude
    assert watertest.spray_total(width, height, "A") == pytest.approx(exact, rel=1e-9, abs=2)


@given(st.integers(1, 500 * FOOT))
def test_hose_stretches_cover_the_joint_once(length: int) -> None:
    stretches = watertest.hose_stretches(length, False)
    assert stretches[0][0] == 0
    assert stretches[-1][1] == length
    for before, after in pairwise(stretches):
        assert before[1] == after[0]
    assert all(0 < end - start <= 5 * FOOT for start, end in stretches)


@given(st.integers(INCH // 4, 20 * INCH))
def test_depth_keeps_its_bounds(width: int) -> None:
    found = joint.sealant_depth(width)
    assert INCH // 4 <= found <= INCH // 2
    if INCH // 2 <= width <= INCH:
        assert abs(2 * found - width) <= 1
