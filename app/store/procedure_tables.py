"""A procedure's file, its draft, and who put which version in force."""

from sqlalchemy import ForeignKeyConstraint
from sqlmodel import Field, SQLModel


class ProcedureFile(SQLModel, table=True):
    """The file that a version was compiled from, as it came in; versions from before have none."""

    __tablename__ = "procedure_file"
    __table_args__ = (
        ForeignKeyConstraint(["id", "version"], ["procedure.id", "procedure.version"]),
    )

    id: str = Field(primary_key=True)
    version: int = Field(primary_key=True)
    text: str


class ProcedureDraft(SQLModel, table=True):
    """What is being changed in the browser: one draft a procedure, until it is in force or dropped.

    base: the version that it began with. text always compiles.
    """

    __tablename__ = "procedure_draft"

    id: str = Field(primary_key=True)
    base: int
    text: str
    person: str = Field(foreign_key="person.id")  # who changed it last
    at: int  # seconds since 1970


class PutInForce(SQLModel, table=True):
    """One act: new openings get another version. Rows are only ever added."""

    __tablename__ = "put_in_force"

    id: str = Field(primary_key=True)  # the form's
    procedure: str = Field(index=True)
    version: int
    before: int  # the version that was in force, 0: none
    person: str = Field(foreign_key="person.id")
    at: int  # seconds since 1970
    limits: int  # how many changes of limits the page showed
    why: str
