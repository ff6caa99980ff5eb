"""The certificates of the company's signing keys, first to last. Only added; the last one signs.

The private halves are not here: who has a copy of the tables cannot sign.
"""

from sqlmodel import Field, Session, SQLModel, col, select


class CompanyKey(SQLModel, table=True):
    """A certificate as PEM. n counts from 1; a key signs until the next one is there."""

    __tablename__ = "company_key"

    n: int = Field(primary_key=True)
    fingerprint: str = Field(unique=True)
    certificate: str


def company_keys(session: Session) -> list[CompanyKey]:
    """Return the company's keys, first to last."""
    return list(session.exec(select(CompanyKey).order_by(col(CompanyKey.n))))


def add_company_key(session: Session, fingerprint: str, certificate: str) -> None:
    """Keep a key as the one that signs from now on."""
    n = len(company_keys(session)) + 1
    session.add(CompanyKey(n=n, fingerprint=fingerprint, certificate=certificate))
    session.flush()
