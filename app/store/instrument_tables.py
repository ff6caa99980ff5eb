"""The register of instruments, and what is kept beside the log about their use and checks."""

from sqlalchemy import Index
from sqlmodel import Field, SQLModel


class Instrument(SQLModel, table=True):
    """A level, laser, tape or gauge of the company. resolution nm, slope nm per metre.

    last: the occasion of its last check that is not struck, or "".
    """

    id: str = Field(primary_key=True)
    name: str = Field(unique=True)
    sort: str
    resolution: str
    grade: str = ""
    slope: str = "0"
    retired: bool = False
    last: str = ""


class Check(SQLModel, table=True):
    """A daily check, once a check wherever its entries stand.

    at: as its maker's clock claims. order: the earlier of that and when it was received, so that
    a clock that runs ahead does not stay the last word; text: its body as JSON.
    """

    __tablename__ = "instrument_check"
    __table_args__ = (Index("ix_instrument_check_order", "instrument", "sorted_at", "occasion"),)

    occasion: str = Field(primary_key=True)
    instrument: str
    at: str
    order: str = Field(sa_column_kwargs={"name": "sorted_at"})
    person: str
    seq: int
    text: str
    struck: bool = False


class CheckEntry(SQLModel, table=True):
    """Where the entries of a check stand: one in the log of each opening that it concerns."""

    __tablename__ = "instrument_check_entry"

    event: str = Field(primary_key=True, foreign_key="event.id")
    occasion: str = Field(index=True)
    opening: str = Field(foreign_key="opening.id")


class Use(SQLModel, table=True):
    """Which openings an instrument was used at; seq: of the last entry that names it."""

    __tablename__ = "instrument_use"

    instrument: str = Field(primary_key=True)
    opening: str = Field(primary_key=True, foreign_key="opening.id")
    seq: int
