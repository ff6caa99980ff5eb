"""Shows results as JSON: each quantity as text in the asked units, and exact in its SI unit.

    length {"text": "3/16\\"", "nm": "4762500"}    mass {"text", "kg"}    force {"text", "N"}
    temperature {"text", "celsius"}    difference {"text", "kelvin"}    fraction {"text", "ratio"}
    duration {"text", "s"}    volume {"text", "mL"}    pressure {"text", "Pa"}
    count: a whole number

The exact value is decimal text, so that nothing is lost in a float.
"""

from collections.abc import Callable, Sequence
from typing import Any

from app.calculations.fields import Field
from app.calculations.pressures import BARE
from app.core.pictures.drawings import closing
from app.core.quantity.measure import amount_shown, half_up
from app.core.quantity.messages import Len
from app.core.quantity.speaker import Speaker
from app.core.quantity.units import decimal_text
from app.core.trade.water import Pressure

# quantity -> (key, base units in one, decimal places that hold it)
_EXACT = {
    "length": ("nm", 1, 0),
    "mass": ("kg", 10**11, 11),
    "force": ("N", 10**16, 16),
    "temperature": ("celsius", 9000, 4),
    "temperature-difference": ("kelvin", 9000, 4),
    "fraction": ("ratio", 10**6, 6),
    "duration": ("s", 1000, 3),
    "volume": ("mL", 10**21, 3),
}
_CUBIC_INCH = 25400000**3


def key_of(quantity: str) -> str:
    """Return the name of the exact value of a quantity: nm, kg … ("" for a plain one)."""
    if quantity == "pressure":
        return "Pa"
    return _EXACT[quantity][0] if quantity in _EXACT else ""


def results(fields: Sequence[Field], values: dict[str, Any], speaker: Speaker) -> dict[str, Any]:
    """Return what a calculation found, as JSON; a result it has no value for is null."""
    return {field.name: shown(field, values.get(field.name), speaker) for field in fields}


def shown(field: Field, value: Any, speaker: Speaker) -> Any:
    """Return one result as JSON."""
    if value is None:
        return None
    if field.many:
        return [_one(field, item, speaker) for item in value]
    return _one(field, value, speaker)


def _one(field: Field, value: Any, speaker: Speaker) -> Any:
    if value is None:
        return None
    if field.quantity == "group":
        return results(field.fields, value, speaker)
    if field.quantity in _EXACT:
        return _quantity(field.quantity, value, speaker)
    show_one = _PLAIN.get(field.quantity)
    return show_one(value, speaker) if show_one else value


def _pressure(value: Pressure, speaker: Speaker) -> dict[str, str]:
    return {"text": speaker.say(value.said(BARE[speaker.units])), "Pa": _pascals(value)}


def _pascals(value: Pressure) -> str:
    return decimal_text(value.thousandths("Pa"), 3)


def _quantity(quantity: str, value: Any, speaker: Speaker) -> dict[str, str]:
    """Return a quantity; value: whole base units, or a ratio of them."""
    key, size, places = _EXACT[quantity]
    n, d = value if isinstance(value, tuple) else (value, 1)
    return {
        "text": _said(quantity, half_up(n, d), speaker),
        key: signed(half_up(n * 10**places, d * size), places),
    }


def _said(quantity: str, value: int, speaker: Speaker) -> str:
    if quantity == "length":
        return speaker.say(Len(value))
    if quantity != "volume":
        return amount_shown(quantity, value, speaker.units)
    if speaker.units == "mm":
        return decimal_text(half_up(value * 10, 10**21), 1) + " mL"
    return decimal_text(half_up(value * 10, _CUBIC_INCH), 1) + " in³"


def signed(n: int, places: int) -> str:
    """Return n / 10**places as decimal text. Example: signed(-25, 1) -> -2.5"""
    return ("-" if n < 0 else "") + decimal_text(abs(n), places)


_PLAIN: dict[str, Callable[[Any, Speaker], Any]] = {
    "pressure": _pressure,
    "decimal": lambda value, _: signed(*value),
    "words": lambda value, speaker: speaker.say(value),
    "sentences": lambda value, speaker: [speaker.say(sentence) for sentence in value],
    # a door and its plan
    "picture": lambda value, speaker: closing(value[0], value[1], speaker),
}
