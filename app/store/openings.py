"""Jobs and openings, as one person may see them."""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import select
from sqlmodel import Session, col

from app.core.kinds import Json
from app.store import callbacks, shop_drawings
from app.store.people import is_office
from app.store.tables import Assigned, Job, Opening, Person


def openings_of(session: Session, person: Person, only: Sequence[str] | None = None) -> list[Json]:
    """Return the openings a person may see: an installer's own, a supervisor's all.

    only: look no further than these, for a page that speaks of no others.
    """
    wanted = select(*_SHOWN).join(Job, col(Job.id) == col(Opening.job))
    if only is not None:
        wanted = wanted.where(col(Opening.id).in_(only))
    if not is_office(person):
        wanted = wanted.join(Assigned, col(Assigned.opening) == col(Opening.id))
        wanted = wanted.where(col(Assigned.person) == person.id)
    # columns, not objects: a phone asks for all of its openings at every pull
    found = session.execute(wanted.order_by(col(Job.title), col(Opening.letter))).mappings()
    complaints = callbacks.listed(session)
    shop = shop_drawings.listed_pages(session, only)
    return [
        {
            **opening,
            "callbacks": complaints.get(opening["id"], []),
            "shop": shop.get(opening["id"], []),
        }
        for opening in found
    ]


_SHOWN: tuple[Any, ...] = (
    col(Opening.id),
    col(Opening.job),
    col(Job.title).label("job_title"),
    col(Job.address),
    col(Job.homeowner),
    col(Opening.letter),
    col(Opening.room),
)
