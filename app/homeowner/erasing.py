"""Erases a person's contact data: name, sign-in, homeowner's name. The log and its digests stand.

Entries and issued records name people by ids. A name that was typed under a signature goes out of
issued records too, with what was drawn: commitments take their place, so that digest and
signatures stand (commitments.py). The entry itself, and the words that somebody wrote, stay.
"""

import json
import secrets
import time
from collections.abc import Collection
from pathlib import Path

from sqlmodel import Session, col, delete, select

from app.core.errors import MissingError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record.canonical import canonical_bytes
from app.homeowner import commitments
from app.store import push
from app.store.database import Database
from app.store.migrate import migrate_database
from app.store.notices import NoticeChoice
from app.store.records import Erasure, Issued
from app.store.tables import Job, Opening, Person, SignedIn

JOB = "job:"


def erase(path: Path, who: str, address: str = "") -> Msg:
    """Erase in the database at path (or address: see Database); returns what was done, in words.

    Errors: MissingError 'person-unknown'; RefusedError 'database-in-use'.
    """
    database = Database(path, address)
    try:
        migrate_database(database)
        with database.write() as session:
            if who.startswith(JOB):
                return _homeowner(session, who.removeprefix(JOB))
            return _person(session, who)
    finally:
        database.close()


def _person(session: Session, who: str) -> Msg:
    found = session.exec(
        select(Person).where((col(Person.id) == who) | (col(Person.login) == who))
    ).first()
    if found is None:
        raise MissingError("person-unknown", Msg("There is no such person: {who}", who=who))
    if found.name:
        naming = select(Issued).where(col(Issued.text).contains(found.name, autoescape=True))
        _erase_typed(session, list(session.exec(naming)), {found.name}, int(time.time()))
    found.name = ""
    found.login = "erased-" + secrets.token_hex(8)
    found.password = ""
    found.disabled = True
    session.add(found)
    session.exec(delete(SignedIn).where(col(SignedIn.person) == found.id))
    push.end_of_person(session, found.id)
    session.exec(delete(NoticeChoice).where(col(NoticeChoice.person) == found.id))
    return Msg("Erased: name and sign-in of {id}. Entries and digests stand.", id=found.id)


def _homeowner(session: Session, id: str) -> Msg:
    job = session.get(Job, id)
    if job is None:
        raise MissingError("job-unknown", Msg("There is no such job: {id}", id=id))
    erase_owner(session, job, int(time.time()), [job.homeowner])
    return Msg("Erased: the homeowner's name of job {id}. Entries and digests stand.", id=id)


def erase_owner(session: Session, job: Job, now: int, known_as: Collection[str] = ()) -> None:
    """Erase a job's homeowner: contact, and name and signature in the records of its doors.

    known_as: other names of theirs. The job's own may be what an owner typed who took it over, and
    so anybody's: by itself it takes nobody's name out of a record.
    """
    issued = select(Issued).join(Opening, col(Opening.id) == Issued.opening)
    rows = list(session.exec(issued.where(Opening.job == job.id)))
    signed = {_owner_name(json.loads(row.text)) for row in rows}
    _erase_typed(session, rows, {*signed, *known_as} - {""}, now)
    job.homeowner = job.contact = job.mail = ""
    session.add(job)


def _owner_name(kept: Json) -> str:
    """Return the name under the owner's signature; "" where there is none, or none any more."""
    owner = kept.get("facts", {}).get("owner")
    name = owner["name"] if owner else ""
    return name if isinstance(name, str) else ""


def _erase_typed(session: Session, rows: list[Issued], names: set[str], now: int) -> None:
    """Put commitments for these names into issued records; each digest stands as it was signed."""
    for row in rows:
        kept = json.loads(row.text)
        sealed = commitments.with_names_sealed(kept, lambda fact: fact["name"] in names)
        if sealed == kept or commitments.snapshot_digest(sealed) != row.digest:
            continue  # nothing of theirs, or not as it was issued: then it is not for us to touch
        if session.get(Erasure, row.opening) is None:
            session.add(Erasure(opening=row.opening, at=now))
            session.flush()
        row.text = canonical_bytes(sealed).decode()
        session.add(row)
        session.flush()
