"""Amounts in a procedure, such as "1/16 in", "15 min", "40 degF", to whole base units.

pint knows units and dimensions; it never sees the number. It takes "1 3/8 inch" for
0.375 inch (implicit multiplication), so mixed fractions are read here first.
"""

import re
from fractions import Fraction
from functools import cache
from typing import Any

import pint

from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.quantity.units import RANGES

_NUMBER = re.compile(
    r"(?P<sign>-?)(?:(?P<whole>\d+)[ -])?(?P<top>\d+)/(?P<bottom>\d+)"
    r"|(?P<minus>-?)(?P<decimal>\d+(?:\.\d+)?)",
    re.ASCII,
)
# quantity -> (unit that fixes the dimension, base units of measure.py in one of it)
_SCALES = {
    "length": ("meter", 10**9),
    "force": ("newton", 10**16),
    "mass": ("kilogram", 10**11),
    "duration": ("second", 1000),
    "fraction": ("dimensionless", 10**6),
    "temperature": ("kelvin", 9000),
    "temperature-difference": ("kelvin", 9000),
}
# A difference of 5 delta_degF is not a temperature of 5 degF.
_FROM_ZERO = ("degree_Fahrenheit", "degree_Celsius")
_APART = ("delta_degree_Fahrenheit", "delta_degree_Celsius")
_ZERO_CELSIUS = Fraction("273.15")
QUANTITIES = (*_SCALES, "count")


@cache
def _registry() -> Any:
    """Return pint's units, made at the first amount: a fifth of a second that few starts need.

    Fractions all the way: 1/16 in is exactly 1 587 500 nm.
    """
    return pint.UnitRegistry(non_int_type=Fraction)


class AmountError(ValueError):
    """A text that is no amount; message: why, to be said in any language."""

    def __init__(self, message: Msg) -> None:
        super().__init__(Speaker().say(message))
        self.message = message


def read_amount(text: str, quantity: str) -> int:
    """Return an amount in whole base units (see app/core/quantity/measure.py).

    Errors:  AmountError with the reason: no number, no or unknown unit, another
             dimension, or finer than the base unit.
    Example: read_amount("1 3/8 in", "length") -> 34925000
    """
    number, unit = _split_unit(text)
    if quantity == "count":
        if unit:
            words = Msg("“{text}” is a count: a whole number without a unit", text=text)
            raise AmountError(words)
        return _whole_number(number, text)
    if not unit:
        raise AmountError(Msg("“{text}” has no unit", text=text))
    return _whole_number(_scaled_amount(number, unit, quantity, text), text)


def read_asked(text: str, quantity: str) -> int:
    """Return an amount that is asked of a door: a limit or a setting, in whole base units.

    Errors:  AmountError as read_amount says, below zero, or beyond what is measured (RANGES).
    Example: read_asked("1/16 in", "length") -> 1587500
    """
    amount = read_amount(text, quantity)
    if amount < 0 and quantity != "temperature":
        raise AmountError(Msg("“{text}” is below zero", text=text))
    if amount > RANGES.get(quantity, (0, amount))[1]:
        raise AmountError(Msg("“{text}” is beyond what is measured here", text=text))
    return amount


def _split_unit(text: str) -> tuple[Fraction, str]:
    found = _NUMBER.match(text)
    if not found:
        words = Msg("“{text}” does not start with a number such as 3/8, 1 3/8 or 0.375", text=text)
        raise AmountError(words)
    unit = text[found.end() :].strip()
    if not re.fullmatch(r"[A-Za-z_]*|%", unit):
        raise AmountError(Msg("“{text}” is not one number with one unit", text=text))
    if found["decimal"]:
        number = Fraction(found["decimal"])
        return (-number if found["minus"] else number), unit
    return _mixed_number(found, text), unit


def _mixed_number(found: re.Match[str], text: str) -> Fraction:
    top, bottom = int(found["top"]), int(found["bottom"])
    if bottom == 0:
        raise AmountError(Msg("“{text}” divides by nothing", text=text))
    if found["whole"] and top >= bottom:
        raise AmountError(Msg("“{text}” is not a proper mixed fraction", text=text))
    number = int(found["whole"] or 0) + Fraction(top, bottom)
    return -number if found["sign"] else number


def _scaled_amount(number: Fraction, unit: str, quantity: str, text: str) -> Fraction:
    to, scale = _SCALES[quantity]
    units = _registry()  # asked once: two threads at the first amount may each make one
    try:
        kind = units.Unit("percent" if unit == "%" else unit)
    except pint.UndefinedUnitError:
        raise AmountError(Msg("“{unit}” in “{text}” is not a unit", unit=unit, text=text)) from None
    wrong = {"temperature": _APART, "temperature-difference": _FROM_ZERO}.get(quantity, ())
    if kind.dimensionality != units.Unit(to).dimensionality or str(kind) in wrong:
        raise AmountError(Msg("“{text}” is not a {quantity}", text=text, quantity=Msg(quantity)))
    value = Fraction(units.Quantity(number, kind).to(to).magnitude)
    return (value - _ZERO_CELSIUS if quantity == "temperature" else value) * scale


def _whole_number(value: Fraction, text: str) -> int:
    if value.denominator != 1:
        raise AmountError(Msg("“{text}” is finer than what is recorded", text=text))
    return value.numerator
