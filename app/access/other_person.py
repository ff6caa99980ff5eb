"""A form that was made for one person and is sent as another: nobody's word is kept as another's.

It happens where two share a browser: one leaves a page open, the other signs in on another, and
the first page is sent after all. The server cannot know who typed, so it asks.
"""

from starlette.requests import Request
from starlette.responses import Response

from app.access.errors import error_response, wants_json
from app.access.forms import BY, OtherPersonError, read_form
from app.access.kept_form import form_again, typed_fields, without_passwords
from app.access.pages import framed_page, speaker_of
from app.access.server import server_of
from app.core.errors import AppError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.store import people
from app.store.tables import Person

_TITLE = Msg("Another person is signed in now")


async def on_other_person(request: Request, error: Exception) -> Response:
    """Ask who is signed in whether to keep it as theirs; nothing was kept yet."""
    assert isinstance(error, OtherPersonError)  # noqa: S101  (registered for it alone)
    return _ask_response(request, error, may=True)


async def on_not_theirs(request: Request, error: Exception) -> Response:
    """Refuse a page of the office; what somebody else had typed is kept for them."""
    assert isinstance(error, AppError)  # noqa: S101  (registered for such alone)
    if request.method == "POST":
        try:
            await read_form(request)
        except OtherPersonError as other:
            return _ask_response(request, other, may=False)
        except AppError:  # no form of ours: there is nothing to keep
            pass
    return error_response(request, error)


def _ask_response(request: Request, error: OtherPersonError, *, may: bool) -> Response:
    if wants_json(request):
        return error_response(request, error)
    with server_of(request).database.read() as session:
        names = people.names_by_id(session)
    context = _ask_context(request, error.form, names, may)
    return framed_page(request, "office/other_person.html", _TITLE, context, error.status)


def _ask_context(request: Request, form: dict[str, str], names: dict[str, str], may: bool) -> Json:
    say = speaker_of(request).say
    now: Person = request.state.person
    typed_by = names.get(form[BY]) or say(Msg("a person no longer listed"))
    sent = without_passwords(form)
    return {
        "now": now.name,
        "typed_by": typed_by,
        "keep": form_again(request, "keep", {**sent, BY: now.id}) if may else None,
        "back": form_again(request, "back", sent),
        "keep_text": say(Msg("Keep it as {name}", name=now.name)),
        "back_text": say(Msg("Send it as {name}", name=typed_by)),
        "kept": typed_fields(sent),
        "on": [],
    }
