"""Measuring against independent references: fractions and pint (which never sees the text)."""

import math
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.errors import InputError
from app.core.quantity.measure import (
    QUANTITIES,
    amount_shown,
    exact_text,
    half_up,
    parse_amount,
    rounds_away,
    show_length,
)
from app.core.quantity.speaker import Speaker
from app.core.quantity.units import UNITS, decimal_text

INCH = Fraction(25400000)
CODES = [
    "empty",
    "too-long",
    "character-unknown",
    "unreadable",
    "separators",
    "comma-ambiguous",
    "fraction-zero",
    "fraction-denominator",
    "fraction-improper",
    "fraction-metric",
    "unit-missing",
    "unit-unknown",
    "unit-wrong",
    "minus-ambiguous",
    "inches-after-feet",
    "too-fine",
    "negative",
    "too-large",
    "division-unknown",
    "",
]
UNIT_SYSTEMS = ("in", "mm")
WRITTEN = st.text(alphabet="0123456789 /-+'\".,mftincRh°%:½⅜’″−kglbs１３／", max_size=20)
ANYTHING = st.one_of(st.text(), st.text(alphabet=st.characters(codec=None)), WRITTEN)


def outcome(
    quantity: str, text: str, units: str, negative: bool, division: int = 0
) -> int | InputError:
    try:
        return parse_amount(quantity, text, units, negative, division)
    except InputError as error:
        return error


@given(st.sampled_from(sorted(QUANTITIES)), ANYTHING, st.sampled_from(UNIT_SYSTEMS), st.booleans())
def test_any_text_gives_a_value_or_one_refusal_in_words(
    quantity: str, text: str, units: str, negative: bool
) -> None:
    found = outcome(quantity, text, units, negative, 1587500 if negative else 0)
    if isinstance(found, InputError):
        said = Speaker({}, units).say(found.message)
        assert said
        assert "{" not in said.replace(text, "")
        assert found.code in CODES
    else:
        assert isinstance(found, int)
        assert amount_shown(quantity, found, units)


@given(WRITTEN, st.sampled_from(UNIT_SYSTEMS))
def test_what_was_taken_comes_back_unchanged_through_a_form(text: str, units: str) -> None:
    found = outcome("length", text, units, True)
    if isinstance(found, int):
        for other in UNIT_SYSTEMS:
            assert parse_amount("length", exact_text(found, units), other, negative=True) == found


def test_every_64th_of_an_inch_up_to_40_feet() -> None:
    for count in range(40 * 12 * 64 + 1):
        inches = Fraction(count, 64)
        nm = int(inches * INCH)
        whole, part = divmod(inches, 1)
        text = f"{whole} {part}" if part else f"{whole}"
        assert parse_amount("length", text, "in") == nm
        assert parse_amount("length", exact_text(nm, "in"), "in") == nm
        assert parse_amount("length", show_length(nm, "in", grain=396875), "mm") == nm


def test_every_tenth_of_a_millimetre_up_to_12_metres() -> None:
    for tenths in range(120001):
        nm = tenths * 100000
        assert parse_amount("length", f"{tenths // 10}.{tenths % 10}", "mm") == nm
        assert parse_amount("length", show_length(nm, "mm"), "in") == nm
        assert exact_text(nm, "mm") == show_length(nm, "mm")


@given(
    st.integers(0, 3000),
    st.integers(0, 11),
    st.integers(0, 63),
    st.sampled_from(("'", " ft ", "’", " feet ")),
    st.sampled_from((" ", "-")),
    st.sampled_from(("", '"', "in", "”", "''")),
)
def test_feet_inches_and_fractions_against_fractions(
    feet: int, inches: int, part: int, foot: str, between: str, mark: str
) -> None:
    fraction = Fraction(part, 64)
    text = f"{feet}{foot}{inches}" + (f"{between}{fraction}" if part else "") + mark
    assert parse_amount("length", text, "in") == (feet * 12 + inches + fraction) * INCH


