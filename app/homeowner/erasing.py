"""Erases a person's contact data: name, sign-in, homeowner's name. The log and its digests stand.

Entries and issued records name people by ids; what was typed into an entry as part of it (the
name under a signature, words) is the entry, and stays.
"""

import secrets
from pathlib import Path

from sqlmodel import Session, col, delete, select

from app.core.errors import MissingError
from app.core.quantity.messages import Msg
from app.store.database import Database
from app.store.migrate import migrate_database
from app.store.notices import NoticeChoice
from app.store.tables import Job, Person, SignedIn

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
    found.name = ""
    found.login = "erased-" + secrets.token_hex(8)
    found.password = ""
    found.disabled = True
    session.add(found)
    session.exec(delete(SignedIn).where(col(SignedIn.person) == found.id))
    session.exec(delete(NoticeChoice).where(col(NoticeChoice.person) == found.id))
    return Msg("Erased: name and sign-in of {id}. Entries and digests stand.", id=found.id)


def _homeowner(session: Session, id: str) -> Msg:
    job = session.get(Job, id)
    if job is None:
        raise MissingError("job-unknown", Msg("There is no such job: {id}", id=id))
    job.homeowner = job.contact = job.mail = ""
    session.add(job)
    return Msg("Erased: the homeowner's name of job {id}. Entries and digests stand.", id=id)
