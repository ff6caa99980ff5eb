"""Requests and answers as pydantic models, made of a calculation's fields.

pydantic reads what was sent and writes the schemas; FastAPI makes routes of the models.
"""

import json
from collections.abc import Callable, Sequence
from contextvars import ContextVar
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    PlainValidator,
    StrictBool,
    StringConstraints,
    WithJsonSchema,
    create_model,
    model_validator,
)
from pydantic import Field as Described
from pydantic_core import PydanticCustomError

from app.calculations.fields import Field
from app.calculations.pressures import pressure
from app.calculations.shown import key_of
from app.core.errors import InputError
from app.core.quantity.measure import parse_amount
from app.core.quantity.messages import Msg
from app.core.quantity.units import EXAMPLES
from app.core.trade.finding import INFORMATION
from app.core.trade.verdicts import VERDICTS

MOST_TEXT = 64
PRESSURES = (["6.5 psf", "1.2 inH2O"], ["290 Pa"])
# What a bare number means while one request is read: groups do not see the request around them.
_UNITS: ContextVar[str] = ContextVar("units", default="in")


class StrictModel(BaseModel):
    """No field but those named."""

    model_config = ConfigDict(extra="forbid", validate_default=True)


class Part(StrictModel):
    """A request or a group in one."""

    @model_validator(mode="before")
    @classmethod
    def _left_out(cls, data: Any) -> Any:
        """Take null for a field that was left out."""
        if not isinstance(data, dict):
            return data
        return {name: value for name, value in data.items() if value is not None}


class RequestModel(Part):
    """What every calculation is asked."""

    units: Annotated[
        Literal["in", "mm"],
        Described(
            description="what a bare number means, and the units of the answer: "
            "inches, °F, lb, or mm, °C, kg"
        ),
    ] = "in"

    @model_validator(mode="wrap")
    @classmethod
    def _in_units(cls, data: Any, read: Callable[[Any], "RequestModel"]) -> "RequestModel":
        """Read the fields, a bare number in the units that the request names."""
        metric = isinstance(data, dict) and data.get("units") == "mm"
        before = _UNITS.set("mm" if metric else "in")
        try:
            return read(data)
        finally:
            _UNITS.reset(before)


class AnswerModel(StrictModel):
    """What every calculation answers."""

    calculation: str
    units: Literal["in", "mm"]
    verdict: Literal[INFORMATION, *VERDICTS]  # type: ignore[valid-type]
    results: Any
    says: list[str]
    remedies: list[str]
    cautions: list[str]


def request_model(name: str, about: str, fields: Sequence[Field]) -> type[RequestModel]:
    """Return the model of a calculation's request. about: what it works out, and its source."""
    return create_model(
        class_name(name),
        __base__=RequestModel,
        __doc__=about,
        __cls_kwargs__={"title": name},
        **_inputs(class_name(name), fields),
    )


def answer_model(name: str, fields: Sequence[Field]) -> type[AnswerModel]:
    """Return the model of a calculation's answer."""
    title = class_name(name)
    results = create_model(title + "Results", __base__=StrictModel, **_results(title, fields))
    own: dict[str, Any] = {"calculation": (Literal[name], ...), "results": (results, ...)}
    return create_model(title + "Answer", __base__=AnswerModel, **own)


def class_name(name: str) -> str:
    """Return a name for a class. Example: class_name("sill-range") -> SillRange"""
    return name.replace("_", "-").title().replace("-", "")


def _inputs(title: str, fields: Sequence[Field]) -> dict[str, Any]:
    return {field.name: _input(title, field) for field in fields}


def _input(title: str, field: Field) -> tuple[Any, Any]:
    """Return the type and the default of one input, as create_model takes them."""
    kind = _input_type(title, field)
    if field.many:
        items = Described(min_length=field.least, max_length=field.most, strict=True)
        kind = Annotated[list[kind], items]  # type: ignore[valid-type]
    words = field.words + (f". Basis: {field.basis}" if field.basis else "")
    if field.start is None and not field.needed:
        kind = kind | None
    default = ... if field.start is None and field.needed else field.start
    return kind, Described(default, description=words)


def _input_type(title: str, field: Field) -> Any:
    if field.quantity == "group":
        part = title + class_name(field.name)
        return create_model(part, __base__=Part, **_inputs(part, field.fields))
    if field.quantity == "flag":
        return StrictBool
    if field.quantity == "choice":
        return Literal[field.choices]
    if field.quantity == "text":
        return Annotated[str, StringConstraints(strict=True, max_length=MOST_TEXT), _PRINTABLE]
    return Annotated[
        Any,
        PlainValidator(_reader(field.quantity, field.signed)),
        WithJsonSchema(_typed_schema(field.quantity)),
    ]


def _printable(text: str) -> str:
    if not text.isprintable():
        raise PydanticCustomError("string_type", "Write a short text.")
    return text


_PRINTABLE = AfterValidator(_printable)


def _reader(quantity: str, signed: bool) -> Callable[[Any], Any]:
    """Return what reads a quantity as the core reads it: whole base units, or a Pressure."""

    def read(value: Any) -> Any:
        if quantity == "count" and isinstance(value, int) and not isinstance(value, bool):
            value = str(value)
        if not isinstance(value, str):
            example = json.dumps(_examples(quantity)[0])
            raise _refused("input-kind", Msg("Write text such as {example}.", example=example))
        try:
            if quantity == "pressure":
                return pressure(value, _UNITS.get())
            return parse_amount(quantity, value, _UNITS.get(), signed)
        except InputError as error:
            raise _refused(error.code, error.message) from error

    return read


def _refused(code: str, why: Msg) -> PydanticCustomError:
    """Return the core's words as an error of pydantic, which adds where it was."""
    return PydanticCustomError(code, why.template, {"why": why})  # type: ignore[arg-type]


def _examples(quantity: str) -> list[str]:
    inches, metric = PRESSURES if quantity == "pressure" else EXAMPLES[quantity]
    return list(dict.fromkeys([*inches, *metric]))


def _typed_schema(quantity: str) -> dict[str, Any]:
    if quantity == "count":
        return {"type": ["integer", "string"], "examples": [6]}
    examples = _examples(quantity)
    return {"type": "string", "maxLength": MOST_TEXT, "format": quantity, "examples": examples}


def _results(title: str, fields: Sequence[Field]) -> dict[str, Any]:
    """Return the type of each result; any of them may be null."""
    return {
        field.name: (_result(title, field) | None, Described(description=field.words))
        for field in fields
    }


def _result(title: str, field: Field) -> Any:
    kind = _result_type(title, field)
    return list[kind | None] if field.many else kind  # type: ignore[valid-type]


def _result_type(title: str, field: Field) -> Any:
    if field.quantity == "group":
        part = title + "Result" + class_name(field.name)
        return create_model(part, __base__=StrictModel, **_results(part, field.fields))
    if key := key_of(field.quantity):
        return _quantity_model(key)
    plain = {"sentences": list[str], "flag": bool, "count": int, "picture": dict[str, Any]}
    return plain.get(field.quantity, str)


@cache
def _quantity_model(key: str) -> type[StrictModel]:
    """Return the model of a quantity that was found: as text, and exact in its SI unit."""
    parts: dict[str, Any] = {"text": (str, ...), key: (str, ...)}
    return create_model("QuantityIn" + key.title(), __base__=StrictModel, **parts)
