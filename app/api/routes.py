"""/api/v1: what other programs may ask and do, by a token that the office made."""

import json
import logging
from collections.abc import Callable, Sequence
from typing import Annotated, Any, TypeVar

from fastapi import APIRouter, Depends, Query
from pydantic import BaseModel
from sqlmodel import col, or_, select
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from app.access.server import server_of
from app.api import shapes
from app.api.asking import Key, done_once, need_reader, need_writer
from app.api.openings import add_opening_once
from app.core.errors import InputError, MissingError
from app.core.quantity.messages import Msg
from app.homeowner.pages import base_of
from app.office.issue import work
from app.office.moving.readings import readings_with_checks
from app.office.webhooks import MOST_WEBHOOKS, address_fault, webhooks_in_use
from app.outbox.mail import is_mail
from app.outbox.webhooks import fresh_secret
from app.store import log, people, procedures
from app.store.api_tokens import ApiToken
from app.store.ids import uuid7
from app.store.notices import Webhook
from app.store.records import Issued
from app.store.summary_tables import Summary
from app.store.tables import Job
from app.sync.reading import body_of, message

PROBLEM = "application/problem+json"
MOST_BYTES = 64 * 1024
_LOG = logging.getLogger("sillbook.access")
_PROBLEMS: dict[int | str, dict[str, Any]] = {
    "default": {
        "description": "A refusal, as RFC 9457 has it",
        "content": {PROBLEM: {"schema": shapes.Problem.model_json_schema()}},
    }
}
router = APIRouter(prefix="/api/v1", tags=["v1"], responses=_PROBLEMS)
Reader = Annotated[ApiToken, Depends(need_reader)]
Writer = Annotated[ApiToken, Depends(need_writer)]
After = Annotated[str, Query(max_length=200, description="`next` of the page before")]
Limit = Annotated[int, Query(ge=1, le=200, description="how many at most")]
T = TypeVar("T", bound=BaseModel)
R = TypeVar("R")


def _taken(model: type[BaseModel]) -> dict[str, Any]:
    """Return what OpenAPI says of a body that is read by our own reader."""
    schema = {"schema": model.model_json_schema()}
    return {"requestBody": {"required": True, "content": {"application/json": schema}}}


def _page(
    rows: Sequence[R], limit: int, shape: Callable[[R], T], key: Callable[[R], str]
) -> shapes.PageOf[T]:
    """Return a page of rows of which one more than the limit was asked for."""
    shown = rows[:limit]
    following = key(shown[-1]) if len(rows) > limit else None
    return shapes.PageOf[Any](items=[shape(row) for row in shown], next=following)


@router.get("/jobs", operation_id="v1-list-jobs")
def list_jobs(
    request: Request, _: Reader, after: After = "", limit: Limit = 50
) -> shapes.PageOf[shapes.JobOut]:
    """List the jobs."""
    wanted = select(Job).where(col(Job.id) > after).order_by(col(Job.id)).limit(limit + 1)
    with server_of(request).database.read() as session:
        return _page(session.exec(wanted).all(), limit, _job_out, lambda job: job.id)


def _job_out(job: Job) -> shapes.JobOut:
    return shapes.JobOut(id=job.id, title=job.title, address=job.address, depth=job.depth,
                         closed=job.closed)  # fmt: skip


@router.get("/jobs/{job}", operation_id="v1-job")
def show_job(request: Request, _: Reader, job: str) -> shapes.JobOut:
    """Show a job."""
    with server_of(request).database.read() as session:
        return _job_out(work.job_of(session, job))


@router.post(
    "/jobs", operation_id="v1-add-job", status_code=201, openapi_extra=_taken(shapes.JobIn)
)
async def add_job(request: Request, token: Writer, key: Key = "") -> shapes.JobOut:
    """Add a job."""
    body = await body_of(request, "application/json", MOST_BYTES)
    given = message(shapes.JobIn, body)
    return await run_in_threadpool(_job_added, request, token, key, body, given)


