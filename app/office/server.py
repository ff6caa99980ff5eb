"""The server's adapter for /office: the field's, with the office's own device."""

from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import Response

from app.access.who import FormFields, need_supervisor
from app.core.kinds import Json
from app.field.server import FieldHost, core_request, page_response
from app.homeowner import issuing
from app.office.board.asking import next_review
from app.office.issue import work
from app.office.voice import giving
from app.store import aside, judging, log
from app.store.tables import Opening, Person

router = APIRouter()


class Office(FieldHost):
    """The office's hand: what it accepts is issued as a record, in the same transaction."""

    def post(self, asked: Json, person: Person) -> Json:
        """Return the core's answer to a form; its events and what follows are kept, or nothing."""
        with self.database.write() as session:
            answer = self._answer(session, asked, person)
            answer["events"] = [judging.sealed(session, event) for event in answer["events"]]
            log.append_events(session, answer["events"])
            issuing.on_kept(session, answer["events"], self.truths)
            return answer

    def _answer(self, session: Session, asked: Json, person: Person) -> Json:
        wanted = self.core.needs(asked)
        return super()._answer(session, {**asked, **_facts_beside(session, wanted)}, person)


def _facts_beside(session: Session, wanted: list[str] | None) -> Json:
    """Return what the office knows of an opening beside its entries."""
    if not wanted:
        return {}
    return {
        "voices": giving.codes_given(session, wanted[0]),
        "received": issuing.received(session, wanted[0]),
        "late": aside.late_in(session, wanted[0]),
        "next_review": next_review(session, wanted[0]),
        "job_closed": _is_job_closed(session, wanted[0]),
    }


def _is_job_closed(session: Session, opening: str) -> bool:
    found = session.get(Opening, opening)
    return found is not None and work.job_of(session, found.job).closed != ""


def _office_field(request: Request) -> FieldHost:
    found: FieldHost = request.app.state.office
    return found


@router.api_route("/office/{path:path}", methods=["GET", "HEAD"])
def show_office_page(
    request: Request, person: Annotated[Person, Depends(need_supervisor)]
) -> Response:
    """Show a page of the office."""
    return page_response(
        _office_field(request).get(core_request(request, "GET", {}), person), person
    )


@router.post("/office/{path:path}")
def take_office_form(
    request: Request, person: Annotated[Person, Depends(need_supervisor)], form: FormFields
) -> Response:
    """Take a form of the office."""
    asked = core_request(request, "POST", form)
    return page_response(_office_field(request).post(asked, person), person)
