"""What a person types, as whole base units, and back.

Any text gives a value or one InputError, the same under both interpreters:
characters are looked up in one table, arithmetic is on whole numbers, and the
text ends at 64 characters. See units.py for base units, typed.py and
amounts.py for reading, lengths.py and durations.py for what is particular to those.
"""

from app.core.errors import InputError
from app.core.quantity.amounts import Reader
from app.core.quantity.durations import duration_of, show_duration
from app.core.quantity.lengths import exact_text, length_of, rounds_away, show_length
from app.core.quantity.messages import Msg
from app.core.quantity.typed import Typed
from app.core.quantity.units import (
    DEGREE_C,
    DEGREE_F,
    KILOGRAM,
    NEWTON,
    PERCENT,
    POUND,
    POUND_FORCE,
    QUANTITIES,
    RANGES,
    decimal_text,
    half_up,
    round_up,
)

__all__ = [
    "QUANTITIES",
    "amount_shown",
    "exact_text",
    "half_up",
    "parse_amount",
    "round_up",
    "rounds_away",
    "show_length",
]


PLAIN_ENDS = ("", "0", "1", "2", "3", "4", "5", "6", "7", "8", "9", '"', "'")


def parse_amount(
    quantity: str, text: str, units: str, negative: bool = False, division: int = 0
) -> int:
    """Return what was typed in whole base units of the quantity.

    Units:   units "in" or "mm" say what a bare number means (inches, °F, lbf, lb, or
             mm, °C, N, kg); a bare duration is minutes, 0:45 is hours and minutes.
             division: smallest division of the instrument, nm: "3/8 strong", "3/8+" is half
             of it over 3/8, "3/8 light", "3/8-" half of it under; 0 refuses them.
    Validity: within ±1,000 m and the like (RANGES); below zero only where negative
             is set, and for temperatures.
    Errors:  InputError (422): empty, too-long, character-unknown, unreadable, separators,
             comma-ambiguous, fraction-zero, fraction-denominator, fraction-improper,
             fraction-metric, unit-missing, unit-unknown, unit-wrong, minus-ambiguous,
             inches-after-feet, too-fine, negative, too-large, division-unknown;
             quantity-unknown.
    Example: parse_amount("length", "1-3/8", "in") -> 34925000
    """
    typed = _typed_amount(quantity, text, units)
    typed.scan()
    below = negative or quantity == "temperature"
    if typed.minus() and not below:
        raise _below_zero(typed)
    strong = _strength(typed, division)
    n, d = _amount_fraction(quantity, Reader(typed))
    value = _whole_units(typed, n, d)
    if strong:
        # over or under the mark: away from zero, or toward it
        value += -strong if typed.minus() else strong
        if value < 0 and not below:
            raise _below_zero(typed)
    return _in_range(typed, value)


def is_strong(text: str) -> bool:
    """Return whether a typed length says a little over or under its mark, as "3/8+" does.

    Example: is_strong("3/8 light") -> True
    """
    if text[-1:] in PLAIN_ENDS:
        return False  # most readings: no need to look closer
    typed = Typed("length", text, "in")
    try:
        typed.scan()
        return typed.strength() != 0
    except InputError:
        return False


def _strength(typed: Typed, division: int) -> int:
    """Return what "strong" adds or "light" takes off, nanometres: half of the division."""
    if typed.quantity != "length":
        return 0
    strong = typed.strength()
    if strong and not division:
        raise typed.error(
            "division-unknown",
            Msg("“{text}” needs an instrument to be a little over or under. Write {example}."),
        )
    return strong * half_up(division, 2)


def _below_zero(typed: Typed) -> InputError:
    return typed.error("negative", Msg("This cannot be below zero. Write it like {example}."))


def _typed_amount(quantity: str, text: str, units: str) -> Typed:
    if quantity not in QUANTITIES:
        raise InputError(
            "quantity-unknown",
            Msg("“{quantity}” is not a quantity that is typed.", quantity=quantity),
        )
    return Typed(quantity, text, units)


def _amount_fraction(quantity: str, reader: Reader) -> "tuple[int, int]":
    """Return the signed amount as a fraction (n, d) of base units."""
    sign = reader.sign()
    if quantity == "count":
        alone = reader.left() == 1
        amount = reader.amounts()[0]
        if not alone or amount.d != 1:
            raise reader.typed.unreadable()
        return sign * amount.n, 1
    if quantity == "duration":
        n, d = duration_of(reader)
    elif quantity == "length":
        n, d = length_of(reader.typed, reader.amounts())
    else:
        return _plain_fraction(reader, sign)
    return sign * n, d


def _plain_fraction(reader: Reader, sign: int) -> "tuple[int, int]":
    amounts = reader.amounts()
    if len(amounts) != 1:
        raise reader.typed.unreadable()
    amount = amounts[0]
    size = reader.typed.factor("" if amount.unit == "°" else amount.unit)
    n = sign * amount.n
    if size == DEGREE_F and reader.typed.quantity == "temperature":
        n -= 32 * amount.d
    return n * size, amount.d


def _whole_units(typed: Typed, n: int, d: int) -> int:
    if n % d:
        raise typed.error(
            "too-fine",
            Msg(
                "That is finer than any tape or gauge reads. Write it like {example}.",
            ),
        )
    return n // d


def _in_range(typed: Typed, value: int) -> int:
    least, most = RANGES[typed.quantity]
    if least <= value <= most:
        return value
    raise typed.error(
        "too-large",
        Msg(
            "“{text}” is beyond what is measured here. Write it like {example}.",
        ),
    )


def amount_shown(quantity: str, value: int, units: str) -> str:
    """Return a value as text in the person's units, to a tenth, half up.

    Units:   value in base units (QUANTITIES); units "in" or "mm".
    Errors:  InputError 'quantity-unknown'.
    Example: amount_shown("temperature", 180000, "in") -> 68 °F
    """
    _typed_amount(quantity, "", units)
    if quantity == "length":
        return show_length(value, units)
    if quantity == "count":
        return str(value)
    if quantity == "duration":
        return show_duration(value)
    if quantity == "temperature" and units != "mm":
        value += 32 * DEGREE_F
    size, mark = _SHOWN[quantity][1 if units == "mm" else 0]
    tenths = half_up(abs(value) * 10, size)
    return ("\u2212" if value < 0 and tenths else "") + decimal_text(tenths, 1) + mark


_SHOWN = {
    "temperature": ((DEGREE_F, " °F"), (DEGREE_C, " °C")),
    "temperature-difference": ((DEGREE_F, " °F"), (DEGREE_C, " °C")),
    "fraction": ((PERCENT, "%"), (PERCENT, "%")),
    # a spring gauge says "lb", and so does who reads it; typed back, lb on a force is lbf
    "force": ((POUND_FORCE, " lb"), (NEWTON, " N")),
    "mass": ((POUND, " lb"), (KILOGRAM, " kg")),
}
