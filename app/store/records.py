"""Completion records as they were issued, and the links by which they are shown. Only added.

Of an issued record one thing can go: a name that somebody typed (Erasure). Its digest stays.
"""

from sqlalchemy import Index, text
from sqlmodel import Field, Session, SQLModel, col, select


class Issued(SQLModel, table=True):
    """One revision of an opening's completion record.

    text: the snapshot as canonical JSON; digest: that of its public form; code: the digest's short
    form, printed on every sheet. People of the company are named by their ids.
    signature: the company's over the digest; key: the fingerprint of the key that made it.
    """

    opening: str = Field(primary_key=True, foreign_key="opening.id")
    revision: int = Field(primary_key=True)
    at: str
    digest: str
    code: str = Field(index=True)
    text: str
    signature: str = ""
    key: str = ""


class Erasure(SQLModel, table=True):
    """That typed names were erased from the records of an opening; seconds since 1970.

    Only where there is such a row can the text of what was issued be written anew (a trigger).
    """

    opening: str = Field(primary_key=True, foreign_key="opening.id")
    at: int


class ServiceSheet(SQLModel, table=True):
    """The sheet of one service visit, kept as a revision of a record is. revision: its number."""

    __tablename__ = "service_sheet"

    opening: str = Field(primary_key=True, foreign_key="opening.id")
    revision: int = Field(primary_key=True)
    visit: str
    at: str
    digest: str
    code: str = Field(index=True)
    text: str
    signature: str
    key: str


class Callback(SQLModel, table=True):
    """What an owner complained of. Seconds since 1970.

    photo: the SHA-256 of a photo that came with it, or "". person: who took it on, "" for nobody
    yet; taken: when. closed: the visit that answered it, or why the office closed it.
    """

    __table_args__ = (
        Index(
            "ix_callback_open",
            "at",
            "id",
            sqlite_where=text("closed = ''"),
            postgresql_where=text("closed = ''"),
        ),
    )

    id: str = Field(primary_key=True)
    opening: str = Field(foreign_key="opening.id", index=True)
    at: int
    words: str
    photo: str
    person: str
    taken: int | None = None
    closed: str


class Link(SQLModel, table=True):
    """A private link to an opening's record; only the hash of its token. Seconds since 1970."""

    token_hash: str = Field(primary_key=True)
    opening: str = Field(foreign_key="opening.id", index=True)
    person: str = Field(foreign_key="person.id")
    made: int
    expires: int
    withdrawn: int | None = None


class LinkSecret(SQLModel, table=True):
    """A secret that serves once for a new link to a record; only its hash. Seconds since 1970.

    purpose: "renew", for the same owner; "hand-on", for a new one. person: of the office whose
    link it goes back to.
    """

    __tablename__ = "link_secret"

    secret_hash: str = Field(primary_key=True)
    opening: str = Field(foreign_key="opening.id")
    person: str = Field(foreign_key="person.id")
    purpose: str
    made: int
    expires: int
    used: int | None = None


def revisions_of(session: Session, opening: str) -> list[Issued]:
    """Return the revisions of an opening's record, first to last."""
    wanted = select(Issued).where(Issued.opening == opening).order_by(col(Issued.revision))
    return list(session.exec(wanted))


def sheets_of(session: Session, opening: str) -> list[ServiceSheet]:
    """Return the sheets of an opening's service visits, first to last."""
    wanted = select(ServiceSheet).where(ServiceSheet.opening == opening)
    return list(session.exec(wanted.order_by(col(ServiceSheet.revision))))


def by_code(session: Session, code: str) -> list[Issued | ServiceSheet]:
    """Return what carries a short code: nothing, one, or by a chance in 2^50 more."""
    records = session.exec(select(Issued).where(Issued.code == code))
    sheets = session.exec(select(ServiceSheet).where(ServiceSheet.code == code))
    return [*records, *sheets]


def record_links(session: Session, opening: str) -> list[Link]:
    """Return the links to an opening's record, newest first."""
    wanted = select(Link).where(Link.opening == opening).order_by(col(Link.made).desc())
    return list(session.exec(wanted))
