"""Canonical bytes and hashes.

RFC 8785 (JSON Canonicalization Scheme) restricted to strings, integers within
±(2^53 - 1), booleans, null, lists, and objects with ASCII keys. Anything else is
refused, so that two implementations cannot write the same thing differently.
"""

import binascii
import hashlib
import json

from app.core.errors import InputError
from app.core.kinds import Any
from app.core.order import sort_by
from app.core.quantity.messages import Msg

GREATEST = 2**53 - 1
_SHORT = {
    '"': '\\"',
    "\\": "\\\\",
    "\b": "\\b",
    "\f": "\\f",
    "\n": "\\n",
    "\r": "\\r",
    "\t": "\\t",
}
_HEX = "0123456789abcdef"


def canonical_bytes(thing: Any) -> bytes:
    """Return the canonical bytes of a JSON value.

    Errors:  InputError 'not-canonical' for floats, large integers, lone surrogates,
             keys that are not ASCII text, and anything that is not JSON.
    Source:  RFC 8785 section 3.2 (restricted).
    Example: canonical_bytes({"b": 1, "a": ["é"]}) -> b'{"a":["\\xc3\\xa9"],"b":1}'
    """
    out: list[str] = []
    _write_value(thing, out)
    return "".join(out).encode("utf-8")


def digest(thing: Any) -> str:
    """Return the SHA-256 of a JSON value's canonical bytes, as 64 hex digits."""
    return binascii.hexlify(hashlib.sha256(canonical_bytes(thing)).digest()).decode()


def _write_value(thing: Any, out: "list[str]") -> None:
    if thing is None:
        out.append("null")
    elif thing is True:
        out.append("true")
    elif thing is False:
        out.append("false")
    elif isinstance(thing, int):
        out.append(_integer_text(thing))
    elif isinstance(thing, str):
        out.append(_string_text(thing))
    elif isinstance(thing, (list, tuple)):
        _write_list(thing, out)
    elif isinstance(thing, dict):
        _write_object(thing, out)
    else:
        raise _refuse("a value of a kind that the record does not keep")


def _write_list(things: Any, out: "list[str]") -> None:
    out.append("[")
    comma = ""
    for thing in things:
        out.append(comma)
        _write_value(thing, out)
        comma = ","
    out.append("]")


def _write_object(thing: Any, out: "list[str]") -> None:
    out.append("{")
    for key, text in _keys_in_order(thing):
        out.append(text)
        _write_value(thing[key], out)
    out.append("}")


def _keys_in_order(thing: Any) -> "list[tuple[str, str]]":
    """Return an object's keys in order, each with what is written before its value.

    RFC 8785 sorts by UTF-16 units; among ASCII keys every order is the same.
    """
    names = tuple([key for key in thing])
    known = _SHAPES.get(names)
    if known is not None:
        return known
    out: list[tuple[str, str]] = []
    for key in names:
        if not isinstance(key, str) or any([ord(char) > 126 or ord(char) < 32 for char in key]):
            raise _refuse("a key that is not plain text")
    for key in sort_by(list(names), lambda key: key):
        out.append((key, ("," if out else "") + _string_text(key) + ":"))
    if len(_SHAPES) < MOST_SHAPES and len(out) <= MOST_KEYS:
        _SHAPES[names] = out
    return out


# keys of an object -> the same, written: events and procedures have few kinds of objects
_SHAPES: "dict[tuple[str, ...], list[tuple[str, str]]]" = {}
MOST_SHAPES = 300
MOST_KEYS = 30


def _integer_text(number: int) -> str:
    if -GREATEST <= number <= GREATEST:
        return str(number)
    raise _refuse("a number beyond 2^53")


def _string_text(text: str) -> str:
    plain = json.dumps(text)
    # nothing escaped by either interpreter, and nothing beyond ASCII: the same by every writer
    if len(plain) == len(text) + 2 and len(text.encode("utf-8")) == len(text):
        return plain
    return '"' + "".join([_char_text(char) for char in text]) + '"'


def _char_text(char: str) -> str:
    code = ord(char)
    if char in _SHORT:
        return _SHORT[char]
    if code < 32:
        return "\\u00" + _HEX[code >> 4] + _HEX[code & 15]
    if 0xD800 <= code <= 0xDFFF:
        raise _refuse("half a character")
    return char


def _refuse(what: str) -> InputError:
    return InputError("not-canonical", Msg("This cannot be recorded: {what}.", what=Msg(what)))
