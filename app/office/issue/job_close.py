"""/office/jobs/ID/close: a job is closed with its openings, or opened again with them."""

import logging
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session, select
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.quantity.messages import Msg
from app.core.record.events import in_order
from app.field.server import local_now
from app.office.closing import REASON
from app.office.issue import work
from app.office.pages import Form, form_field, form_of, show_form
from app.store import log
from app.store.summary_tables import CLOSED, Summary
from app.store.tables import Job, Person

router = APIRouter(prefix="/office/jobs/{job}/close")
Asker = Annotated[Person, Depends(need_supervisor)]
MOST = 1000
_LOG = logging.getLogger("sillbook.access")
_CLOSING = Msg(
    "Openings that are accepted are archived. All others are cancelled: their crews can enter "
    "nothing more and read why. Nothing is lost, and it can be reopened."
)
_REOPENING = Msg("The openings that were closed together with it go on where they stopped.")


def _close_words(job: Job) -> Form:
    if job.closed:
        title = Msg("Reopen the job {title}", title=job.title)
        return Form(title, Msg("Reopen the job"), _REOPENING)
    title = Msg("Close the job {title}", title=job.title)
    return Form(title, Msg("Close the job"), _CLOSING, "office/job_close.html")


@router.get("")
def job_close_page(request: Request, _: Asker, job: str) -> Response:
    """Show what closing, or reopening, does, and ask why."""
    with server_of(request).database.read() as session:
        found = work.job_of(session, job)
    return _close_response(request, found, "", None)


def _close_response(request: Request, job: Job, reason: str, wrong: Msg | None) -> Response:
    say = speaker_of(request).say
    error = say(wrong) if wrong is not None else ""
    fields = [form_field("reason", say(Msg("Why")), reason, error=error)]
    # what the page was made for: a form that comes late changes nothing
    form = form_of(f"/office/jobs/{job.id}/close", act="reopen" if job.closed else "close")
    return show_form(request, _close_words(job), form, fields)


@router.post("")
def close_job(request: Request, asker: Asker, job: str, form: FormFields) -> Response:
    """Close the job and its openings, or reopen what was closed together."""
    reason = form.get("reason", "").strip()
    wrong = REASON if not reason else None
    if len(reason) > MOST:
        wrong = Msg("At most {count} characters fit here.", count=MOST)
    with server_of(request).database.write() as session:
        found = work.job_of(session, job)
        wanted = form.get("act") == "reopen"
        if wrong is None and wanted == bool(found.closed):
            change = reopen_with_openings if wanted else close_with_openings
            change(session, found, reason, work.Hand(asker.id, local_now()))
            _LOG.info("job %r %s by %r: %r", job, found.closed or "reopened", asker.id, reason)
    if wrong is not None:
        return _close_response(request, found, reason, wrong)
    return RedirectResponse(f"/office/jobs/{job}", 303)


def close_with_openings(session: Session, job: Job, reason: str, hand: work.Hand) -> None:
    """Close a job: what is accepted is archived, what is not yet closed is cancelled."""
    rows = session.exec(select(Summary).where(Summary.job == job.id)).all()
    for row in rows:
        if row.state not in CLOSED:
            result = "archived" if row.state == "done" else "cancelled"
            body = {"result": result, "reason": reason, "with_job": True}
            work.add_office_event(session, row.opening, "opening.closed", body, hand)
    whole = [row for row in rows if row.state in ("done", "archived")]
    job.closed = "archived" if whole and len(whole) == len(rows) else "cancelled"
    job.closed_why = reason
    session.add(job)


def reopen_with_openings(session: Session, job: Job, reason: str, hand: work.Hand) -> None:
    """Reopen a job and the openings that were closed together with it."""
    openings = list(session.exec(select(Summary.opening).where(Summary.job == job.id)))
    for opening, events in log.events_of(session, openings).items():
        said = [e for e in in_order(events) if e["kind"] in ("opening.closed", "opening.reopened")]
        if said and said[-1]["body"].get("with_job"):
            work.add_office_event(session, opening, "opening.reopened", {"reason": reason}, hand)
    job.closed = job.closed_why = ""
    session.add(job)
