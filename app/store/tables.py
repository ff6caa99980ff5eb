"""The tables. Events and procedures are only ever added: triggers hold that (see migrations)."""

import secrets
from typing import Any

from sqlalchemy import BigInteger, ForeignKeyConstraint, Index, Integer, UniqueConstraint, text
from sqlmodel import Field, SQLModel

ROLES = ("installer", "supervisor", "administrator")
# An administrator is a supervisor who also keeps the people and their roles.
OFFICE_ROLES = ("supervisor", "administrator")
# A turn that was made up may be as great as a number can be; there is room above 32 bits.
TURN: Any = BigInteger().with_variant(Integer(), "sqlite")


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
    # the opening whose page alone it shows while the owner has the device, "" else; their language
    lent_opening: str = ""
    lent_lang: str = ""


class Job(SQLModel, table=True):
    """The work at one address, for one homeowner."""

    id: str = Field(primary_key=True)
    title: str
    address: str
    homeowner: str = ""
    contact: str = ""  # how to reach the homeowner: telephone, mail; never in the log
    builder: str = ""  # who built the opening: a company's name
    mail: str = ""  # where the homeowner gets the record by e-mail; never in the log
    depth: str = ""  # of its new openings: short, full; "": as the company has it
    closed: str = Field(default="", index=True)  # cancelled, archived; "": open
    closed_why: str = ""


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
    since: int = Field(default=0, index=True)  # given by a trigger: see news.py


class Withdrawn(SQLModel, table=True):
    """Who had an opening and no longer has it; kept by triggers on Assigned."""

    opening: str = Field(primary_key=True, foreign_key="opening.id")
    person: str = Field(primary_key=True, foreign_key="person.id")


class Crew(SQLModel, table=True):
    """People who go out together. ended: it is planned no more; its past stays."""

    id: str = Field(primary_key=True)
    name: str
    ended: bool = False


class CrewSetup(SQLModel, table=True):
    """Who a crew is from a day on, until its next set-up. people: ids, the lead's first."""

    __tablename__ = "crew_setup"

    crew: str = Field(primary_key=True, foreign_key="crew.id")
    first: str = Field(primary_key=True)
    people: str


class CalendarLink(SQLModel, table=True):
    """A private link to a calendar; only its hash. crew: "" for the whole company's."""

    __tablename__ = "calendar_link"

    token_hash: str = Field(primary_key=True)
    crew: str = Field(index=True)
    person: str = Field(foreign_key="person.id")
    made: int
    ended: int | None = None


class Procedure(SQLModel, table=True):
    """A compiled procedure; an opening keeps the version it was issued with."""

    id: str = Field(primary_key=True)
    version: int = Field(primary_key=True)
    digest: str
    text: str


class Event(SQLModel, table=True):
    """One event of the log. body is the whole event as canonical JSON; hash is its SHA-256.

    seq: 1 and up in the order of commit. signature: of a phone's sign-off, else "".
    flag: "withdrawn" where the opening was no longer the person's when it arrived, "ended" where
    its phone's pairing had ended, else "".
    """

    __table_args__ = (
        UniqueConstraint("opening", "device", "n"),
        ForeignKeyConstraint(["opening"], ["opening.id"]),
        Index("ix_event_seq", "seq", unique=True),
        Index("ix_event_opening_seq", "opening", "seq"),
        Index(
            "ix_event_late",
            "seq",
            sqlite_where=text("flag <> ''"),
            postgresql_where=text("flag <> ''"),
        ),
        *(
            Index(
                f"ix_event_{kind.replace('.', '_')}",
                "seq",
                sqlite_where=text(f"kind = '{kind}'"),
                postgresql_where=text(f"kind = '{kind}'"),
            )
            for kind in ("visit.begun", "visit.signed")
        ),
    )

    id: str = Field(primary_key=True)
    opening: str
    device: str
    n: int
    prev: str
    hash: str
    turn: int = Field(sa_type=TURN)
    kind: str
    body: str
    received_at: str
    seq: int
    signature: str = ""
    flag: str = ""


