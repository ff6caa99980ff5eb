"""Reads a JSON text, and turns what pydantic refuses into one clear error that names the field."""

import json
from collections.abc import Sequence
from typing import Any

from app.calculations.fields import Field
from app.core.errors import InputError
from app.core.quantity.messages import Msg

MOST_BYTES = 64 * 1024

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


def refusal(errors: Sequence[Any], fields: Sequence[Field]) -> InputError:
    """Return the first error of pydantic in our words; an unknown name goes before the others.

    errors: as ValidationError.errors() has them. fields: those of the request.
    """
    error = next((one for one in errors if one["type"] == "extra_forbidden"), errors[0])
    name, words, beside, inside = "", "", fields, fields
    for part in error["loc"]:
        if isinstance(part, int):
            name += f"[{part}]"
            continue
        name += ("." if name else "") + _short(part)
        beside = inside
        field = next((one for one in beside if one.name == part), None)
        words, inside = (field.words, field.fields) if field else ("", ())
    context = error.get("ctx", {})
    code, message = _CODES.get(error["type"], ("input-kind", _NOT_THAT))
    if "why" in context:
        code, message = error["type"], _BECAUSE
    more = {"words": words, "known": sorted(one.name for one in beside), "why": error["msg"]}
    shown = {"value": _short(error["input"]), "wanted": _WANTED.get(error["type"], "")}
    return InputError(code, Msg(message.template, name=name, **more | shown | context), field=name)


_CODES = {
    "missing": ("input-missing", Msg("“{name}” is missing: {words}.")),
    "extra_forbidden": (
        "input-unknown",
        Msg("There is no input “{name}” here. There are: {known}."),
    ),
    "literal_error": ("input-choice", Msg("“{name}” must be {expected}, not {value}.")),
    "too_short": ("input-few", Msg("“{name}” needs {min_length} or more.")),
    "too_long": ("input-many", Msg("“{name}” takes {max_length} at most.")),
}
_BECAUSE = Msg("“{name}”: {why}")
_NOT_THAT = Msg("“{name}” must be {wanted}, not {value}.")
_WANTED = {
    "bool_type": Msg("true or false"),
    "list_type": Msg("a list"),
    "model_type": Msg("an object"),
    "string_type": Msg("a short text"),
    "string_too_long": Msg("a short text"),
}


def _short(value: Any) -> str:
    """Return a value as one short line, whatever it was."""
    text = value if isinstance(value, str) else json.dumps(value)
    text = "".join(c if c.isprintable() else "?" for c in text[:41])
    return text if len(text) <= 40 else text[:40] + "…"
