"""What the office's own pages share: the frame with the ways about, fields with their errors."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from starlette.requests import Request
from starlette.responses import HTMLResponse

from app.access.pages import framed_page, speaker_of, tabs_for
from app.access.server import server_of
from app.core.kinds import Json
from app.core.pages.common import PRACTICE
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import MONTHS, Speaker
from app.store.practice import is_practice
from app.store.tables import Person


def practice_words(request: Request) -> str:
    """Return the words over a page whose address names an opening to practise on; else ""."""
    opening = request.path_params.get("opening") or request.path_params.get("id", "")
    if not opening:
        return ""
    with server_of(request).database.read() as session:
        practice = is_practice(session, opening)
    return speaker_of(request).say(PRACTICE) if practice else ""


def office_page(
    request: Request, template: str, title: Msg, context: Json, status: int = 200
) -> HTMLResponse:
    """Return a page of the office."""
    speaker = speaker_of(request)
    person: Person = request.state.person
    frame = {
        "lang": person.lang,
        "title": speaker.say(title),
        "nav": tabs_for(person, "office"),
        "where": None,
        "notices": [],
        "person": person.name,
        "sign_out": {"action": "/sign-out", "hidden": []},
        "practice": practice_words(request),
    }
    return framed_page(request, template, title, {"page": frame, **context}, status)


@dataclass(frozen=True)
class Form:
    """The words of a form on its page; button: None where there is nothing to send.

    about: a paragraph above it, or None. template: one that extends office/form.html.
    """

    title: Msg
    button: Msg | None
    about: Msg | None = None
    template: str = "office/form.html"


def show_form(
    request: Request,
    words: Form,
    form: Json,
    fields: Sequence[Json],
    *,
    kept: bool = False,
    **more: object,
) -> HTMLResponse:
    """Return the page of a form; 422 where something is wrong in it. kept: it was just kept.

    more: what its own template shows beside it.
    """
    say = speaker_of(request).say
    errors = summary_of(fields)
    context = {
        "form": form,
        "fields": list(fields),
        "errors": errors,
        "about": say(words.about) if words.about else "",
        "button": say(words.button) if words.button else "",
        "kept": kept,
        **more,
    }
    status = 422 if errors or form["error"] else 200
    return office_page(request, words.template, words.title, context, status)


def form_field(
    name: str,
    label: str,
    value: str = "",
    *,
    kind: str = "text",
    hint: str = "",
    error: str = "",
    choices: Sequence[Json] = (),
) -> Json:
    """Return a field for the macro of office/fields.html; kind: text, area, select, check, date."""
    return {
        "id": field_id(name),
        "name": name,
        "label": label,
        "value": value,
        "kind": kind,
        "hint": hint,
        "error": error,
        "choices": list(choices),
    }


def field_id(name: str) -> str:
    """Return the id of a form's field on the page."""
    return "f-" + name.replace(".", "-").replace("_", "-")


def summary_of(fields: Sequence[Json]) -> list[Json]:
    """Return the errors of fields as links to them, for the top of the page."""
    return [{"href": "#" + one["id"], "text": one["error"]} for one in fields if one["error"]]


def form_of(action: str, wrong: str = "", **hidden: str) -> Json:
    """Return a form for a template, with its hidden fields; wrong: with the whole of it."""
    pairs = [{"name": name, "value": value} for name, value in hidden.items()]
    return {"id": "form", "action": action, "hidden": pairs, "error": wrong, "typed": {}}


def received_text(speaker: Speaker, received: str) -> str:
    """Return a time as it was kept at receiving, as people here read it: 2 Mar 2026, 14:05."""
    try:
        at = datetime.fromisoformat(received).astimezone()
    except ValueError:
        return received
    return f"{at.day} {speaker.say(Msg(MONTHS[at.month - 1]))} {at.year}, {at:%H:%M}"
