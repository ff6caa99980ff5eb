"""/office/jobs/ID/change: a job's name and address, and how to reach the homeowner.

All of it stands beside the log: phones take it with their next news, and what was signed stays.
"""

from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session, select
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.office.issue import work
from app.office.issue.jobs import crew_fields, crew_in, depth_field, depth_in
from app.office.pages import Form, form_field, form_of, show_form
from app.outbox.mail import is_mail
from app.store import log
from app.store.tables import Assigned, Job, Opening, Person

router = APIRouter(prefix="/office/jobs/{job}/change")
Asker = Annotated[Person, Depends(need_supervisor)]
MOST = 200
FIELDS = (
    ("title", Msg("Name of the job"), Msg("Give the job a name.")),
    ("address", Msg("Address"), Msg("Give the address.")),
    ("homeowner", Msg("Homeowner"), None),
    ("contact", Msg("How to reach the homeowner"), None),
    ("builder", Msg("Builder"), None),
    ("mail", Msg("The homeowner's e-mail address: each record goes there when it is issued"), None),
)
_FORM = Form(
    Msg("Change a job"),
    Msg("Keep the job"),
    Msg(
        "This stands beside the record: phones take it with their next news, and what was signed "
        "stays as it was."
    ),
    "office/job_change.html",
)


@router.get("")
def job_change_page(request: Request, _: Asker, job: str) -> Response:
    """Show the job as it is kept, to be changed."""
    with server_of(request).database.read() as session:
        found = work.job_of(session, job)
        people = work.installers(session)
        crew = _crew_of_all(session, job)
    typed = {name: getattr(found, name) for name, _, _ in FIELDS} | {"depth": found.depth}
    return _job_change_response(request, found.id, typed, {}, crew_fields(people, crew))


def _crew_of_all(session: Session, job: str) -> list[str]:
    """Return who is on the crew of every opening of a job."""
    openings = list(session.exec(select(Opening.id).where(Opening.job == job)))
    rows = session.exec(select(Assigned.person).join(Opening).where(Opening.job == job)).all()
    return sorted({person for person in rows if rows.count(person) == len(openings)})


def _job_change_response(
    request: Request,
    job: str,
    typed: dict[str, str],
    errors: dict[str, Msg],
    crew: list[Json],
) -> Response:
    say = speaker_of(request).say
    fields = [
        form_field(name, say(label), typed.get(name, ""),
              error=say(errors[name]) if name in errors else "")
        for name, label, _ in FIELDS
    ]  # fmt: skip
    wrong = say(errors["depth"]) if "depth" in errors else ""
    fields.append(depth_field(request, typed.get("depth", ""), wrong))
    form, back = form_of(f"/office/jobs/{job}/change"), f"/office/jobs/{job}"
    return show_form(request, _FORM, form, fields, crew=crew, back=back)


@router.post("")
def keep_job(request: Request, _: Asker, job: str, form: FormFields) -> Response:
    """Keep what was changed."""
    typed = {name: form.get(name, "").strip() for name, _, _ in FIELDS}
    errors = {name: words for name, _, words in FIELDS if words is not None and not typed[name]}
    long = Msg("At most {count} characters fit here.", count=MOST)
    errors |= {name: long for name in typed if len(typed[name]) > MOST}
    if typed["mail"] and not is_mail(typed["mail"]):
        errors["mail"] = Msg("Give one address, as name@example.org.")
    depth, wrong = depth_in(form)
    errors |= {"depth": wrong} if wrong is not None else {}
    if "depth" in form:
        typed["depth"] = depth
    with server_of(request).database.write() as session:
        found = work.job_of(session, job)
        if not errors:
            _write_job(session, found, typed, crew_in(form) if form.get("whole") == "yes" else None)
        people = work.installers(session)
    if errors:
        return _job_change_response(request, job, typed, errors, crew_fields(people, crew_in(form)))
    return RedirectResponse(f"/office/jobs/{job}", 303)


def _write_job(session: Session, job: Job, typed: dict[str, str], crew: list[str] | None) -> None:
    for name, value in typed.items():
        setattr(job, name, value)
    session.add(job)
    session.flush()
    for opening in session.exec(select(Opening.id).where(Opening.job == job.id)).all():
        log.touch_opening(session, opening)  # the board shows the job's name and address
        if crew is not None:
            work.assign_crew(session, opening, crew)
