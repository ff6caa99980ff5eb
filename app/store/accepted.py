"""Which openings stand accepted, as their summaries say."""

from collections.abc import Iterable

from sqlmodel import Session, col, select

from app.store.summary_tables import Summary


def accepted_of(session: Session, openings: Iterable[str]) -> list[str]:
    """Return those of these openings that the office accepted, with nothing changed since."""
    wanted = select(Summary.opening).where(col(Summary.opening).in_(list(openings)))
    return list(
        session.exec(
            wanted.where(col(Summary.state).in_(("done", "archived"))).order_by(
                col(Summary.opening)
            )
        )
    )