def _job_added(
    request: Request, token: ApiToken, key: str, body: bytes, given: shapes.JobIn
) -> shapes.JobOut:
    typed = {name: value.strip() for name, value in given.model_dump().items()}
    if not typed["title"] or not typed["address"]:
        raise InputError("job-unnamed", Msg("Give the job a name."))
    if typed["mail"] and not is_mail(typed["mail"]):
        raise InputError("mail-unfit", Msg("Give one address, as name@example.org."))

    with server_of(request).database.write() as session:

        def make() -> str:
            id = uuid7()
            work.add_job(session, Job(id=id, **typed))
            _LOG.info("job %r made by a token of %r", id, token.person)
            return id

        id = done_once(session, request, token, key, body, make)
        return _job_out(work.job_of(session, id))


@router.post(
    "/jobs/{job}/openings",
    operation_id="v1-add-opening",
    status_code=201,
    openapi_extra=_taken(shapes.OpeningIn),
)
async def add_opening(
    request: Request, token: Writer, job: str, key: Key = ""
) -> shapes.OpeningNow:
    """Issue an opening of a job from its drawing; its crew finds it on their phones."""
    body = await body_of(request, "application/json", MOST_BYTES)
    given = message(shapes.OpeningIn, body)
    row = await run_in_threadpool(add_opening_once, request, token, key, body, job, given)
    return _opening_out(row)


@router.get("/openings", operation_id="v1-list-openings")
def list_openings(
    request: Request, _: Reader, job: str = "", after: After = "", limit: Limit = 50
) -> shapes.PageOf[shapes.OpeningNow]:
    """List the openings as they stand, of a job or of all."""
    wanted = select(Summary).where(col(Summary.opening) > after)
    wanted = wanted.order_by(col(Summary.opening)).limit(limit + 1)
    if job:
        wanted = wanted.where(Summary.job == job)
    with server_of(request).database.read() as session:
        rows = session.exec(wanted).all()
    return _page(rows, limit, _opening_out, lambda row: row.opening)


def _opening_out(row: Summary) -> shapes.OpeningNow:
    same = set(shapes.OpeningNow.model_fields) - {"id", "waits_until"}
    return shapes.OpeningNow(
        id=row.opening, waits_until=row.until, **{name: getattr(row, name) for name in same}
    )


@router.get("/openings/{opening}", operation_id="v1-opening")
def show_opening(request: Request, _: Reader, opening: str) -> shapes.OpeningNow:
    """Show an opening as it stands."""
    with server_of(request).database.read() as session:
        row = session.get(Summary, opening)
    if row is None:
        raise MissingError("opening-unknown", Msg("There is no such opening."))
    return _opening_out(row)


@router.get("/openings/{opening}/readings", operation_id="v1-list-readings")
def list_readings(
    request: Request, _: Reader, opening: str, after: After = "", limit: Limit = 50
) -> shapes.PageOf[shapes.ReadingOut]:
    """List the readings of an opening in the order of its log, with the checks on each."""
    with server_of(request).database.read() as session:
        work.opening_of(session, opening)
        events = log.events_of(session, [opening])[opening]
        known = procedures.all_of(session, request.app.state.office.procedures)
        names = people.names_by_id(session)
    found = [shapes.ReadingOut(**one) for one in readings_with_checks(events, known, names)]
    ids = [one.id for one in found]
    if after and after not in ids:
        raise MissingError("cursor-unknown", Msg("There is no such page."))
    begin = ids.index(after) + 1 if after else 0
    return _page(found[begin:][: limit + 1], limit, lambda one: one, lambda one: one.id)


