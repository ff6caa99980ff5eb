"""/office/jobs: the jobs, a new one, and one with its openings and crews."""

from collections.abc import Sequence
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session, col, or_, select
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.errors import InputError
from app.core.kinds import Json
from app.core.pages.common import PRACTICE
from app.core.quantity.messages import Msg
from app.core.where.places import DEPTHS
from app.office.issue import work
from app.office.pages import Form, form_field, form_of, office_page, show_form
from app.office.review import STATES
from app.store.ids import uuid7
from app.store.summary_tables import SETTLED, Summary
from app.store.tables import Assigned, Job, Opening, Person

router = APIRouter(prefix="/office/jobs")
Asker = Annotated[Person, Depends(need_supervisor)]
PAGE = 50
MOST = 200
_FIELDS = (
    ("title", Msg("Name of the job"), Msg("Give the job a name.")),
    ("address", Msg("Address"), Msg("Give the address.")),
    ("homeowner", Msg("Homeowner"), None),
    ("builder", Msg("Builder"), None),
)
_FORM = Form(Msg("New job"), Msg("Make the job"))


@router.get("")
def list_jobs(
    request: Request, _: Asker, find: str = "", after: str = "", show: str = ""
) -> Response:
    """List the jobs by name, a page at a time; show: "closed" for those alone, else the others."""
    closed = show == "closed"
    with server_of(request).database.read() as session:
        found = _job_rows(session, find[:MOST], after[: 2 * MOST], closed)
    shown, more = found[:PAGE], len(found) > PAGE
    context = {
        "find": find,
        "show": "closed" if closed else "",
        "jobs": [_job_line(job) for job in shown],
        "next": {"find": find, "after": _cursor_of(shown[-1])} if more else None,
    }
    return office_page(request, "office/jobs.html", Msg("Jobs"), context)


def _job_rows(session: Session, find: str, after: str, closed: bool) -> list[Job]:
    wanted = select(Job).order_by(col(Job.title), col(Job.id)).limit(PAGE + 1)
    wanted = wanted.where(col(Job.closed) != "" if closed else col(Job.closed) == "")
    if find:
        wanted = wanted.where(or_(*(col(c).icontains(find, autoescape=True) for c in _SEARCHED)))
    if after:
        title, _, id = after.rpartition("|")
        later = (col(Job.title) == title) & (col(Job.id) > id)
        wanted = wanted.where((col(Job.title) > title) | later)
    return list(session.exec(wanted))


_SEARCHED = (Job.title, Job.address, Job.homeowner)


def _cursor_of(job: Job) -> str:
    return f"{job.title}|{job.id}"


def _job_line(job: Job) -> Json:
    return {"href": f"/office/jobs/{job.id}", "title": job.title, "address": job.address}


@router.get("/new")
def new_job_page(request: Request, _: Asker) -> Response:
    """Show the form for a new job."""
    return _new_job_response(request, {"id": uuid7()}, {})


def _new_job_response(request: Request, typed: dict[str, str], errors: dict[str, str]) -> Response:
    say = speaker_of(request).say
    fields = [
        form_field(name, say(label), typed.get(name, ""), error=errors.get(name, ""))
        for name, label, _ in _FIELDS
    ]
    fields.append(depth_field(request, typed.get("depth", ""), errors.get("depth", "")))
    form = form_of("/office/jobs/new", errors.get("", ""), id=typed.get("id", ""))
    return show_form(request, _FORM, form, fields)


def depth_field(request: Request, depth: str, error: str) -> Json:
    """Return the field for the depth of a job's new openings; "" goes by the company's."""
    say = speaker_of(request).say
    with server_of(request).database.read() as session:
        ours = work.DEPTH_WORDS[work.depth_for(session, None)]
    company = say(Msg("As the company has it: {depth}", depth=ours))
    first = {"value": COMPANYS, "text": company, "chosen": depth in ("", COMPANYS)}
    label = say(Msg("How much is measured on new openings"))
    choices = [first, *work.depth_choices(say, depth)]
    return form_field("depth", label, kind="select", error=error, choices=choices)


COMPANYS = "company"  # said in a form for a job that has no depth of its own


def depth_in(form: dict[str, str]) -> tuple[str, Msg | None]:
    """Return the depth of a job that a form names, "" for the company's, and what is wrong."""
    depth = form.get("depth", "")
    wrong = None if depth in ("", COMPANYS, *DEPTHS) else Msg("Choose one.")
    return "" if depth == COMPANYS else depth, wrong


@router.post("/new")
def add_job(request: Request, _: Asker, form: FormFields) -> Response:
    """Add a job."""
    say = speaker_of(request).say
    typed = {name: form.get(name, "").strip() for name, _, _ in _FIELDS} | {
        "id": form.get("id", "")
    }
    errors = {name: say(m) for name, _, m in _FIELDS if m is not None and not typed[name]}
    long = Msg("At most {count} characters fit here.", count=MOST)
    errors |= {name: say(long) for name, _, _ in _FIELDS if len(typed[name]) > MOST}
    errors |= {} if is_id(typed["id"]) else {"": say(work.USED)}
    typed["depth"], wrong = depth_in(form)
    errors |= {"depth": say(wrong)} if wrong is not None else {}
    if errors:
        return _new_job_response(request, typed, errors)
    try:
        with server_of(request).database.write() as session:
            work.add_job(session, Job(**typed))
    except InputError as error:
        return _new_job_response(request, {**typed, "id": uuid7()}, {"": say(error.message)})
    return RedirectResponse(f"/office/jobs/{typed['id']}", 303)


