"""What accepted doors teach, worked out from their entries: all of it can be made again.

Nobody's name stands here: crews are counted as crews, and no figure is a person's.
"""

from typing import Any

from sqlalchemy import BigInteger, Index
from sqlmodel import Field, SQLModel

LENGTH: Any = BigInteger  # nanometres


class LearnedDoor(SQLModel, table=True):
    """An accepted door that is counted.

    seq: number of the last entry that was looked at. month: of its acceptance, year-month. crew:
    whose it was planned to be, "" for none. floor: how far the highest and the lowest spot of the
    sill bed lay apart as first read, nanometres; None where no bed was read. floor_out: whether a
    check of that bed was out at first. facts: what it adds to the months, as JSON: see lessons.py.
    """

    __tablename__ = "learned_door"
    __table_args__ = (Index("ix_learned_door_floor", "month", "crew", "job", "floor", "floor_out"),)

    opening: str = Field(primary_key=True, foreign_key="opening.id")
    seq: int
    month: str
    crew: str
    job: str = Field(foreign_key="job.id")
    floor: int | None = Field(default=None, sa_type=LENGTH)
    floor_out: bool = False
    facts: str


class LearnedMonth(SQLModel, table=True):
    """The facts of all doors of a month and crew, added up.

    crew: "*" for all crews together, so that a year is not read crew by crew. kind, step, name,
    way: what is counted (see lessons.py). count: how many; good: how many of these went well.
    sizes: amounts, in order, a space between.
    """

    __tablename__ = "learned_month"
    __table_args__ = (Index("ix_learned_month_kind", "kind", "crew", "month"),)

    crew: str = Field(primary_key=True)
    month: str = Field(primary_key=True)
    kind: str = Field(primary_key=True)
    step: str = Field(primary_key=True)
    name: str = Field(primary_key=True)
    way: str = Field(primary_key=True)
    count: int
    good: int
    sizes: str
