"""/office/jobs/ID/setout: the set-out of a whole job as a sheet to print, and its materials."""

from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session, col, select
from starlette.requests import Request
from starlette.responses import Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.kinds import Json
from app.core.pages.setout_job import setouts_together
from app.core.quantity.messages import Msg
from app.core.record.state import State
from app.office.issue import work
from app.office.pages import office_page
from app.store import log, procedures
from app.store.tables import Opening, Person

router = APIRouter(prefix="/office/jobs")
Asker = Annotated[Person, Depends(need_supervisor)]


@router.get("/{job}/setout")
def setout_page(request: Request, _: Asker, job: str) -> Response:
    """Show every opening's set-out, then what to load for all of them."""
    with server_of(request).database.read() as session:
        found = work.job_of(session, job)
        openings = _issued_openings(session, job, request.app.state.office.procedures)
    context = setouts_together(openings, speaker_of(request))
    context["job"] = {"title": found.title, "address": found.address}
    return office_page(request, "office/setout.html", Msg("Layout of the job"), context)


def _issued_openings(
    session: Session, job: str, cache: dict[str, Json]
) -> list[tuple[Json, State]]:
    """Return the job's openings that are issued, with where they stand."""
    known = procedures.all_of(session, cache)
    rows = session.exec(select(Opening).where(col(Opening.job) == job)).all()
    events = log.events_of(session, [row.id for row in rows])
    return [
        ({"id": row.id, "letter": row.letter, "room": row.room}, State(events[row.id], known))
        for row in rows
        if events.get(row.id)
    ]
