"""The company whose book this is, as completion records name it: one row, or none yet."""

from sqlmodel import Field, Session, SQLModel

MOST_NAME, MOST_TELEPHONE = 200, 60


class Company(SQLModel, table=True):
    """Name and telephone, as they are printed. id is always 1."""

    id: int = Field(default=1, primary_key=True)
    name: str = ""
    telephone: str = ""


def company_of(session: Session) -> Company:
    """Return the company; empty texts where it was not given yet."""
    return session.get(Company, 1) or Company()


def name_company(session: Session, name: str, telephone: str) -> None:
    """Keep name and telephone, in the place of what was there."""
    kept = company_of(session)
    kept.name, kept.telephone = name, telephone
    session.add(kept)
    session.flush()