def is_id(text: str) -> bool:
    """Return whether a text has the form of our ids (RFC 9562), which a form carries."""
    parts = text.split("-")
    fits = [len(part) for part in parts] == [8, 4, 4, 4, 12]
    return fits and all(char in "0123456789abcdef-" for char in text)


@router.get("/{job}")
def job_page(request: Request, _: Asker, job: str) -> Response:
    """Show a job with its openings and their crews."""
    with server_of(request).database.read() as session:
        found = work.job_of(session, job)
        people = work.installers(session)
        depth_now = work.depth_for(session, found)
        openings = list(
            session.exec(select(Opening).where(Opening.job == job).order_by(col(Opening.letter)))
        )
        summaries = session.exec(select(Summary).where(Summary.job == job)).all()
        force = work.newest_procedures(session, request.app.state.office.procedures)
        crews = session.exec(
            select(Assigned).join(Opening).where(Opening.job == job).order_by(col(Assigned.person))
        ).all()
    depth = work.DEPTH_WORDS[depth_now]
    states = {row.opening: row.state for row in summaries}
    practice = {row.opening for row in summaries if row.practice}
    crew_of: dict[str, list[str]] = {}
    for row in crews:
        crew_of.setdefault(row.opening, []).append(row.person)
    context: Json = {
        "job": {
            "title": found.title,
            "address": found.address,
            "homeowner": found.homeowner,
            "builder": found.builder,
            "contact": found.contact,
            "depth": speaker_of(request).say(depth),
            "change": f"/office/jobs/{job}/change",
            "close": f"/office/jobs/{job}/close",
            "closed": found.closed_why,
        },
        "add": "" if found.closed else f"/office/jobs/{job}/openings/new",
        "out": f"/office/take-out/job/{job}",
        "setout": f"/office/jobs/{job}/setout",
        "newer": _newer_procedures(request, job, summaries, force),
        "openings": [
            _opening_line(
                request, opening, states.get(opening.id, ""), people, crew_of.get(opening.id, [])
            )
            for opening in openings
        ],
    }
    for opening, line in zip(openings, context["openings"], strict=True):
        if opening.id in practice:
            line |= {"practice": speaker_of(request).say(PRACTICE), "plan": ""}
    for line in context["openings"] if found.closed else ():
        line["copy"] = ""  # a closed job takes no opening more
    return office_page(request, "office/job.html", Msg("Job"), context)


def _newer_procedures(
    request: Request, job: str, rows: Sequence[Summary], force: dict[str, Json]
) -> list[Json]:
    """Return a link for each procedure in force that openings of the job could be moved to."""
    moves = [row for row in rows if row.state not in SETTLED and not row.practice]
    under = {row.procedure for row in moves} - set(force)
    ids = {key.rpartition("@")[0] for key in under}
    return [
        {
            "href": f"/office/procedures/{key}/move?job={job}",
            "text": speaker_of(request).say(
                Msg("Move this job to {title}, version {n}",
                    title=Msg(compiled["title"]), n=compiled["version"])
            ),
        }
        for key, compiled in sorted(force.items())
        if compiled["id"] in ids
    ]  # fmt: skip


def _opening_line(
    request: Request, opening: Opening, state: str, people: list[Person], crew: list[str]
) -> Json:
    say = speaker_of(request).say
    form = form_of(f"/office/jobs/{opening.job}/crew", opening=opening.id)
    form["id"] = "crew-" + opening.id
    return {
        "letter": opening.letter,
        "room": opening.room,
        "href": f"/office/o/{opening.id}",
        "drawing": f"/office/drawing/{opening.id}",
        "blank": f"/office/blank/{opening.id}",
        "copy": f"/office/jobs/{opening.job}/openings/new?copy={opening.id}" if state else "",
        "plan": f"/office/plan/{opening.id}" if state and state not in SETTLED else "",
        "practice": "",
        "state": state,
        "state_text": say(STATES[state]) if state in STATES else say(Msg("not issued")),
        "form": form,
        "crew": crew_fields(people, crew, "-" + opening.id),
        "on": ", ".join(person.name for person in people if person.id in crew),
    }


def crew_fields(people: list[Person], crew: list[str], scope: str = "") -> list[Json]:
    """Return a box to tick for each person who can be on a crew; scope tells forms apart."""
    out = []
    for person in people:
        chosen = "yes" if person.id in crew else ""
        box = form_field("crew." + person.id, person.name, chosen, kind="check")
        out.append({**box, "id": box["id"] + scope})
    return out


def crew_in(form: dict[str, str]) -> list[str]:
    """Return who is ticked in a form."""
    return [name[5:] for name, value in form.items() if name.startswith("crew.") and value == "yes"]


@router.post("/{job}/crew")
def change_crew(request: Request, _: Asker, job: str, form: FormFields) -> Response:
    """Change the crew of one of the job's openings."""
    with server_of(request).database.write() as session:
        opening = work.opening_of(session, form.get("opening", ""))
        if opening.job != job:
            work.opening_of(session, "")
        work.assign_crew(session, opening.id, crew_in(form))
    return RedirectResponse(f"/office/jobs/{job}", 303)
