"""The log: complete events in, events out. Nothing here judges what they say."""

import hashlib
import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime

from sqlalchemy import String, bindparam, insert, text
from sqlmodel import Session, col, select

from app.core.errors import RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record.canonical import canonical_bytes, digest
from app.core.record.events import heads_of, is_fit, is_readable, new_event
from app.store import notices
from app.store.ids import uuid7
from app.store.tables import Event, PhotoOf
from app.store.together import must_be_about, must_be_alone

# kinds that the register of instruments hears of before the commit (see instruments.py)
NOTED = ("reading.taken", "instrument.named", "instrument.checked", "entry.struck")
# kinds that make the office write about more than the opening: they are kept while nobody else
# writes. Other openings hear of instruments; a signed visit is issued a sheet.
KEPT_ALONE = ("instrument.named", "instrument.checked", "entry.struck", "visit.signed")
_ORDER = (col(Event.turn), col(Event.device), col(Event.n))


def events_of(session: Session, openings: Sequence[str]) -> dict[str, list[Json]]:
    """Return the events of each opening, by (turn, device, n)."""
    out: dict[str, list[Json]] = {opening: [] for opening in openings}
    wanted = select(Event.opening, Event.body).where(col(Event.opening).in_(openings))
    for opening, body in session.exec(wanted.order_by(*_ORDER)):
        out[opening].append(json.loads(body))
    return out


def hashes_of(session: Session, ids: Sequence[str]) -> dict[str, str]:
    """Return the hash of each of these events that is in the log."""
    rows = session.connection().execute(_HASHES, {"ids": list(ids)})
    return {row.id: row.hash for row in rows}


_HASHES = text("SELECT id, hash FROM event WHERE id IN :ids").bindparams(
    bindparam("ids", expanding=True, type_=String)
)


def append_events(session: Session, events: Sequence[Json]) -> list[str]:
    """Add complete events in order; returns the ids that were new.

    An event that is there already, the same to the last byte, is a replay and is
    passed over. Errors: RefusedError 'entry-already-used' where its id stands for
    something else; RefusedError 'chain-gap' where it does not follow its device's last.
    """
    return [event["id"] for event in events if _append_one(session, event)]


def _append_one(session: Session, event: Json) -> bool:
    hash_ = digest(event)
    known = session.get(Event, event["id"])
    if known is not None:
        _must_be_same(known, hash_)
        return False
    _must_follow(session, event)
    keep_event(session, event, hash_)
    return True


def carry_event(
    session: Session, event: Json, hash_: str, signature: str, received_at: str
) -> bool:
    """Add an event that another Sillbook had, as received there; returns whether it was new.

    Errors: as append_events().
    """
    known = session.get(Event, event["id"])
    if known is not None:
        _must_be_same(known, hash_)
        return False
    _must_follow(session, event)
    keep_event(session, event, hash_, signature, received_at=received_at)
    session.info["carried"] = True
    return True


def keep_event(
    session: Session,
    event: Json,
    hash_: str,
    signature: str = "",
    flag: str = "",
    received_at: str = "",
    written: str = "",
) -> None:
    """Add one complete event that was looked at already; see tables.Event for the rest.

    written: its canonical text, where that is known.
    """
    if event["kind"] in KEPT_ALONE:
        must_be_alone(session)
    touch_opening(session, event["opening"])
    row = _event_row(event, hash_, next_number(session), written)
    row.update(signature=signature, flag=flag or session.info.get("came", ""))
    row["received_at"] = received_at or row["received_at"]
    session.connection().execute(_ADD_EVENT, row)
    session.info["kept"] = row["seq"]
    notices.note_event(session, event)
    if _speaks_of_instruments(event):
        session.info.setdefault("noted_events", []).append((event, row["seq"]))
    if event["kind"] == "photo.taken" and is_readable(event) and is_fit(event):
        sha256 = event["body"]["sha256"]
        session.add(PhotoOf(event=event["id"], sha256=sha256, opening=event["opening"]))
    if event["kind"] == "visit.signed" and is_readable(event) and is_fit(event):
        session.info.setdefault("signed_visits", []).append(event["id"])


def _speaks_of_instruments(event: Json) -> bool:
    if event["kind"] not in NOTED or not is_fit(event):
        return False
    return event["kind"] != "reading.taken" or bool(event["body"].get("instrument"))


@contextmanager
def after_end(session: Session) -> Iterator[None]:
    """Mark what is kept meanwhile: the pairing of its phone had ended when it came in."""
    session.info["came"] = "ended"
    try:
        yield
    finally:
        del session.info["came"]


