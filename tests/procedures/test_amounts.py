"""Amounts of a procedure against exact definitions and against pint itself.

Exact by definition (NIST SP 811 appendix B, from memory): 1 in = 25.4 mm, 1 lb =
0.45359237 kg, standard gravity 9.80665 m/s2, so 1 lbf = 4.4482216152605 N.
"""

from fractions import Fraction

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.core.quantity.measure import parse_amount
from app.procedures.amounts import read_amount

REGISTRY = pint.UnitRegistry(non_int_type=Fraction)


@pytest.mark.parametrize(
    ("text", "quantity", "wanted"),
    [
        ("1/16 in", "length", Fraction("25.4") / 16 * 10**6),
        ("1 3/8 in", "length", Fraction("25.4") * 11 / 8 * 10**6),
        ("1-3/8 in", "length", Fraction("25.4") * 11 / 8 * 10**6),
        ("4 ft", "length", Fraction("304.8") * 4 * 10**6),
        ("0.5 mm", "length", 500_000),
        ("-1/8 in", "length", -Fraction("25.4") / 8 * 10**6),
        ("15 min", "duration", 15 * 60 * 1000),
        ("19 %", "fraction", 190_000),
        ("30 lbf", "force", 30 * Fraction("4.4482216152605") * 10**16),
        ("310 lb", "mass", 310 * Fraction("0.45359237") * 10**11),
        # 40 degF = 4 4/9 degC; the base unit is 1/9000 degC
        ("40 degF", "temperature", Fraction(40 - 32) * 5 / 9 * 9000),
        ("-10 degC", "temperature", -90_000),
        # a difference has no zero: 5 delta_degF = 25/9 K
        ("5 delta_degF", "temperature-difference", Fraction(5) * 5 / 9 * 9000),
        ("3 delta_degC", "temperature-difference", 27_000),
        ("10", "count", 10),
    ],
)
def test_exact_amounts(text: str, quantity: str, wanted: Fraction) -> None:
    assert read_amount(text, quantity) == wanted


def test_mixed_fraction_is_not_left_to_pint() -> None:
    # The trap itself (pint 0.25): "1 3/8 inch" multiplies.
    assert pint.UnitRegistry().Quantity("1 3/8 inch").magnitude == pytest.approx(0.375)
    assert read_amount("1 3/8 inch", "length") == 34_925_000


@settings(deadline=None)  # the first use of a registry is slow
@given(
    whole=st.integers(0, 500),
    top=st.integers(1, 63),
    unit=st.sampled_from(["in", "inch", "ft", "mm"]),
)
def test_agrees_with_pint_on_plain_numbers(whole: int, top: int, unit: str) -> None:
    number = whole + Fraction(top, 64)
    wanted = REGISTRY.Quantity(number, unit).to("nanometer").magnitude
    assert (
        read_amount(f"{whole} {top}/64 {unit}" if whole else f"{top}/64 {unit}", "length") == wanted
    )


@given(whole=st.integers(0, 200), top=st.integers(1, 15))
def test_agrees_with_what_a_person_types(whole: int, top: int) -> None:
    text = f"{whole} {top}/16"
    assert read_amount(text + " in", "length") == parse_amount("length", text, "in")


@pytest.mark.parametrize(
    ("text", "quantity", "reason"),
    [
        ("1/16", "length", "has no unit"),
        ("3 lbf", "length", "is not a length"),
        ("3 in", "force", "is not a force"),
        ("3 zorks", "length", "is not a unit"),
        ("3 in 4", "length", "one number with one unit"),
        ("1 9/8 in", "length", "proper mixed fraction"),
        ("1/0 in", "length", "divides by nothing"),
        ("about 3 in", "length", "does not start with a number"),
        ("", "length", "does not start with a number"),
        ("1/3 in", "length", "finer than what is recorded"),
        ("3 in", "count", "without a unit"),
        ("2.5", "count", "finer"),
        ("10 kg", "force", "is not a force"),
        ("5 degF", "temperature-difference", "is not a temperature-difference"),
        ("5 delta_degF", "temperature", "is not a temperature"),
    ],
)
def test_refusals(text: str, quantity: str, reason: str) -> None:
    with pytest.raises(ValueError, match=reason):
        read_amount(text, quantity)
