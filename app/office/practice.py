"""/office/practice/ID: of an opening to practise on, what was planted and what came of it."""

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.errors import MissingError
from app.core.pages.practice import debrief_shown
from app.core.quantity.messages import Msg
from app.core.record.debrief import is_over
from app.core.record.events import MOCK_UP, TABLE
from app.core.record.state import State
from app.office.instruments import asked_by
from app.office.issue import work
from app.office.pages import office_page
from app.store import log, procedures
from app.store.tables import Person

router = APIRouter(prefix="/office/practice")
Asker = Annotated[Person, Depends(need_supervisor)]
_WAYS = {
    TABLE: Msg(
        "At a table: the phone shows what each instrument reads. What was planted is in the "
        "phone's data, as it must work without a network: who looks for it there can find it."
    ),
    MOCK_UP: Msg("On a mock-up: the faults are those that were put into it by hand."),
}
_OVER = Msg("The trainee sees this on the phone: every step is signed, or it was reviewed.")
_NOT_OVER = Msg("The trainee does not see this until every step is signed.")


@router.get("/{opening}")
def practice_page(request: Request, person: Asker, opening: str) -> Response:
    """Show the faults that were planted, and what came of them so far."""
    asked = asked_by(request, person)
    with server_of(request).database.read() as session:
        found = work.opening_of(session, opening)
        known = procedures.all_of(session, request.app.state.office.procedures)
        state = State(log.events_of(session, [opening])[opening], known)
    if state.practice is None:
        raise MissingError("page-unknown", Msg("There is no such page."))
    context = {
        "opening": {"letter": found.letter, "room": found.room, "href": f"/office/o/{opening}"},
        "way": asked.say(_WAYS[state.practice["way"]]),
        "over": asked.say(_OVER if is_over(state) else _NOT_OVER),
        **debrief_shown(asked, state),
    }
    return office_page(request, "office/practice.html", Msg("Practice"), context)
