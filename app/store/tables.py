"""The tables. Events and procedures are only ever added: triggers hold that (see migrations)."""

from sqlalchemy import ForeignKeyConstraint, UniqueConstraint
from sqlmodel import Field, SQLModel

ROLES = ("installer", "supervisor")


class Person(SQLModel, table=True):
    """Somebody who signs in. Names live here only: events hold the id."""

    id: str = Field(primary_key=True)
    name: str
    role: str
    login: str = Field(unique=True)
    password: str
    units: str = "in"
    lang: str = "en"
    disabled: bool = False


class SignedIn(SQLModel, table=True):
    """A session; the token itself is only in the browser. Times are seconds since 1970."""

    __tablename__ = "session"

    token_hash: str = Field(primary_key=True)
    person: str = Field(foreign_key="person.id", index=True)
    began: int
    used: int


class Job(SQLModel, table=True):
    """The work at one address, for one homeowner."""

    id: str = Field(primary_key=True)
    title: str
    address: str
    homeowner: str = ""


class Opening(SQLModel, table=True):
    """One hole in the wall and the door that goes in it."""

    id: str = Field(primary_key=True)
    job: str = Field(foreign_key="job.id", index=True)
    letter: str
    room: str


class Assigned(SQLModel, table=True):
    """Who may see an opening and work at it."""

    opening: str = Field(primary_key=True, foreign_key="opening.id")
    person: str = Field(primary_key=True, foreign_key="person.id", index=True)


class Procedure(SQLModel, table=True):
    """A compiled procedure; an opening keeps the version it was issued with."""

    id: str = Field(primary_key=True)
    version: int = Field(primary_key=True)
    digest: str
    text: str


class Event(SQLModel, table=True):
    """One event of the log. body is the whole event as canonical JSON; hash is its SHA-256."""

    __table_args__ = (
        UniqueConstraint("opening", "device", "n"),
        ForeignKeyConstraint(["opening"], ["opening.id"]),
    )

    id: str = Field(primary_key=True)
    opening: str
    device: str
    n: int
    prev: str
    hash: str
    turn: int
    kind: str
    body: str
    received_at: str


class Setting(SQLModel, table=True):
    """A value that belongs to this database, such as its own device ids."""

    name: str = Field(primary_key=True)
    value: str
