"""The company whose book this is: one row, or none yet. What records print of it, and its depth."""

from sqlmodel import Field, Session, SQLModel

MOST_NAME, MOST_TELEPHONE, MOST_ADDRESS = 200, 60, 200


class Company(SQLModel, table=True):
    """Name and telephone, as they are printed. id is always 1.

    depth: how much of a procedure is asked where neither job nor opening says; "" is short.
    """

    id: int = Field(default=1, primary_key=True)
    name: str = ""
    telephone: str = ""
    depth: str = ""
    address: str = ""
    logo: str = ""  # a PNG that was drawn anew (homeowner/picture.py), in base 64; "" for none


def company_of(session: Session) -> Company:
    """Return the company; empty texts where it was not given yet."""
    return session.get(Company, 1) or Company()


def name_company(
    session: Session, name: str, telephone: str, depth: str = "", address: str | None = None
) -> None:
    """Keep name and telephone in the place of what was there; the others too, where given."""
    kept = company_of(session)
    kept.name, kept.telephone = name, telephone
    kept.address = kept.address if address is None else address
    kept.depth = depth or kept.depth
    session.add(kept)
    session.flush()
