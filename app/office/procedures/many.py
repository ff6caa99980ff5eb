"""/office/procedures/KEY/move: many openings go over to a version in one act, all or none."""

from collections.abc import Sequence
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.errors import AppError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.field.server import local_now
from app.office.issue import work
from app.office.issue.jobs import is_id
from app.office.pages import Form, form_field, form_of, show_form
from app.office.procedures import plan
from app.office.procedures.moving import procedure_version, row_of, title_of, why_in
from app.office.procedures.plan import KnownProcedures, Planned
from app.store import log
from app.store.ids import uuid7
from app.store.summary_tables import SETTLED, Summary
from app.store.tables import Person

router = APIRouter()
Asker = Annotated[Person, Depends(need_supervisor)]
PAGE = 50


def _known_versions(request: Request, session: Session, key: str) -> KnownProcedures:
    _, procedures = procedure_version(request, session, key)
    return KnownProcedures(procedures, request.app.state.office.truths, key)


@router.get("/{key}/move")
def move_many_page(
    request: Request, _: Asker, key: str, job: str = "", after: str = ""
) -> Response:
    """Show what moving a job's openings, or all, would break: opening by opening."""
    with server_of(request).database.read() as session:
        known = _known_versions(request, session, key)
        rows = plan.open_under(session, known, job[:80])
        title = work.job_of(session, job).title if job else ""
        planned = plan.move_plan(session, known, rows[: plan.MOST])
    sheet = MoveManyForm(request, known, planned, job, title)
    return sheet.page({"more": len(rows) > plan.MOST}, after)


class MoveManyForm:
    """One request for the page that moves many."""

    def __init__(
        self, request: Request, known: KnownProcedures, planned: list[Planned], job: str, title: str
    ) -> None:
        self.request = request
        self.known = known
        self.planned = planned
        self.job, self.title = job, title
        self.path = f"/office/procedures/{known.key}/move"

    def page(
        self, typed: Json, after: str = "", error: Msg | None = None, wrong: Msg | None = None
    ) -> Response:
        """Return the page. error: with the whole of it; wrong: with why."""
        speaker = speaker_of(self.request)
        shown, on = _plan_page(self.planned, after)
        told = speaker.say(wrong) if wrong else ""
        words = speaker.say(Msg("Why they are moved"))
        why = form_field("why", words, typed.get("why", ""), kind="area", error=told)
        count = len(plan.movable(self.planned))
        send = Msg("Move openings: {count}", count=count) if count else None
        return show_form(
            self.request,
            Form(Msg("Move many openings"), send, template="office/procedure_many.html"),
            self._form(typed, speaker.say(error) if error else ""),
            [why],
            heading=title_of(self.request, self.known.compiled),
            job={"title": self.title, "href": f"/office/jobs/{self.job}"} if self.job else None,
            back=f"/office/procedures/{self.known.key}/openings",
            here=self.path,
            rows=[_plan_line(self.request, self.known.key, one) for one in shown],
            next={"job": self.job, "after": on} if on else None,
            sums=[speaker.say(words) for words in _plan_sums(self.planned)],
            more=speaker.say(_MORE) if typed.get("more") else "",
        )

    def _form(self, typed: Json, error: str) -> Json:
        ids = ",".join(one.row.opening for one in plan.movable(self.planned))
        hidden = {"openings": ids, "stamp": plan.plan_digest(self.planned), "job": self.job}
        return form_of(self.path, error, id=typed.get("id") or uuid7(), **hidden)


_MORE = Msg("There are more. These are the first {count}: move them, then come back.",
            count=plan.MOST)  # fmt: skip


def _plan_page(planned: Sequence[Planned], after: str) -> tuple[Sequence[Planned], str]:
    """Return a page of a plan, after an opening, and the opening to go on after."""
    ids = [one.row.opening for one in planned]
    start = ids.index(after) + 1 if after in ids else 0
    page = planned[start : start + PAGE]
    return page, ids[start + PAGE - 1] if len(ids) > start + PAGE else ""


def _plan_sums(planned: Sequence[Planned]) -> list[Msg]:
    going = plan.movable(planned)
    broken = [len(one.breaks) for one in going if one.breaks]
    out = [Msg("Openings that would be moved: {count}.", count=len(going))]
    if broken:
        out.append(
            Msg(
                "Sign-offs that would break: {count}, in openings: {openings}.",
                count=sum(broken),
                openings=len(broken),
            )
        )
    elif going:
        out.append(Msg("No sign-off would break."))
    if len(going) < len(planned):
        stay = len(planned) - len(going)
        out.append(Msg("Openings that cannot be moved and stay: {count}.", count=stay))
    return out


def _plan_line(request: Request, key: str, one: Planned) -> Json:
    say = speaker_of(request).say
    return {
        **row_of(request, one.row, key),
        "refused": say(one.refused) if one.refused else "",
        "breaks": [
            say(Msg("{id} {title}", id=step.partition(":")[0], title=title))
            for step, title in one.breaks
        ],
    }


@router.post("/{key}/move")
def move_many(request: Request, person: Asker, key: str, form: FormFields) -> Response:
    """Move what was looked at: all of it, or nothing."""
    ids = form.get("openings", "").split(",")[: plan.MOST]
    if _is_kept(request, form.get("id", ""), ids):
        return _done_response(key, len(ids))
    sheet = _plan_sheet(request, key, form.get("job", ""), ids)
    going = plan.movable(sheet.planned)
    if not going or plan.plan_digest(going) != form.get("stamp", ""):
        return sheet.page({**form, "id": ""}, error=plan.CHANGED)
    if not is_id(form.get("id", "")):
        return sheet.page({**form, "id": ""}, error=work.USED)
    why, wrong = why_in(form)
    if wrong is not None:
        return sheet.page(form, wrong=wrong)
    asked = {"id": form["id"], "why": why}
    try:
        with server_of(request).database.write() as session:
            plan.carry_out(session, sheet.known, going, work.Hand(person.id, local_now()), asked)
    except AppError as error:
        return sheet.page({**form, "id": ""}, error=error.message)
    return _done_response(key, len(going))


def _is_kept(request: Request, form: str, ids: list[str]) -> bool:
    """Return whether this form was kept before: the same sent twice."""
    wanted = [plan.event_id(form, one) for one in ids]
    with server_of(request).database.read() as session:
        return len(log.hashes_of(session, wanted)) == len(ids)


def _plan_sheet(request: Request, key: str, job: str, ids: list[str]) -> MoveManyForm:
    with server_of(request).database.read() as session:
        known = _known_versions(request, session, key)
        title = work.job_of(session, job).title if job else ""
        planned = plan.move_plan(session, known, _still_open(plan.of_ids(session, ids), known))
    return MoveManyForm(request, known, planned, job, title)


def _still_open(rows: list[Summary], known: KnownProcedures) -> list[Summary]:
    """Return those that are still open, under another version of the same procedure."""
    return [row for row in rows if row.procedure in known.others and row.state not in SETTLED]


def _done_response(key: str, count: int) -> Response:
    return RedirectResponse(f"/office/procedures/{key}/openings?moved={count}", 303)
