"""What leaves the office by itself, and its one way out: a row in the outbox for each receiver.

A row is written in the transaction of what it tells. So it is there exactly when that is, and a
restart loses nothing. A server takes rows with a lease; where it dies, another takes them again
when the lease has ended. So a receiver gets each at least once, and knows a double by its id.
"""

import hashlib
import json
import time
from collections.abc import Iterable, Sequence

from sqlalchemy import ColumnElement, Index, text
from sqlmodel import Field, Session, SQLModel, col, delete, select
from sqlmodel.sql.expression import SelectOfScalar

from app.core.kinds import Json

MAIL, OWNER, WEBHOOK, PUSH = "mail", "owner", "webhook", "push"  # channels
WAITING, SENT, FAILED, DROPPED = "waiting", "sent", "failed", "dropped"  # states
LEASE = 120  # seconds in which a server tries what it took
AT_ONCE = 5  # what it takes together: all of it must be tried within the lease
WAITS = (10, 60, 300, 1800, 7200, 21600, 43200, 86400)  # seconds before each further try
KEPT = 30 * 24 * 3600  # seconds that a row stays here once it is over
_MOST_WHY = 300
_MOST_MAIL = 50  # notices in one mail; the rest go in the next


class Outgoing(SQLModel, table=True):
    """One thing on its way to one receiver. Times are seconds since 1970.

    id: the same cause for the same receiver gives the same, so that nothing is told twice.
    receiver: a person's id (mail), an opening's (owner), a webhook's, a subscription's (push).
    text: what is told, as JSON, without secrets. due: not before. lease: a server works at it
    until then. batch: names what goes out together, once it was tried; it is what receivers know a
    double by.
    """

    __tablename__ = "outbox"
    __table_args__ = (
        Index(
            "ix_outbox_due",
            "due",
            "id",
            sqlite_where=text("state = 'waiting'"),
            postgresql_where=text("state = 'waiting'"),
        ),
        Index("ix_outbox_receiver", "channel", "receiver", "made"),
        Index("ix_outbox_state", "state", "ended"),
    )

    id: str = Field(primary_key=True)
    channel: str
    receiver: str
    kind: str
    text: str
    made: int
    due: int
    lease: int = 0
    tries: int = 0
    state: str = WAITING
    why: str = ""
    batch: str = ""
    ended: int | None = None


def post(
    session: Session, channel: str, receiver: str, kind: str, cause: str, body: Json, due: int = 0
) -> None:
    """Put something into the outbox, once for its cause and receiver; due: not before."""
    id = hashlib.sha256(f"{channel}|{receiver}|{kind}|{cause}".encode()).hexdigest()[:32]
    if session.get(Outgoing, id) is not None:
        return
    words = json.dumps(body, ensure_ascii=False, sort_keys=True)
    now = int(time.time())
    row = Outgoing(
        id=id, channel=channel, receiver=receiver, kind=kind, text=words, made=now, due=due or now
    )
    session.add(row)
    session.flush()
    session.info["posted"] = True


def count_told(
    session: Session, channel: str, receiver: str, kind: str, opening: str, since: int
) -> int:
    """Return how many rows of a kind a receiver was given about an opening."""
    wanted = select(Outgoing.id).where(
        Outgoing.channel == channel,
        Outgoing.receiver == receiver,
        Outgoing.made >= since,
        Outgoing.kind == kind,
        col(Outgoing.text).contains(f'"opening": {json.dumps(opening)}', autoescape=True),
    )
    return len(session.exec(wanted).all())


def has_due(session: Session, now: int) -> bool:
    """Return whether something waits to be sent now."""
    return session.exec(_due_rows(now).limit(1)).first() is not None


def _due_rows(now: int, *order: ColumnElement[bool]) -> SelectOfScalar[Outgoing]:
    wanted = select(Outgoing).where(
        text("state = 'waiting'"), Outgoing.due <= now, Outgoing.lease <= now
    )
    return wanted.order_by(*order, col(Outgoing.due), col(Outgoing.id))


