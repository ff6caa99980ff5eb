"""Sessions: an opaque token in the browser, its SHA-256 here. Times are seconds since 1970."""

import hashlib
import secrets

from sqlmodel import Session, col, delete

from app.store import push
from app.store.tables import Person, SignedIn

# A crew's day on site; after a week everybody signs in again.
IDLE = 12 * 3600
ABSOLUTE = 7 * 24 * 3600
# How far the time of the last use may lag behind: each note of it is a write.
GRAIN = 600


def token_hash(token: str) -> str:
    """Return what is kept of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def start_session(session: Session, person: str, now: int) -> str:
    """Begin a session and return its new token, 256 random bits; drops sessions that are over."""
    over = (col(SignedIn.used) < now - IDLE - GRAIN) | (col(SignedIn.began) < now - ABSOLUTE)
    session.execute(delete(SignedIn).where(over))
    token = secrets.token_urlsafe(32)
    session.add(SignedIn(token_hash=token_hash(token), person=person, began=now, used=now))
    session.flush()
    return token


def find_session(session: Session, token: str, now: int) -> tuple[SignedIn, Person] | None:
    """Return the living session of a token with its person, or None.

    One from a time to come began under a wrong clock: nobody knows how old it is.
    """
    kept = session.get(SignedIn, token_hash(token))
    if kept is None or now - kept.used >= IDLE or not -GRAIN < now - kept.began < ABSOLUTE:
        return None
    person = session.get_one(Person, kept.person)
    return None if person.disabled else (kept, person)


def is_stale(kept: SignedIn, now: int) -> bool:
    """Return whether the use of a session must be noted again."""
    return now - kept.used >= GRAIN


def note_use(session: Session, token: str, now: int) -> None:
    """Note that a session is in use."""
    kept = session.get(SignedIn, token_hash(token))
    if kept is not None:
        kept.used = now


def lend_session(session: Session, token: str, opening: str, lang: str) -> None:
    """Note that the owner of an opening has the device in hand; "" when the crew has it back."""
    kept = session.get(SignedIn, token_hash(token))
    if kept is not None:
        kept.lent_opening, kept.lent_lang = opening, lang


def end_session(session: Session, token: str) -> None:
    """End the session of a token; does nothing where there is none."""
    session.execute(delete(SignedIn).where(col(SignedIn.token_hash) == token_hash(token)))


def end_all(session: Session, person: str) -> None:
    """End every session of a person, and what their browsers are told."""
    push.end_of_person(session, person)
    session.execute(delete(SignedIn).where(col(SignedIn.person) == person))
