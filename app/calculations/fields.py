"""What a calculation takes and gives, field by field.

A quantity is one of measure.py's, or of OTHERS. Quantities travel as text in any unit
("3/16 in", "4.8 mm"); a bare number means the units that the request names.
"""

from dataclasses import dataclass, replace
from typing import Any

# quantity -> what it is in JSON, beside the measured ones
OTHERS = {
    "choice": "one of the listed words",
    "flag": "true or false",
    "text": "a short text",
    "pressure": "a pressure, such as 6.5 psf or 290 Pa",
    "group": "an object",
    # results only
    "volume": "a volume",
    "words": "a sentence",
    "decimal": "a plain number",
    "sentences": "a list of sentences",
    "picture": "shapes, as app/core/pictures/drawings.py says",
}
MOST_ITEMS = 500


@dataclass(frozen=True)
class Field:
    """One field: what it means, its quantity, whether it is a list, needed, below zero.

    words: for a person. many: a list of them, from `least` to `most` items. start: the text that is
    taken where the field is left out; needed: it must be given and there is none. fields:
    those of a group. basis: of a limit, where its value comes from.
    """

    name: str
    quantity: str
    words: str
    many: bool = False
    needed: bool = True
    signed: bool = False
    choices: tuple[str, ...] = ()
    start: Any = None
    least: int = 1
    most: int = MOST_ITEMS
    fields: tuple["Field", ...] = ()
    basis: str = ""


def one(name: str, quantity: str, words: str, **more: Any) -> Field:
    """Return a field with one value."""
    return Field(name, quantity, words, **more)


def some(name: str, quantity: str, words: str, **more: Any) -> Field:
    """Return a field with a list of values."""
    return Field(name, quantity, words, many=True, **more)


def length(name: str, words: str, **more: Any) -> Field:
    """Return a field with one length."""
    return Field(name, "length", words, **more)


def lengths(name: str, words: str, **more: Any) -> Field:
    """Return a field with a list of lengths."""
    return Field(name, "length", words, many=True, **more)


def choice(name: str, words: str, *choices: str, **more: Any) -> Field:
    """Return a field that takes one of several words."""
    return Field(name, "choice", words, choices=choices, **more)


def group(name: str, words: str, *fields: Field, **more: Any) -> Field:
    """Return a field with a list of objects."""
    return Field(name, "group", words, many=True, fields=fields, **more)


def maybe(field: Field, start: Any = None) -> Field:
    """Return the field as one that may be left out; then `start` is taken for it."""
    return replace(field, needed=False, start=start)