def take_batches(session: Session, now: int) -> list[list[Outgoing]]:
    """Take what is due, for as long as the lease: rows that go out together, in one list.

    Mails to one person go together. What was tried together is tried together again. Mails go
    first: a webhook that answers late, of whatever is told often, keeps no owner waiting.
    """
    batches: dict[str, list[Outgoing]] = {}
    # another server may take rows in the same moment: what it holds is passed over
    wanted = _due_rows(now, col(Outgoing.channel).in_((WEBHOOK, PUSH)))  # strangers' servers wait
    wanted = wanted.limit(_MOST_MAIL * AT_ONCE).with_for_update(skip_locked=True)
    for row in session.exec(wanted):
        together = row.batch or (row.receiver if row.channel == MAIL else row.id)
        if together in batches or len(batches) < AT_ONCE:
            batches.setdefault(together, []).append(row)
    taken = [rows[:_MOST_MAIL] for rows in batches.values()]
    for rows in taken:
        for row in rows:
            row.lease, row.tries, row.batch = now + LEASE, row.tries + 1, row.batch or rows[0].id
            session.add(row)
    session.flush()
    return taken


def note_sent(session: Session, ids: Iterable[str], now: int) -> None:
    """Note that rows were taken by their receiver."""
    for row in rows_of(session, ids):
        row.state, row.why, row.ended, row.lease = SENT, "", now, 0
        session.add(row)


def note_failure(
    session: Session, ids: Iterable[str], now: int, why: str, *, final: bool = False
) -> None:
    """Note why rows could not be sent; they are tried again later, unless that is of no use."""
    for row in rows_of(session, ids):
        row.why, row.lease = why[:_MOST_WHY], 0
        if final or row.tries > len(WAITS):
            row.state, row.ended = FAILED, now
        else:
            row.due = now + WAITS[row.tries - 1]
        session.add(row)


def rows_of(session: Session, ids: Iterable[str]) -> Sequence[Outgoing]:
    """Return rows by their ids."""
    return session.exec(select(Outgoing).where(col(Outgoing.id).in_(list(ids)))).all()


def send_again(session: Session, id: str, now: int) -> Outgoing | None:
    """Have a row that failed tried anew, with all its tries; returns it, or None."""
    row = session.get(Outgoing, id)
    if row is None or row.state != FAILED:
        return None
    row.state, row.tries, row.due, row.ended = WAITING, 0, now, None
    session.add(row)
    session.info["posted"] = True
    return row


def drop(session: Session, id: str, now: int) -> Outgoing | None:
    """Give a row up that failed or waits; returns it, or None."""
    row = session.get(Outgoing, id)
    if row is None or row.state not in (FAILED, WAITING):
        return None
    row.state, row.ended = DROPPED, now
    session.add(row)
    return row


def count_failed(session: Session) -> int:
    """Return how many rows could not be sent and wait for the office."""
    return len(session.exec(select(Outgoing.id).where(Outgoing.state == FAILED).limit(1000)).all())


def newest_rows(
    session: Session, most: int, channel: str = "", receiver: str = "", state: str = ""
) -> Sequence[Outgoing]:
    """Return the newest rows, of all or of one receiver, or in one state."""
    wanted = select(Outgoing).order_by(col(Outgoing.made).desc(), col(Outgoing.id)).limit(most)
    if channel:
        wanted = wanted.where(Outgoing.channel == channel)
    if receiver:
        wanted = wanted.where(Outgoing.receiver == receiver)
    if state:
        wanted = wanted.where(Outgoing.state == state)
    return session.exec(wanted).all()


def has_old(session: Session, now: int) -> bool:
    """Return whether there are rows that forget_old takes away."""
    return session.exec(select(Outgoing.id).where(_is_old(now)).limit(1)).first() is not None


def forget_old(session: Session, now: int) -> None:
    """Take rows away that have been over for a month; what failed stays until it is dealt with."""
    session.connection().execute(delete(Outgoing).where(_is_old(now)))


def _is_old(now: int) -> ColumnElement[bool]:
    return col(Outgoing.state).in_((SENT, DROPPED)) & (col(Outgoing.ended) < now - KEPT)
