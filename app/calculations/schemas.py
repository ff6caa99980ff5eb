"""What goes in and what comes out, as JSON Schema (draft 2020-12)."""

from collections.abc import Sequence
from typing import Any

from app.calculations.calculation import Calculation
from app.calculations.fields import Field
from app.calculations.reading import MOST_TEXT, UNITS
from app.calculations.shown import key_of
from app.core.checks.base import VERDICTS
from app.core.trade.finding import INFORMATION
from app.core.units import BARE, EXAMPLES

DRAFT = "https://json-schema.org/draft/2020-12/schema"
Json = dict[str, Any]


def request_schema(made: Calculation) -> Json:
    """Return the schema of a calculation's input."""
    units = {"enum": list(UNITS), "default": "in", "description": _UNITS_WORDS}
    body = _object(made.inputs + made.limits, _given, {"units": units})
    return {
        "$schema": DRAFT,
        "title": made.name,
        "description": f"{made.title}. Source: {made.source}.",
        **body,
    }


_UNITS_WORDS = (
    "what a bare number means, and the units of the answer: inches, °F, lb, or mm, °C, kg"
)


def answer_schema(made: Calculation) -> Json:
    """Return the schema of a calculation's answer."""
    lines = {"type": "array", "items": {"type": "string"}}
    return {
        "type": "object",
        "required": ["calculation", "units", "verdict", "results", "says", "remedies", "cautions"],
        "properties": {
            "calculation": {"const": made.name},
            "units": {"enum": list(UNITS)},
            "verdict": {"enum": [INFORMATION, *VERDICTS]},
            "results": _object(made.results, _found),
            "says": lines,
            "remedies": lines,
            "cautions": lines,
        },
    }


def _object(fields: Sequence[Field], schema: Any, more: Json | None = None) -> Json:
    needed = [field.name for field in fields if field.needed and field.start is None]
    made: Json = {
        "type": "object",
        "properties": {**(more or {}), **{field.name: schema(field) for field in fields}},
        "additionalProperties": False,
    }
    return {**made, "required": needed} if needed and schema is _given else made


def _given(field: Field) -> Json:
    """Return the schema of one input."""
    one = _given_one(field)
    if field.many:
        one = {"type": "array", "items": one, "minItems": field.least, "maxItems": field.most}
    one["description"] = field.words + (f". Basis: {field.basis}" if field.basis else "")
    if field.start is not None:
        one["default"] = field.start
    return one


def _given_one(field: Field) -> Json:
    if field.quantity == "group":
        return _object(field.fields, _given)
    if field.quantity == "flag":
        return {"type": "boolean"}
    if field.quantity == "choice":
        return {"enum": list(field.choices)}
    text: Json = {"type": "string", "maxLength": MOST_TEXT}
    if field.quantity == "count":
        return {"type": ["integer", "string"], "examples": [6]}
    if field.quantity in EXAMPLES:
        text["format"] = field.quantity
        text["examples"] = sorted({*EXAMPLES[field.quantity][0], *EXAMPLES[field.quantity][1]})
    if field.quantity == "pressure":
        text["examples"] = ["6.5 psf", "290 Pa", "1.2 inH2O"]
    return text


def _found(field: Field) -> Json:
    """Return the schema of one result; any of them may be null."""
    one = _found_one(field)
    if field.many:
        one = {"type": "array", "items": one}
    return {"description": field.words, "anyOf": [one, {"type": "null"}]}


def _found_one(field: Field) -> Json:
    if field.quantity == "group":
        return _object(field.fields, _found)
    if field.quantity == "sentences":
        return {"type": "array", "items": {"type": "string"}}
    key = key_of(field.quantity)
    if key:
        names = ("text", key)
        properties = {name: {"type": "string"} for name in names}
        return {"type": "object", "properties": properties, "required": list(names)}
    return {"type": {"flag": "boolean", "count": "integer"}.get(field.quantity, "string")}


def kind_of(field: Field) -> str:
    """Return words for what a field takes: "length", "list of length, in or mm"."""
    if field.quantity == "choice":
        kind = " | ".join(field.choices)
    elif field.quantity in BARE:
        kind = f"{field.quantity} ({' or '.join(dict.fromkeys(BARE[field.quantity]))})"
    elif field.quantity == "pressure":
        kind = "pressure (psf or Pa)"
    else:
        kind = field.quantity
    return f"list of {kind}" if field.many else kind
