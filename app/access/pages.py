"""Pages that stand outside the field book: signing in, errors."""

from starlette.requests import Request
from starlette.responses import HTMLResponse

from app.core.kinds import Json
from app.core.words import Msg, Speaker
from app.field.templates import render
from app.store.tables import Person


def speaker_for(person: Person | None) -> Speaker:
    """Return who speaks to a person, in their units."""
    return Speaker(units=person.units if person else "in")


def speaker_of(request: Request) -> Speaker:
    """Return who speaks to whoever sent this request, as far as that is known yet."""
    return speaker_for(getattr(request.state, "person", None))


def page(
    request: Request, template: str, title: Msg, context: Json, status: int = 200
) -> HTMLResponse:
    """Return a page made from a template, with the frame that base.html asks for."""
    speaker = speaker_of(request)
    person: Person | None = getattr(request.state, "person", None)
    frame: Json = {
        "lang": person.lang if person else "en",
        "title": speaker.say(title),
        "nav": [],
        "where": None,
        "notices": [],
        "person": person.name if person else "",
        "sign_out": {"action": "/sign-out", "hidden": []} if person else None,
    }
    return HTMLResponse(render(template, {"page": frame, **context}, speaker), status)
