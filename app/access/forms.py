"""Reads a form's body: bounded in size, and refused in words where it is no form."""

from urllib.parse import parse_qsl

from starlette.requests import Request

from app.core.errors import AppError
from app.core.words import Msg

MOST_BYTES = 256 * 1024
MOST_FIELDS = 1000
KIND = "application/x-www-form-urlencoded"


class FormError(AppError):
    """A body that cannot be read as a form."""

    status = 400

    def __init__(self) -> None:
        super().__init__("form-unreadable", Msg("This form arrived damaged. Send it again."))


class FormKindError(AppError):
    """A body of a kind that no form of ours sends."""

    status = 415

    def __init__(self) -> None:
        super().__init__("form-kind", Msg("Sillbook takes only forms here."))


class TooLargeError(AppError):
    """More than any form of ours can hold."""

    status = 413

    def __init__(self) -> None:
        words = Msg("That is more than fits in one entry. Shorten it and send it again.")
        super().__init__("form-too-large", words)


async def read_form(request: Request) -> dict[str, str]:
    """Return the fields of a form; of a field that comes twice the last.

    Errors: FormKindError, TooLargeError, FormError.
    """
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != KIND:
        raise FormKindError
    return parse(await _body(request))


async def _body(request: Request) -> bytes:
    length = request.headers.get("content-length", "")
    if length.isascii() and length.isdigit() and int(length[:18]) > MOST_BYTES:
        raise TooLargeError
    parts: list[bytes] = []
    size = 0
    async for part in request.stream():
        size += len(part)
        if size > MOST_BYTES:
            raise TooLargeError
        parts.append(part)
    return b"".join(parts)


def parse(body: bytes) -> dict[str, str]:
    """Return the fields of a urlencoded body; raises FormError.

    Source:  WHATWG URL, application/x-www-form-urlencoded (only & separates; UTF-8).
    Example: parse(b"size=1+3%2F8&note=") -> {"size": "1 3/8", "note": ""}
    """
    try:
        pairs = parse_qsl(
            body.decode("ascii"),
            keep_blank_values=True,
            errors="strict",
            max_num_fields=MOST_FIELDS,
        )
    except ValueError as error:  # not ASCII, not UTF-8 inside, or too many fields
        raise FormError from error
    return dict(pairs)
