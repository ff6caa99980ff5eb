"""Canonical bytes against another implementation of RFC 8785: the library rfc8785."""

import json

import pytest
import rfc8785
from hypothesis import example, given
from hypothesis import strategies as some

from app.core.errors import InputError
from app.core.record.canonical import GREATEST, canonical_bytes

TEXTS = some.text(some.characters(exclude_categories=["Cs"]))  # Cs: half a character
# The record keeps keys of printable ASCII alone.
KEYS = some.text(some.characters(min_codepoint=32, max_codepoint=126))
PLAIN = some.one_of(some.none(), some.booleans(), some.integers(-GREATEST, GREATEST), TEXTS)
THINGS = some.recursive(
    PLAIN, lambda inside: some.one_of(some.lists(inside), some.dictionaries(KEYS, inside))
)


@given(THINGS)
@example({"b": 1, "a": ["é", "\u007f", "\u2028", "\\", '"', "\b\t\n\f\r\x00\x1f", "😀"], "": None})
@example([GREATEST, -GREATEST, 0, True, False, None, {}, []])
def test_the_bytes_are_those_of_another_writer(thing: object) -> None:
    ours = canonical_bytes(thing)
    assert ours == rfc8785.dumps(thing)  # type: ignore[arg-type]
    assert json.loads(ours) == thing


@given(
    some.one_of(
        some.integers(min_value=GREATEST + 1),
        some.integers(max_value=-GREATEST - 1),
        some.text(some.characters(categories=["Cs"]), min_size=1),
    )
)
def test_what_the_other_refuses_we_refuse(thing: object) -> None:
    with pytest.raises((rfc8785.CanonicalizationError, UnicodeEncodeError)):
        rfc8785.dumps([thing])  # type: ignore[list-item]
    with pytest.raises(InputError) as caught:
        canonical_bytes([thing])
    assert caught.value.code == "not-canonical"
