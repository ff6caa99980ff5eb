"""Private links to a record: 128 bits, kept as a hash, expiring, withdrawn at will; read-only."""

import hashlib
import secrets

from sqlmodel import Session

from app.core.errors import InputError, MissingError
from app.core.quantity.messages import Msg
from app.store.records import Link, record_links

DAY = 24 * 60 * 60
LASTS = {
    "30": Msg("30 days"),
    "365": Msg("one year"),
    "1825": Msg("five years"),
    "3652": Msg("ten years"),
}
USUAL = "3652"
SIGNS = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_")


class LinkUnknownError(MissingError):
    """No such link, or no longer: the same answer, so that nothing can be told from it."""

    def __init__(self) -> None:
        words = Msg("This link does not lead anywhere (any more). Ask whoever gave it to you.")
        super().__init__("link-unknown", words)


def fresh_token() -> str:
    """Return a new token of 128 bits."""
    return secrets.token_urlsafe(16)


def hash_of(token: str) -> str:
    """Return what is kept of a token. Chance of 128 bits needs no salt."""
    return hashlib.sha256(token.encode()).hexdigest()


def must_be_token(token: str, days: str = USUAL) -> None:
    """Raise InputError 'link-unfit' for a token that is none of ours, or another time."""
    if len(token) != 22 or not set(token) <= SIGNS or days not in LASTS:
        raise InputError("link-unfit", Msg("This form arrived damaged. Load the page again."))


def make(session: Session, opening: str, person: str, token: str, days: str, now: int) -> Link:
    """Keep a link; the same token again is the same link.

    Errors: InputError 'link-unfit' for a token that is none of ours, or another time.
    """
    must_be_token(token, days)
    kept = session.get(Link, hash_of(token))
    if kept is None:
        kept = Link(
            token_hash=hash_of(token),
            opening=opening,
            person=person,
            made=now,
            expires=now + int(days) * DAY,
        )
        session.add(kept)
        session.flush()
    return kept


def find(session: Session, token: str, now: int) -> Link | None:
    """Return a link that holds now, or None."""
    kept = session.get(Link, hash_of(token))
    if kept is None or kept.withdrawn is not None or kept.expires <= now:
        return None
    return kept


def withdraw(session: Session, opening: str, name: str, now: int) -> None:
    """End a link of an opening at once, by the name that the office's page gives it."""
    for link in record_links(session, opening):
        if name_of(link) == name and link.withdrawn is None:
            link.withdrawn = now
            session.add(link)


def name_of(link: Link) -> str:
    """Return what the office's page calls a link: nothing that opens it."""
    return link.token_hash[:12]
