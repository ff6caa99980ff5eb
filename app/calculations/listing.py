"""Every calculation for a person to read: inputs, units, limits, source."""

import json
from collections.abc import Iterator, Sequence
from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema

from app.calculations.calculation import Calculation
from app.calculations.fields import Field
from app.calculations.limits import FOLDER
from app.calculations.registry import CALCULATIONS
from app.core.quantity.units import BARE


def as_text() -> str:
    """Return the list as text."""
    return "\n\n".join("\n".join(_lines(made)) for made in CALCULATIONS)


def _lines(made: Calculation) -> Iterator[str]:
    yield f"{made.name}: {made.title}"
    yield from _fields("takes", made.inputs)
    yield from _fields("limits", made.limits)
    yield from _fields("gives", made.results)
    yield f"  source: {made.source}"


def _fields(head: str, fields: Sequence[Field], indent: str = "  ") -> Iterator[str]:
    if not fields:
        return
    yield f"{indent}{head}:"
    for field in fields:
        yield f"{indent}  {field.name}: {_kind_of(field)}{_left_out(field)}. {field.words}"
        if field.basis:
            yield f"{indent}    basis: {field.basis}"
        yield from _fields("each", field.fields, indent + "    ")


def _left_out(field: Field) -> str:
    if field.start not in (None, False):
        return f", {field.start} if left out"
    return "" if field.needed else ", may be left out"


def _kind_of(field: Field) -> str:
    """Return words for what a field takes: "length", "list of length (in or mm)"."""
    if field.quantity == "choice":
        kind = " | ".join(field.choices)
    elif field.quantity in BARE:
        kind = f"{field.quantity} ({' or '.join(dict.fromkeys(BARE[field.quantity]))})"
    elif field.quantity == "pressure":
        kind = "pressure (psf or Pa)"
    else:
        kind = field.quantity
    return f"list of {kind}" if field.many else kind


def as_schemas() -> dict[str, Any]:
    """Return name -> JSON Schema of each calculation's input."""
    return {made.name: _schema(made.request) for made in CALCULATIONS}


def as_entry(made: Calculation) -> dict[str, Any]:
    """Return a calculation as JSON: name, title, source, bases of its limits, both schemas."""
    return {
        "name": made.name,
        "title": made.title,
        "source": made.source,
        "limits": [{"name": one.name, "basis": one.basis} for one in made.limits],
        "input": _schema(made.request),
        "answer": _schema(made.response),
    }


def _schema(model: type[BaseModel]) -> dict[str, Any]:
    return {"$schema": GenerateJsonSchema.schema_dialect, **model.model_json_schema()}


def example(name: str) -> dict[str, Any]:
    """Return the example input of a calculation."""
    text = (FOLDER / "examples" / f"{name}.json").read_text(encoding="utf-8")
    return json.loads(text)  # type: ignore[no-any-return]
