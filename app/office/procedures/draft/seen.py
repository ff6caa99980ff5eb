"""What the crew would see of a draft: the core's own page on an example door or an opening's."""

import re

import yaml
from markupsafe import Markup
from sqlmodel import Session
from starlette.requests import Request

from app.access.pages import framed_page
from app.core import entry
from app.core.errors import AppError
from app.core.kinds import Json
from app.core.pages import common
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.field.server import local_now
from app.office.procedures import crew
from app.procedures.drawings import drawing_json
from app.store import people
from app.store.ids import uuid7
from app.store.procedures import key_of
from app.store.tables import Person
from app.words.catalogs import catalog

_FORM = re.compile(r"</?form\b[^>]*>")
EXAMPLE = "example-"  # before the name of an example's file, in what a page says of its door


def door_choices(session: Session, compiled: Json, speaker: Speaker, chosen: str) -> list[Json]:
    """Return the doors that a draft may be shown on: examples of its kinds, then openings."""
    out = []
    for path in sorted(crew.EXAMPLES.glob("*.yaml")):
        drawing: Json = drawing_json(yaml.safe_load(path.read_text(encoding="utf-8")))
        if drawing["door"] in compiled["doors"]:
            words = speaker.say(common.door_words(crew.state_of(compiled, drawing)))
            value = EXAMPLE + path.stem
            out.append(common.form_choice(value, f"{words} ({path.stem})", value == chosen))
    return out + crew.openings_to_show(session, chosen)


def drawing_chosen(session: Session, compiled: Json, chosen: str, known: dict[str, Json]) -> Json:
    """Return the drawing of what was chosen; of nothing known, the first example."""
    name = chosen.removeprefix(EXAMPLE)
    path = crew.EXAMPLES / f"{name}.yaml"
    if chosen.startswith(EXAMPLE) and path in crew.EXAMPLES.glob("*.yaml"):
        drawing: Json = drawing_json(yaml.safe_load(path.read_text(encoding="utf-8")))
        return drawing
    opening = "" if chosen.startswith(EXAMPLE) else chosen
    try:
        return crew.drawing_for(session, compiled, opening, known)
    except AppError:
        return crew.drawing_for(session, compiled, "", known)


def crew_page(request: Request, compiled: Json, drawing: Json, path: str) -> Markup:
    """Return what stands on the crew's page at a path of the opening, with nothing to send."""
    person: Person = request.state.person
    issue = crew.state_of(compiled, drawing).ledger.events[0]
    place = {"id": crew.SHOWN, "job": "", "job_title": "", "address": "", "homeowner": "",
             "letter": "", "room": "", "callbacks": []}  # fmt: skip
    asked = {
        "method": "GET",
        "path": f"/field/o/{crew.SHOWN}/{path}",
        "query": {"show": "all"},
        "form": {},
        "lent": None,
        "now": local_now(),
        "ids": [uuid7() for _ in range(8)],
        "device": "office-shown",
        "person": people.as_json(person),
        "people": {person.id: person.name},
        "tabs": [],
        "catalog": catalog(person.lang),
        "truths": {},
        "absent": [],
        "book": {
            "openings": [place],
            "events": {crew.SHOWN: [issue]},
            "procedures": {key_of(compiled): compiled},
            "instruments": [],
        },
    }
    answer = entry.answer(asked)
    title = Msg("As the crew will see it")
    page = framed_page(request, answer["template"], title, answer["context"])
    html = bytes(page.body).decode()
    main = html[html.index("<main") : html.index("</main>")].partition(">")[2]
    return Markup(_FORM.sub("", main))  # noqa: S704  (made by our own templates, which escape)