def begin_openings(session: Session, events: Sequence[Json]) -> None:
    """Add the first events of openings that are new, all in one statement.

    Errors: RefusedError 'chain-gap' for an event that is not its opening's first.
    """
    must_be_alone(session)
    number = next_number(session)
    rows = []
    for k, event in enumerate(events):
        if (event["n"], event["prev"], event["turn"]) != (1, "", 1):
            raise RefusedError("chain-gap", Msg("This is not the first entry of an opening."))
        body = quick_canonical(event)
        hash_ = hashlib.sha256(body.encode()).hexdigest()
        rows.append(_event_row(event, hash_, number + k, body))
        touch_opening(session, event["opening"])
    if rows:
        _skip_numbers(session, len(rows) - 1)
        session.connection().execute(_ADD_EVENT, rows)
        session.info["kept"] = rows[-1]["seq"]


def quick_canonical(event: Json) -> str:
    """Return the canonical text of an event of our own making: texts, small integers, lists.

    The same as core.record.canonical gives for what that takes, many times as fast; it
    refuses nothing, so it is for events that were put together here from checked values.
    """
    return json.dumps(event, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def touch_opening(session: Session, opening: str) -> None:
    """Have an opening's summary made anew before the commit (see summaries.py)."""
    must_be_about(session, opening)
    session.info.setdefault("touched", set()).add(opening)


# Events and the openings handed to people are numbered in one row, in an opening in the order of
# commit. PostgreSQL's sequence leaves out numbers of what was not committed.
_NEWEST = text(
    "SELECT coalesce(max(given), 0) FROM (SELECT max(seq) AS given FROM event"
    " UNION ALL SELECT max(since) FROM assigned"
    " UNION ALL SELECT max(since) FROM device_person) AS every"
)


def newest_number(session: Session) -> int:
    """Return the last number given to an event or an assignment; 0 where there is none."""
    return int(session.connection().execute(_NEWEST).scalar_one())


def next_number(session: Session) -> int:
    """Return a fresh number, greater than all before; only who writes may ask."""
    if session.connection().dialect.name == "sqlite":
        return newest_number(session) + 1
    return int(session.connection().execute(_NEXT).scalar_one())


def _skip_numbers(session: Session, count: int) -> None:
    """Have the next number be greater by so many; nobody else writes meanwhile."""
    if session.connection().dialect.name != "sqlite" and count > 0:
        session.connection().execute(_SKIP, {"count": count})


def go_on_numbering(session: Session) -> None:
    """Have the next number be greater than all there are, whoever put those in."""
    if session.connection().dialect.name != "sqlite":
        session.connection().execute(_GO_ON, {"newest": newest_number(session)})


_NEXT = text("SELECT nextval('number_given')")
_SKIP = text("SELECT setval('number_given', last_value + :count) FROM number_given")
_GO_ON = text("SELECT setval('number_given', greatest(last_value, :newest)) FROM number_given")


def set_aside(
    before: Sequence[Json], office: str, opening: str, person: str, target: str, why: str
) -> Json:
    """Return the event by which the office leaves another out of every book."""
    draft = {
        "id": uuid7(),
        "device": office,
        "opening": opening,
        "seen": heads_of(list(before)),
        "at": received_now(),
        "person": person,
        "kind": "entry.set-aside",
        "body": {"target": target, "why": why},
    }
    return new_event(list(before), draft)


def received_now() -> str:
    """Return the time of receiving, as it is kept."""
    return datetime.now(UTC).isoformat(timespec="milliseconds")


def _must_be_same(known: Event, hash_: str) -> None:
    if known.hash != hash_:
        raise RefusedError(
            "entry-already-used",
            Msg("This form was already sent with something else. Nothing was changed."),
        )


def _must_follow(session: Session, event: Json) -> None:
    own = select(Event).where(Event.opening == event["opening"], Event.device == event["device"])
    last = session.exec(own.order_by(col(Event.n).desc()).limit(1)).first()
    expected = (last.n + 1, last.hash) if last else (1, "")
    if (event["n"], event["prev"]) != expected:
        raise RefusedError(
            "chain-gap",
            Msg("This entry does not follow the last one from its device. Load the page again."),
            expected=expected[0],
            n=event["n"],
        )


def _event_row(event: Json, hash_: str, seq: int, body: str = "") -> Json:
    return {
        "id": event["id"],
        "opening": event["opening"],
        "device": event["device"],
        "n": event["n"],
        "prev": event["prev"],
        "hash": hash_,
        "turn": event["turn"],
        "kind": event["kind"],
        "body": body or canonical_bytes(event).decode(),
        "received_at": received_now(),
        "seq": seq,
        "signature": "",
        "flag": "",
    }


_ADD_EVENT = insert(Event)
