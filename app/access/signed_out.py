"""A form that arrives when nobody is signed in any more: what was typed is kept."""

from starlette.requests import Request
from starlette.responses import Response

from app.access.errors import error_response
from app.access.forms import read_form
from app.access.kept_form import form_again, typed_fields, without_passwords
from app.access.pages import framed_page
from app.core.errors import AppError
from app.core.kinds import Json
from app.core.quantity.messages import Msg

TITLE = Msg("You are signed out")
# For htmx: the page with its form stays as it is, and only says at its top what to do.
_BESIDE = {
    "HX-Retarget": "#notices",
    "HX-Reselect": "#signed-out",
    "HX-Reswap": "innerHTML show:window:top",
}


async def keep_typed(request: Request, error: AppError) -> Response:
    """Answer 401 in a way that leaves the person what was typed, and the way to send it."""
    if request.headers.get("hx-request") == "true":
        made = framed_page(request, "office/signed_out_piece.html", TITLE, {}, error.status)
        made.headers.update(_BESIDE)
        return made
    try:
        form = await read_form(request)
    except AppError:  # no form: a file, or something that no page of ours sends
        return error_response(request, error)
    return framed_page(
        request, "office/signed_out.html", TITLE, _typed_context(request, form), error.status
    )


def _typed_context(request: Request, form: dict[str, str]) -> Json:
    sent = without_passwords(form)
    return {"form": form_again(request, "again", sent), "kept": typed_fields(sent), "on": []}