@router.get("/records", operation_id="v1-list-records")
def list_records(
    request: Request, _: Reader, opening: str = "", after: After = "", limit: Limit = 50
) -> shapes.PageOf[shapes.RecordOut]:
    """List the issued revisions of completion records, of an opening or of all."""
    wanted = select(Issued).order_by(col(Issued.opening), col(Issued.revision)).limit(limit + 1)
    if opening:
        wanted = wanted.where(Issued.opening == opening)
    if after:
        last, _sign, number = after.rpartition("|")
        revision = int(number) if number.isascii() and number.isdigit() and len(number) < 9 else 0
        later = (col(Issued.opening) == last) & (col(Issued.revision) > revision)
        wanted = wanted.where(or_(col(Issued.opening) > last, later))
    with server_of(request).database.read() as session:
        rows = session.exec(wanted).all()
    base = base_of(request)

    def shape(row: Issued) -> shapes.RecordOut:
        kept = json.loads(row.text)
        return shapes.RecordOut(
            opening=row.opening, revision=row.revision, number=kept["number"], at=row.at,
            digest=row.digest, code=row.code, verify=f"{base}/verify/{row.code}",
            practice=kept["facts"].get("practice", False),
        )  # fmt: skip

    return _page(rows, limit, shape, lambda row: f"{row.opening}|{row.revision}")


@router.get("/webhooks", operation_id="v1-list-webhooks")
def list_webhooks(request: Request, _: Writer) -> shapes.PageOf[shapes.WebhookOut]:
    """List the webhooks; their addresses may hold secrets, so this asks for the scope to write."""
    with server_of(request).database.read() as session:
        rows = webhooks_in_use(session)
    shown = [shapes.WebhookOut(**_webhook_fields(row)) for row in rows]
    return shapes.PageOf[Any](items=shown, next=None)


def _webhook_fields(row: Webhook) -> dict[str, Any]:
    return {"id": row.id, "url": row.url, "kinds": row.kinds.split()}


@router.post(
    "/webhooks",
    operation_id="v1-add-webhook",
    status_code=201,
    openapi_extra=_taken(shapes.WebhookIn),
)
async def add_webhook(request: Request, token: Writer, key: Key = "") -> shapes.WebhookMade:
    """Make a webhook; the answer has its secret."""
    body = await body_of(request, "application/json", MOST_BYTES)
    given = message(shapes.WebhookIn, body)
    return await run_in_threadpool(_webhook_added, request, token, key, body, given)


def _webhook_added(
    request: Request, token: ApiToken, key: str, body: bytes, given: shapes.WebhookIn
) -> shapes.WebhookMade:
    server = server_of(request)
    wrong = address_fault(given.url, request.app.state.settings.webhook_host)
    if wrong is not None:
        raise InputError("webhook-address", wrong)
    with server.database.write() as session:

        def make() -> str:
            if len(webhooks_in_use(session)) >= MOST_WEBHOOKS:
                words = Msg("So many webhooks are here already. End one first.")
                raise InputError("webhooks-many", words)
            made = Webhook(
                id=uuid7(), url=given.url, secret=fresh_secret(), person=token.person,
                kinds=" ".join(dict.fromkeys(given.kinds)), made=int(server.clock()),
            )  # fmt: skip
            session.add(made)
            session.flush()
            _LOG.warning("webhook %r made by a token of %r", made.id, token.person)
            return made.id

        row = session.get_one(Webhook, done_once(session, request, token, key, body, make))
        return shapes.WebhookMade(**_webhook_fields(row), secret=row.secret)


@router.delete("/webhooks/{webhook}", operation_id="v1-end-webhook", status_code=204)
def end_webhook(request: Request, token: Writer, webhook: str) -> Response:
    """End a webhook; once more is the same."""
    server = server_of(request)
    with server.database.write() as session:
        row = session.get(Webhook, webhook)
        if row is None:
            raise MissingError("webhook-unknown", Msg("There is no such webhook."))
        if row.ended is None:
            row.ended = int(server.clock())
            session.add(row)
            _LOG.warning("webhook %r: end by a token of %r", row.id, token.person)
    return Response(status_code=204)
