"""/office/blank/ID: an opening's survey sheet to be printed and written on by hand.

What is written is entered later on the point's page, with the time when it was measured.
"""

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.pages import common
from app.core.pictures import drawings
from app.core.quantity.messages import Msg
from app.core.record.state import State
from app.office.instruments import asked_by
from app.office.issue import work
from app.office.pages import office_page
from app.office.procedures import crew
from app.store import log, procedures
from app.store.tables import Person

router = APIRouter(prefix="/office/blank")
Asker = Annotated[Person, Depends(need_supervisor)]


@router.get("/{opening}")
def blank_sheet_page(request: Request, person: Asker, opening: str, step: str = "") -> Response:
    """Show the sheet of an opening, of all its steps or of one."""
    asked = asked_by(request, person)
    with server_of(request).database.read() as session:
        found = work.opening_of(session, opening)
        job = work.job_of(session, found.job)
        known = procedures.all_of(session, request.app.state.office.procedures)
        state = State(log.events_of(session, [opening])[opening], known)
    title = Msg("{title}, version {n}", title=Msg(state.procedure["title"]),
                n=state.procedure["version"])  # fmt: skip
    context = {
        "letter": found.letter,
        "room": found.room,
        "address": job.address,
        "job": job.title,
        "door": asked.say(common.door_words(state)),
        "drawing": f"{state.drawing.data['number']} {state.drawing.data['revision']}".strip(),
        "procedure": asked.say(title),
        "picture_of": drawings.elevation_picture(state.drawing, asked.speaker),
        "here": f"/office/blank/{opening}",
        "choices": [
            common.form_choice(one.key, asked.say(Msg("{id} {title}", id=one.id, title=one.title)),
                          one.key == step)
            for one in state.steps
        ],
        "steps": crew.survey_sheet(asked, state, step),
    }  # fmt: skip
    return office_page(request, "office/blank.html", Msg("Blank survey sheet"), context)
