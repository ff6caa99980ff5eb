"""Reads a JSON message: bounded, strict, and refused in one line where it does not fit."""

import json
from math import isfinite
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from starlette.requests import Request
from starlette.responses import Response

from app.core.errors import AppError, InputError
from app.core.quantity.messages import Msg

MOST_BYTES = 4 * 1024 * 1024
M = TypeVar("M", bound=BaseModel)


class MessageTooLargeError(AppError):
    """More than a message may hold."""

    status = 413

    def __init__(self, most: int) -> None:
        words = Msg("That is more than {most} bytes: send it in smaller parts.", most=most)
        super().__init__("message-too-large", words, most=most)


class MessageKindError(AppError):
    """A body of another kind than is taken here."""

    status = 415

    def __init__(self, kind: str) -> None:
        super().__init__("message-kind", Msg("Only {kind} is taken here.", kind=kind))


async def body_of(request: Request, kind: str, most: int) -> bytes:
    """Return the body; refused by its stated length before a byte is read, and by its true one.

    Errors: MessageKindError, MessageTooLargeError.
    """
    if request.headers.get("content-type", "").partition(";")[0].strip().lower() != kind:
        raise MessageKindError(kind)
    length = request.headers.get("content-length", "")
    if length.isascii() and length.isdigit() and int(length[:18]) > most:
        raise MessageTooLargeError(most)
    parts: list[bytes] = []
    size = 0
    async for part in request.stream():
        size += len(part)
        if size > most:
            raise MessageTooLargeError(most)
        parts.append(part)
    return b"".join(parts)


def message(model: type[M], body: bytes) -> M:
    """Return a message of a model. Errors: InputError 'json-unreadable', 'message-unfit'."""
    try:
        return model.model_validate(_loaded(body))
    except ValidationError as error:
        raise _unfit(error) from error


def _loaded(body: bytes) -> Any:
    try:
        return json.loads(
            body.decode("utf-8"),
            object_pairs_hook=_each_once,
            parse_float=_finite,
            parse_constant=_no_number,
        )
    except (ValueError, RecursionError) as error:
        raise InputError("json-unreadable", Msg("This is not JSON that can be read.")) from error


def _each_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) != len(pairs):
        raise ValueError("a name twice")
    return made


def _finite(text: str) -> float:
    number = float(text)
    if not isfinite(number):
        raise ValueError(text)
    return number


def _no_number(name: str) -> Any:
    raise ValueError(name)


def _unfit(error: ValidationError) -> InputError:
    first = error.errors(include_url=False, include_input=False, include_context=False)[0]
    field = ".".join(str(part) for part in first["loc"])[:100]
    field = field.encode("ascii", "backslashreplace").decode()
    words = Msg("This does not fit at {field}: {why}.", field=field, why=first["msg"])
    return InputError("message-unfit", words, field=field)


def answer(model: BaseModel) -> Response:
    """Return a model as JSON, in ASCII: what people wrote may hold half a character."""
    return Response(json.dumps(model.model_dump()), media_type="application/json")
