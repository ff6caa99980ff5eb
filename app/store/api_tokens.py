"""Tokens by which other programs ask, and what they made: only hashes. Seconds since 1970."""

import hashlib
import secrets

from sqlmodel import Field, Session, SQLModel, col, delete, select

from app.store.tables import Person

READ, WRITE = SCOPES = ("read", "write")  # to write is also to read
DAY = 24 * 3600
KEY_LASTS = 2 * DAY  # so long the same Idempotency-Key is the same request
_PREFIX = "sillbook_"


class ApiToken(SQLModel, table=True):
    """A token of another program. It ends by its date, by hand, and with whoever made it."""

    __tablename__ = "api_token"

    token_hash: str = Field(primary_key=True)
    name: str
    scope: str
    person: str = Field(foreign_key="person.id")
    made: int
    expires: int
    ended: int | None = None


class ApiWrite(SQLModel, table=True):
    """What a request with an Idempotency-Key made. key: a hash of token and key; made: an id."""

    __tablename__ = "api_write"

    key: str = Field(primary_key=True)
    digest: str
    made: str
    at: int = Field(index=True)


def fresh_token() -> str:
    """Return a new token: 192 bits of chance, and a beginning by which scanners know it."""
    return _PREFIX + secrets.token_urlsafe(24)


def hash_of(token: str) -> str:
    """Return what is kept of a token. Chance of 192 bits needs no salt."""
    return hashlib.sha256(token.encode()).hexdigest()


def living_token(session: Session, token: str, now: int) -> ApiToken | None:
    """Return a token that holds now, or None: its maker must still be an administrator."""
    wanted = select(ApiToken).join(Person, col(Person.id) == col(ApiToken.person))
    wanted = wanted.where(col(Person.disabled).is_(False), Person.role == "administrator")
    wanted = wanted.where(col(ApiToken.ended).is_(None), ApiToken.expires > now)
    return session.exec(wanted.where(ApiToken.token_hash == hash_of(token))).first()


def end_tokens(session: Session, person: str, now: int) -> None:
    """End the tokens that a person made, for good: who is let in again makes others."""
    wanted = select(ApiToken).where(ApiToken.person == person, col(ApiToken.ended).is_(None))
    for token in session.exec(wanted):
        token.ended = now
        session.add(token)
    session.flush()


def listed_tokens(session: Session) -> list[ApiToken]:
    """Return all tokens, the newest first."""
    return list(session.exec(select(ApiToken).order_by(col(ApiToken.made).desc())))


def forget_writes(session: Session, now: int) -> None:
    """Forget by which key things were made, once that is long ago."""
    session.connection().execute(delete(ApiWrite).where(col(ApiWrite.at) < now - KEY_LASTS))
