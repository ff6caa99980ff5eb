"""The whole application, put together."""

import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import asdict
from functools import cache
from typing import Annotated

from fastapi import Depends, FastAPI
from fastapi.exceptions import RequestValidationError
from sqlalchemy.exc import DBAPIError
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response

from app import openapi
from app.access import known_browser, me, phones, sign_in, welcome
from app.access.cross_site import SameSiteOnly
from app.access.errors import CalmBugs, on_app_error, on_http_error
from app.access.forms import OtherPersonError
from app.access.headers import SecurityHeaders
from app.access.only_here import DemoOnlyHere
from app.access.other_person import on_not_theirs, on_other_person
from app.access.server import Server, server_of
from app.access.static import StaticWithValidators
from app.access.who import (
    NotKeeperError,
    NotYoursError,
    SignInFirstError,
    need_administrator,
    on_lent,
    on_sign_in_first,
    person_of,
)
from app.access.worker_script import OneWorker
from app.api import routes as api
from app.calculations import server as calculations
from app.core import entry
from app.core.errors import AppError, LentError, RefusedError
from app.core.quantity.messages import Msg
from app.field import bundle_server as bundle
from app.field import server as field
from app.homeowner import handing_on
from app.homeowner import server as homeowner
from app.office import desk, routes, visits
from app.office import server as office
from app.office.visit_lines import VisitLines
from app.outbox.worker import OutboxWorker
from app.running import condition
from app.running.metrics import CountAnswers
from app.settings import STATIC, Settings
from app.signing.company_key import start_keys
from app.store import devices, epoch, judging, learning, log, photo_places
from app.store.database import Database
from app.store.migrate import migrate_database, must_be_up_to_date
from app.store.summaries import is_this_version
from app.store.tables import Person
from app.store.whole import must_be_whole
from app.sync import photos, rescue_page
from app.sync import server as sync
from app.sync.check import DailyCheck, say_newest
from app.sync.receive import take_held


def create_app(
    settings: Settings, core: field.Core = entry, clock: Callable[[], float] = time.time
) -> FastAPI:
    """Open and migrate the database and return the application; its end closes the database.

    Errors: RefusedError 'database-in-use', and those of start_keys and must_be_ours.
    """
    database = Database(settings.database, settings.postgres, serves=True)
    try:
        database.photos = photo_places.photo_place(settings)
        _start(database, settings)
    except BaseException:
        database.close()
        raise

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        daily, learner = DailyCheck(database), learning.Learner(database)
        daily.start()
        learner.start()
        sending = OutboxWorker(database, settings, clock)
        sending.start()
        if database.listener:
            database.listener.start()
        yield
        sending.stop()
        learner.stop()
        daily.stop()
        database.close()

    app = FastAPI(
        title="Sillbook",
        lifespan=life,
        openapi_url=None,
        # The first is the outermost: every answer gets the headers, the one after a bug too.
        middleware=[
            Middleware(CountAnswers),
            Middleware(SecurityHeaders),
            Middleware(CalmBugs),
            Middleware(DemoOnlyHere),
            Middleware(OneWorker),
            Middleware(SameSiteOnly),
        ],
        exception_handlers={
            AppError: on_app_error,
            SignInFirstError: on_sign_in_first,
            LentError: on_lent,
            OtherPersonError: on_other_person,
            NotYoursError: on_not_theirs,
            NotKeeperError: on_not_theirs,
            HTTPException: on_http_error,
            RequestValidationError: on_http_error,
        },
    )
    app.state.server = Server(database, clock)
    app.state.field = field.FieldHost(database, core)
    app.state.shelf = bundle.BundleShelf()
    app.state.sync = sync.Sync()
    app.state.office = office.Office(database, desk, "office")
    app.state.visit_lines = VisitLines()
    database.before_commit = visits.issue_signed_sheets
    app.state.address = settings.address
    app.state.settings = settings
    _add_routes(app)
    return app


def _start(database: Database, settings: Settings) -> None:
    """Bring tables, phones and keys to where work can begin. Errors: RefusedError.

    Of several servers the first one does it, while the others wait for it.
    """
    if database.is_first:
        _start_first(database, settings)
        database.start_is_done()
    else:
        _start_beside_others(database, settings)
    with database.read() as session:
        say_newest(session)


def _start_first(database: Database, settings: Settings) -> None:
    if database.engine.dialect.name == "sqlite":
        must_be_whole(database.path)
    migrate_database(database)
    with database.write() as session:
        devices.make_devices(session)
        judging.make_secret(session)
        epoch.make_secret(session)
        known_browser.make_secret(session)
        log.go_on_numbering(session)
        epoch.start_epoch(session, database.stamp)
        take_held(session)
        photo_places.must_be_ours(session, settings.photos, database.photos)
        start_keys(session)
        database.summaries.start(session)
        learning.begin_learning(session)


def _start_beside_others(database: Database, settings: Settings) -> None:
    """Errors: RefusedError 'database-version', 'folder-differs'; of start_keys, must_be_ours."""
    must_be_up_to_date(database)
    with database.write() as session:
        if not is_this_version(session):
            words = Msg("Another version of Sillbook uses this database. Stop all of it first.")
            raise RefusedError("database-version", words)
        if not database.stamp.may_join(session):
            words = Msg(
                "Other servers use this database, and {path} is not their folder. All servers of "
                "one database share one folder of data, or set SILLBOOK_PHOTOS.",
                path=str(database.path.parent),
            )
            raise RefusedError("folder-differs", words)
        photo_places.must_be_ours(session, settings.photos, database.photos)
        database.stamp.join(session)
        start_keys(session)


def _add_routes(app: FastAPI) -> None:
    app.include_router(sign_in.router)
    app.include_router(welcome.router)
    app.include_router(me.router)
    app.include_router(phones.router)
    app.include_router(sync.router)
    app.include_router(photos.router)
    app.include_router(rescue_page.router)
    app.include_router(field.router)
    app.include_router(bundle.router)
    app.include_router(routes.router)
    app.include_router(office.router)
    app.include_router(homeowner.router)
    app.include_router(handing_on.router)
    app.include_router(calculations.router)
    app.include_router(api.router)
    app.add_api_route("/api/openapi.json", described)
    app.add_api_route("/", start)
    app.add_api_route("/health", health)
    app.add_api_route("/health/details", health_details)
    app.mount("/static", StaticWithValidators(STATIC), name="static")


def start(request: Request) -> Response:
    """Send people to where their work starts."""
    person = person_of(request)
    return RedirectResponse(sign_in.home_of(person) if person else "/sign-in", 303)


def described() -> Response:
    """Return the OpenAPI document of all that programs may ask."""
    return Response(_description(), media_type="application/json")


@cache
def _description() -> bytes:
    """Return the document as it is sent: to put it together takes a third of a second."""
    return bytes(JSONResponse(openapi.document()).body)


def health(request: Request) -> Response:
    """Say that the server and its database answer; 503 where the database does not."""
    try:
        server_of(request).database.must_answer()
    except (OSError, DBAPIError, AppError):
        return PlainTextResponse("the database does not answer", 503)
    return PlainTextResponse("ok")


def health_details(request: Request, _: Annotated[Person, Depends(need_administrator)]) -> Response:
    """Say to an administrator what was found of database, disk, copies, clock and files."""
    server = server_of(request)
    found = condition.look_at(request.app.state.settings, server.clock())
    bad = any(one.state == condition.BAD for one in found)
    return JSONResponse([asdict(one) for one in found], 503 if bad else 200)
