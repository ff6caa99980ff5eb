"""Reads what was sent: each field by its quantity, or one clear InputError that names it."""

import json
from collections.abc import Sequence
from typing import Any

from app.calculations.fields import Field
from app.calculations.pressures import pressure
from app.core.errors import InputError
from app.core.measure import parse
from app.core.units import EXAMPLES
from app.core.words import Msg

MOST_TEXT = 64
MOST_BYTES = 64 * 1024
UNITS = ("in", "mm")

Json = dict[str, Any]


def loaded(text: str | bytes) -> Json:
    """Return the object that a JSON text holds.

    Errors: InputError 'json-broken', 'json-twice' (a name twice in one object),
            'json-object' (anything but an object), 'json-large'.
    """
    if len(text) > MOST_BYTES:
        raise InputError("json-large", Msg("That is more than {most} bytes.", most=MOST_BYTES))
    try:
        made = json.loads(text, object_pairs_hook=_object, parse_constant=_no_constant)
    except (ValueError, RecursionError) as error:  # bad UTF-8 is a ValueError too
        raise InputError("json-broken", Msg("This is not JSON: {why}", why=_why(error))) from error
    if not isinstance(made, dict):
        raise InputError("json-object", Msg("The input must be a JSON object."))
    return made


def _why(error: Exception) -> str:
    if isinstance(error, json.JSONDecodeError):
        return f"{error.msg}, line {error.lineno}, column {error.colno}"
    return "nested too deep" if isinstance(error, RecursionError) else "bytes that are no text"


def _object(pairs: list[tuple[str, Any]]) -> Json:
    made = dict(pairs)
    if len(made) == len(pairs):
        return made
    names = [name for name, _ in pairs]
    twice = next(name for name in names if names.count(name) > 1)
    raise InputError("json-twice", Msg("“{name}” is there twice.", name=_short(twice)))


def _no_constant(text: str) -> None:
    raise InputError("json-broken", Msg("This is not JSON: {why}", why=text))


def units_of(data: Json) -> str:
    """Return the units that the request is in; raises InputError 'units-unknown'."""
    units = data.get("units", "in")
    if units not in UNITS:
        raise InputError(
            "units-unknown", Msg("“units” must be in or mm, not {units}.", units=_short(units))
        )
    return str(units)


def read(fields: Sequence[Field], data: Json, units: str, where: str = "") -> Json:
    """Return name -> value for every field: whole base units, words, None where left out.

    Errors: InputError 'input-unknown', 'input-missing', 'input-kind', 'input-choice',
            'input-few', 'input-many', and those of measure.parse, with the field named.
    """
    known = {field.name for field in fields}
    for name in data:
        if name not in known and not (name == "units" and not where):
            raise _unknown(where + _short(name), known)
    return {field.name: _field(field, data, units, where) for field in fields}


def _unknown(name: str, known: set[str]) -> InputError:
    return InputError(
        "input-unknown",
        Msg("There is no input “{name}” here. There are: {known}.", name=name, known=sorted(known)),
        field=name,
    )


def _field(field: Field, data: Json, units: str, where: str) -> Any:
    name = where + field.name
    value = data.get(field.name)
    if value is None:
        value = field.start
    if value is None:
        if field.needed:
            raise InputError(
                "input-missing",
                Msg("“{name}” is missing: {words}.", name=name, words=field.words),
                field=name,
            )
        return None
    if field.many:
        return _list(field, value, units, name)
    return _one(field, value, units, name)


def _list(field: Field, value: Any, units: str, name: str) -> list[Any]:
    if not isinstance(value, list):
        raise _kind(name, Msg("a list"), value)
    if len(value) < field.least:
        words = Msg("“{name}” needs {least} or more.", name=name, least=field.least)
        raise InputError("input-few", words, field=name)
    if len(value) > field.most:
        words = Msg("“{name}” takes {most} at most.", name=name, most=field.most)
        raise InputError("input-many", words, field=name)
    return [_one(field, item, units, f"{name}[{i}]") for i, item in enumerate(value)]


def _one(field: Field, value: Any, units: str, name: str) -> Any:
    if field.quantity == "group":
        if not isinstance(value, dict):
            raise _kind(name, Msg("an object"), value)
        return read(field.fields, value, units, name + ".")
    if field.quantity == "flag":
        if not isinstance(value, bool):
            raise _kind(name, Msg("true or false"), value)
        return value
    if field.quantity == "count" and isinstance(value, int) and not isinstance(value, bool):
        value = str(value) if abs(value) < 10**9 else "x"
    if not isinstance(value, str):
        raise _kind(name, Msg("text such as {example}", example=example(field.quantity)), value)
    return _text(field, value, units, name)


def _text(field: Field, value: str, units: str, name: str) -> Any:
    if field.quantity == "choice":
        if value not in field.choices:
            words = Msg(
                "“{name}” must be one of {choices}.", name=name, choices=list(field.choices)
            )
            raise InputError("input-choice", words, field=name)
        return value
    if field.quantity == "text":
        if len(value) > MOST_TEXT or not value.isprintable():
            raise _kind(name, Msg("a short text"), value)
        return value
    try:
        if field.quantity == "pressure":
            return pressure(value, units)
        return parse(field.quantity, value, units, field.signed)
    except InputError as error:
        words = Msg("“{name}”: {why}", name=name, why=error.message)
        raise InputError(error.code, words, field=name) from error


def _kind(name: str, wanted: Msg, value: Any) -> InputError:
    return InputError(
        "input-kind",
        Msg(
            "“{name}” must be {wanted}, not {value}.",
            name=name,
            wanted=wanted,
            value=_short(value),
        ),
        field=name,
    )


def example(quantity: str) -> str:
    """Return a text that is right for a quantity."""
    found = EXAMPLES.get(quantity)
    return json.dumps(found[0][0]) if found else '"…"'


def _short(value: Any) -> str:
    """Return a value as one short line, whatever it was."""
    text = value if isinstance(value, str) else json.dumps(value)
    text = "".join(c if c.isprintable() else "?" for c in text[:41])
    return text if len(text) <= 40 else text[:40] + "…"