@given(st.integers(-999 * 10**9, 999 * 10**9), st.sampled_from(UNIT_SYSTEMS))
def test_what_is_shown_is_never_further_off_than_half_a_grain(nm: int, units: str) -> None:
    for style in ("size", "place"):
        grain = {"in": {"size": 793750, "place": 1587500}, "mm": {"size": 10**5, "place": 10**6}}
        shown = parse_amount("length", show_length(nm, units, style), units, negative=True)
        assert abs(shown - nm) * 2 <= grain[units][style]
        assert bool(rounds_away(nm, units, style)) == (nm != 0 and shown == 0)


@given(st.integers(10**6, 10**9), st.integers(-200, 200), st.sampled_from(UNIT_SYSTEMS))
def test_a_reading_passes_the_limit_that_is_shown_where_it_passes_the_limit(
    limit: int, steps: int, units: str
) -> None:
    """Readings to 0.01 mm or 1/64 in, near a limit: a crew goes by what is shown."""
    grain = {"in": INCH // 64, "mm": 10**4}[units]
    reading = max(limit // grain + steps, 0) * grain
    most, least = (
        parse_amount("length", show_length(limit, units, style), units)
        for style in ("most", "least")
    )
    assert (reading <= limit, reading >= limit) == (reading <= most, reading >= least)


@given(st.integers(-(10**20), 10**20), st.integers(1, 10**12))
def test_half_up_is_the_floor_of_the_half_more(n: int, d: int) -> None:
    assert half_up(n, d) == math.floor(Fraction(n, d) + Fraction(1, 2))


@given(st.integers(0, 10**15), st.integers(0, 9))
def test_decimals_are_exact_text(n: int, places: int) -> None:
    text = decimal_text(n, places)
    assert Fraction(text) == Fraction(n, 10**places)
    assert "." not in text or not text.endswith(("0", "."))


# unit as typed -> unit of pint; base unit of each quantity in pint's units
PINT_UNITS = {
    "length": {"in": "inch", "ft": "foot", "mm": "millimeter", "cm": "centimeter", "m": "meter"},
    "force": {"lbf": "pound_force", "n": "newton", "kgf": "kilogram_force"},
    "mass": {"lb": "pound", "kg": "kilogram"},
    "duration": {"h": "hour", "min": "minute", "s": "second"},
    "fraction": {"%": "percent"},
}
PINT_BASE = {
    "length": ("meter", 10**9),
    "force": ("newton", 10**16),
    "mass": ("kilogram", 10**11),
    "duration": ("second", 1000),
    "fraction": ("dimensionless", 10**6),
}


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry(non_int_type=Fraction)


@pytest.mark.parametrize("quantity", sorted(PINT_UNITS))
def test_every_unit_against_pint(quantity: str, registry: pint.UnitRegistry) -> None:
    base, parts = PINT_BASE[quantity]
    for typed, named in PINT_UNITS[quantity].items():
        for text in ("1", "7", "12.5", "0.125"):
            expected = registry.Quantity(Fraction(text), named).to(base).magnitude * parts
            assert parse_amount(quantity, f"{text} {typed}", "in") == expected, typed


def test_temperatures_against_pint(registry: pint.UnitRegistry) -> None:
    for text in ("-40", "0", "32", "68", "98.6", "120.125"):
        expected = registry.Quantity(Fraction(text), "degF").to("degC").magnitude * 9000
        assert parse_amount("temperature", text, "in") == expected
        assert parse_amount("temperature", f"{text} C", "in") == Fraction(text) * 9000


def test_every_unit_word_is_one_of_those_checked() -> None:
    for quantity, named in PINT_UNITS.items():
        assert set(UNITS[quantity].values()) == {UNITS[quantity][typed] for typed in named}


def test_pint_would_read_a_mixed_number_wrong(registry: pint.UnitRegistry) -> None:
    """Why pint never reads what a person typed: 1 3/8 becomes 1 x 3 / 8."""
    assert registry.Quantity("1 3/8 inch").magnitude == Fraction(3, 8)
    assert parse_amount("length", "1 3/8", "in") == Fraction(11, 8) * INCH
