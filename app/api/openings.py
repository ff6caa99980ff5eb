"""An opening that a program issues: read as the office's form reads it, each fault at its field."""

import logging
from datetime import datetime

from sqlmodel import Session
from starlette.requests import Request

from app.access.server import server_of
from app.api import shapes
from app.api.asking import done_once
from app.core.errors import InputError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.office.issue import fields, reading, work
from app.office.issue.openings import place_faults, procedure_fault
from app.store.api_tokens import ApiToken
from app.store.ids import uuid7
from app.store.summary_tables import Summary

Faults = list[tuple[str, Msg]]  # JSON pointer into the body (RFC 6901, as a fragment), words
_LOG = logging.getLogger("sillbook.access")


class UnfitOpeningError(InputError):
    """An opening that cannot be issued; faults: each with its place in the body."""

    def __init__(self, faults: Faults) -> None:
        words = Msg("This opening cannot be issued: see errors.")
        super().__init__("opening-unfit", words, faults=faults)


def add_opening_once(
    request: Request, token: ApiToken, key: str, body: bytes, job: str, given: shapes.OpeningIn
) -> Summary:
    """Issue an opening of a job, once for its key; returns how it stands.

    Errors: MissingError 'job-unknown', UnfitOpeningError, InputError 'job-closed', and those of
    done_once.
    """
    cache: dict[str, Json] = request.app.state.office.procedures
    with server_of(request).database.write() as session:

        def make() -> str:
            made = _issue_of(session, cache, job, given)
            now = datetime.now().astimezone().isoformat(timespec="seconds")
            try:
                work.issue_opening(session, made, work.Hand(token.person, now))
            except InputError as error:
                if error.code == "letter-used":
                    raise UnfitOpeningError([("#/letter", error.message)]) from error
                raise
            _LOG.info("opening %r issued by a token of %r", made.opening, token.person)
            return made.opening

        id = done_once(session, request, token, key, body, make)
    with server_of(request).database.read() as session:
        return session.get_one(Summary, id)


def _issue_of(
    session: Session, cache: dict[str, Json], job: str, given: shapes.OpeningIn
) -> work.Issue:
    known = work.job_of(session, job)
    force = work.newest_procedures(session, cache)
    texts = given.drawing
    key = given.procedure or work.usual_procedure(session, force, texts.get("door", ""))
    named = {**{made["id"]: made for made in force.values()}, **force}
    procedure = named.get(key)
    drawn = reading.read_drawing(texts, reading.terms_of(given.units, procedure))
    place = {"letter": given.letter, "room": given.room}
    faults = [(f"#/{name}", words) for name, words in place_faults(place).items()]
    wrong = procedure_fault(procedure, drawn)
    if wrong is not None:
        faults.append(("#/procedure", wrong))
    people = {person.login: person.id for person in work.installers(session)}
    for at, login in enumerate(given.crew):
        if login not in people:
            words = Msg("No installer signs in as {login}.", login=login)
            faults.append((f"#/crew/{at}", words))
    columns = set(fields.drawing_columns()) | {f"limit.{one.name}" for one in _limits(procedure)}
    faults += [
        (_pointer("drawing", name), Msg("A drawing has no field of this name."))
        for name in texts
        if name not in columns
    ]
    faults += [(_pointer("drawing", one.field), one.message) for one in drawn.problems]
    if faults or procedure is None:
        raise UnfitOpeningError(faults)
    return work.Issue(
        uuid7(), uuid7(), job, given.letter.strip(), given.room.strip(), procedure,
        drawn.drawing, [people[login] for login in given.crew],
        given.depth or work.depth_for(session, known),
    )  # fmt: skip


def _limits(procedure: Json | None) -> list[fields.Limit]:
    return fields.limits_of(procedure) if procedure is not None else []


def _pointer(*parts: str) -> str:
    """Return a JSON pointer. Example: _pointer("drawing", "a/b") -> #/drawing/a~1b"""
    return "#" + "".join("/" + part.replace("~", "~0").replace("/", "~1") for part in parts)
