"""Jobs and openings, as one person may see them."""

from collections.abc import Sequence

from sqlmodel import Session, col, select

from app.core.kinds import Json
from app.store import callbacks, shop_drawings
from app.store.people import is_office
from app.store.tables import Assigned, Job, Opening, Person


def openings_of(session: Session, person: Person, only: Sequence[str] | None = None) -> list[Json]:
    """Return the openings a person may see: an installer's own, a supervisor's all.

    only: look no further than these, for a page that speaks of no others.
    """
    wanted = select(Opening, Job).join(Job, col(Job.id) == col(Opening.job))
    if only is not None:
        wanted = wanted.where(col(Opening.id).in_(only))
    if not is_office(person):
        wanted = wanted.join(Assigned, col(Assigned.opening) == col(Opening.id))
        wanted = wanted.where(Assigned.person == person.id)
    found: Sequence[tuple[Opening, Job]] = session.exec(
        wanted.order_by(col(Job.title), col(Opening.letter))
    ).all()
    complaints = callbacks.listed(session)
    shop = shop_drawings.listed_pages(session, only)
    return [
        {
            **_as_json(opening, job),
            "callbacks": complaints.get(opening.id, []),
            "shop": shop.get(opening.id, []),
        }
        for opening, job in found
    ]


def _as_json(opening: Opening, job: Job) -> Json:
    return {
        "id": opening.id,
        "job": job.id,
        "job_title": job.title,
        "address": job.address,
        "homeowner": job.homeowner,
        "letter": opening.letter,
        "room": opening.room,
    }
