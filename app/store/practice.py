"""Which openings are to practise on: no figure counts them, nothing of them leaves the office."""

from sqlmodel import Session

from app.store.summary_tables import Summary


def is_practice(session: Session, opening: str) -> bool:
    """Return whether an opening was issued to practise on; one that is not issued is not."""
    row = session.get(Summary, opening)
    return row is not None and row.practice
