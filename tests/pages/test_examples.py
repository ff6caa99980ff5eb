"""Every example beside a reading can be typed with our own keys, which stand below it.

The keys are read from templates/field/keypad.html. The rule is this project's own.
"""

import re
from fractions import Fraction
from pathlib import Path

import pytest

from app.core.pages.entering import EXAMPLES

KEYPAD = Path(__file__).parents[2] / "templates" / "field" / "keypad.html"
KINDS = {"length-in": "inches", "length-mm": "mm", "duration": "time"}


def keys_of(kind: str) -> list[str]:
    """Return what the keys of a keypad add to what stands there."""
    parts = re.split(r'{% (?:el)?if entry\.keypad == "(\w+)" %}|{% else %}', KEYPAD.read_text())
    found = dict(zip([name or "plain" for name in parts[1::2]], parts[2::2], strict=True))
    return re.findall(r'data-key="([^"]+)"', found[kind])


def eighths_and_more(keys: list[str]) -> set[Fraction]:
    """Return the fractions that one key of eighths, + 1/16 and + 1/32 make."""
    whole = [Fraction(0)] + [Fraction(key) for key in keys if re.fullmatch(r"\d/\d", key)]
    more = [Fraction(0)] + [Fraction(key[1:]) for key in keys if key.startswith("+")]
    return {a + b for a in whole for b in more}


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_can_be_typed_with_the_keys_below_it(name: str) -> None:
    keys = keys_of(KINDS.get(name, "plain"))
    for example in EXAMPLES[name].split(", "):
        fractions = re.findall(r"\d+/\d+", example)
        assert all(Fraction(each) in eighths_and_more(keys) for each in fractions), example
        left = re.sub(r"\d+/\d+", "", example)
        for key in sorted(keys, key=len, reverse=True):
            left = left.replace(key.strip(), "") if key.strip() else left
        assert left.strip() == "", (name, left)