class Device(SQLModel, table=True):
    """A phone with a book of its own. Times are seconds since 1970.

    key: its public key as canonical JWK. The token itself is only on the phone.
    last_seen, unsent, bundle: when it last synced; what it had to send after that; its program.
    secret: what codes of spoken concessions are made with (core/record/spoken.py);
    it opens nothing here.
    """

    id: str = Field(primary_key=True)
    name: str
    person: str = Field(foreign_key="person.id")
    key: str
    key_hash: str = Field(unique=True)
    token_hash: str = Field(unique=True)
    made: int
    revoked: int | None = None
    last_seen: int | None = None
    unsent: int = 0
    bundle: str = ""
    secret: str = Field(default_factory=lambda: secrets.token_hex(32))


class DevicePerson(SQLModel, table=True):
    """Who may enter on a phone."""

    __tablename__ = "device_person"

    device: str = Field(primary_key=True, foreign_key="device.id")
    person: str = Field(primary_key=True, foreign_key="person.id")
    since: int = Field(index=True)


class Pairing(SQLModel, table=True):
    """A code that pairs one phone, for ten minutes; only its hash."""

    code_hash: str = Field(primary_key=True)
    person: str = Field(foreign_key="person.id")
    expires: int
    used: int | None = None


class Invitation(SQLModel, table=True):
    """A link by which one person sets a password, once; only the hash of its code."""

    code_hash: str = Field(primary_key=True)
    person: str = Field(foreign_key="person.id", index=True)
    made: int
    expires: int
    used: int | None = None


class Voice(SQLModel, table=True):
    """A code that the office gave by voice: for what, on whose word, and why. id: the form's."""

    id: str = Field(primary_key=True)
    opening: str = Field(foreign_key="opening.id", index=True)
    check_id: str
    panel: str
    number: str
    device: str = Field(foreign_key="device.id")
    day: str
    person: str = Field(foreign_key="person.id")
    at: str
    reason: str
    answer: str


class Aside(SQLModel, table=True):
    """An event that was received and is not in the log: held, or set aside, and why.

    id, opening, n, hash: as the event says, where they could be read. text: as it came. turn: what
    its chain goes on from, no more than explains it.
    placed: it has its place in its device's chain, so that what follows it can be taken.
    taken: the entry by which the office took it in; "" while it has not.
    """

    __table_args__ = (
        Index("ix_aside_chain", "opening", "device", "n"),
        Index("ix_aside_device", "device", "placed"),
        Index("ix_aside_held", "opening", "state", "device"),
    )

    key: str = Field(primary_key=True)
    id: str = Field(index=True)
    device: str = Field(foreign_key="device.id")
    opening: str
    n: int
    turn: int = Field(sa_type=TURN)
    hash: str
    text: str
    signature: str
    state: str
    why: str
    placed: bool
    received_at: str
    taken: str = ""


class Head(SQLModel, table=True):
    """The last event of a chain that its phone's key signed as the last: see check.py."""

    opening: str = Field(primary_key=True, foreign_key="opening.id")
    device: str = Field(primary_key=True, foreign_key="device.id")
    n: int
    hash: str
    signature: str


class PhotoOf(SQLModel, table=True):
    """Which photo an event names."""

    __tablename__ = "photo_of"

    event: str = Field(primary_key=True, foreign_key="event.id")
    sha256: str = Field(index=True)
    opening: str = Field(foreign_key="opening.id")


class Photo(SQLModel, table=True):
    """A photo that has arrived; its bytes are a file named by their SHA-256."""

    sha256: str = Field(primary_key=True)
    size: int
    width: int
    height: int
    received_at: str


class Setting(SQLModel, table=True):
    """A value that belongs to this database, such as its own device ids."""

    name: str = Field(primary_key=True)
    value: str


class SlowDownCount(SQLModel, table=True):
    """Tries that several servers count together: see access/slowdown.py.

    key: a hash. until: when the wait is over, in milliseconds since 1970.
    """

    __tablename__ = "slow_down"

    key: str = Field(primary_key=True)
    tries: int
    until: int
