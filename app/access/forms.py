"""Reads a form's body: bounded in size, and refused in words where it is no form.

A page's forms carry whom they were made for: nobody's word is taken as another's.
"""

from typing import Any
from urllib.parse import parse_qsl

from starlette.datastructures import UploadFile
from starlette.requests import Request

from app.core.errors import AppError
from app.core.quantity.messages import Msg
from app.store.tables import Person

MOST_BYTES = 256 * 1024
MOST_FIELDS = 1000
BY = "made-for"  # the hidden field with the id of the person that a form was made for
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


class OtherPersonError(AppError):
    """A form that was made for somebody else than who is signed in now. form: its fields."""

    status = 409

    def __init__(self, form: dict[str, str]) -> None:
        words = Msg("This was typed by somebody else than who is signed in now.")
        super().__init__("other-person", words)
        self.form = form


def made_for(context: Any, person: str) -> None:
    """Have every form in a page's context carry whom it is made for; but signing out is anyone's.

    Forms are known by their shape (see office.pages.form_of, core's make_form): so no page can
    forget it.
    """
    if isinstance(context, dict):
        if "hidden" in context and context.get("action", "/sign-out") != "/sign-out":
            _carry_fields(context["hidden"], person)
        for value in context.values():
            made_for(value, person)
    elif isinstance(context, list):
        for value in context:
            made_for(value, person)


def _carry_fields(hidden: list[dict[str, str]], person: str) -> None:
    if all(one["name"] != BY for one in hidden):
        hidden.append({"name": BY, "value": person})


async def read_form(request: Request) -> dict[str, str]:
    """Return the fields of a form; of a field that comes twice the last.

    Errors: FormKindError, TooLargeError, FormError; OtherPersonError where it was made for
    somebody else than who is signed in.
    """
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != KIND:
        raise FormKindError
    form = parse_fields(await _body_of(request))
    person: Person | None = getattr(request.state, "person", None)
    if person is None:
        return form
    if form.get(BY, person.id) != person.id:
        raise OtherPersonError(form)
    form.pop(BY, None)
    return form


async def read_file(
    request: Request, name: str, most: int, fields: int = 1
) -> tuple[bytes, dict[str, str]]:
    """Return the file of a form, b"" where none came, and what stands in its other fields.

    most: bytes of the file. fields: how many others the form may have. Errors: TooLargeError.
    """
    length = request.headers.get("content-length", "")
    if not length.isdigit() or int(length) > most + 10_000:
        raise TooLargeError
    async with request.form(max_files=1, max_fields=fields) as form:
        file = form.get(name)
        data = await file.read() if isinstance(file, UploadFile) else b""
        return data, {key: value for key, value in form.items() if isinstance(value, str)}


async def _body_of(request: Request) -> bytes:
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


def parse_fields(body: bytes) -> dict[str, str]:
    """Return the fields of a urlencoded body; raises FormError.

    Source:  WHATWG URL, application/x-www-form-urlencoded (only & separates; UTF-8).
    Example: parse_fields(b"size=1+3%2F8&note=") -> {"size": "1 3/8", "note": ""}
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
    # no field that a person fills in gives a NUL, and PostgreSQL keeps none
    return {name.replace("\0", "\ufffd"): text.replace("\0", "\ufffd") for name, text in pairs}
