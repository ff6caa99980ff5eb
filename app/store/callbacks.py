"""Owners' complaints: kept, taken on by somebody, closed by a visit or by the office."""

from sqlmodel import Session, col, select

from app.core.errors import RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.store import notices
from app.store.notices import Notice
from app.store.records import Callback
from app.store.summary_tables import NOTHING
from app.store.tables import Assigned

MOST_WORDS = 1000
MOST_OPEN = 10  # of one opening: more is no complaint any more


def open_of(session: Session, openings: list[str] | None = None) -> list[Callback]:
    """Return the complaints that nobody has closed, oldest first; of these openings, or of all."""
    wanted = select(Callback).where(Callback.closed == NOTHING)
    if openings is not None:
        wanted = wanted.where(col(Callback.opening).in_(openings))
    return list(session.exec(wanted.order_by(col(Callback.at), col(Callback.id))))


def listed(session: Session) -> dict[str, list[Json]]:
    """Return opening -> [{"id", "words"}] of its open complaints, as the crew's phones get them."""
    out: dict[str, list[Json]] = {}
    for one in open_of(session):
        out.setdefault(one.opening, []).append({"id": one.id, "words": one.words})
    return out


def keep(session: Session, complaint: Callback) -> None:
    """Keep an owner's complaint; the same once more is the same.

    Errors: RefusedError 'too-many-complaints' where so many are open as no door has.
    """
    if session.get(Callback, complaint.id) is not None:
        return
    if len(open_of(session, [complaint.opening])) >= MOST_OPEN:
        words = Msg("So many messages are waiting already. Call the company.")
        raise RefusedError("too-many-complaints", words)
    session.add(complaint)
    session.flush()
    more = {"words": complaint.words[:300]}
    notices.note(session, Notice(notices.CALLBACK, complaint.id, complaint.opening, more=more))


def give(session: Session, callback: Callback, person: str, now: int) -> None:
    """Give a complaint to somebody, who gets the opening with it."""
    callback.person, callback.taken = person, now
    session.add(callback)
    if session.get(Assigned, (callback.opening, person)) is None:
        session.add(Assigned(opening=callback.opening, person=person))
    session.flush()


def close(session: Session, id: str, by: str) -> None:
    """Close a complaint. by: the visit that answered it, or what the office wrote."""
    found = session.get(Callback, id)
    if found is not None and not found.closed:
        found.closed = by
        session.add(found)
        session.flush()
