"""Instruments: the register, and the checks that are told to every opening they concern.

A check is entered at one opening, or at the office. The log notes what speaks of instruments, and
before the transaction commits a check is told, by the office's own device, to the other openings
where the instrument was used: to all that are not accepted yet, and where it failed also to an
accepted one that used it since it last passed. A check that came from a phone was made at a time
that the office cannot place among the entries of other openings: there it is said to be relayed
(see core/record/tools.py). Made on the office's or the server's own pages, it comes after all
that is here.
"""

import json
from collections.abc import Sequence
from datetime import UTC, datetime

from sqlmodel import Session, col, delete, select

from app.core.kinds import Json
from app.core.record.events import by_office, heads_of, is_readable, new_event
from app.core.record.tools import check_finding, time_of
from app.store import log
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.instrument_tables import Check, CheckEntry, Instrument, Use
from app.store.summary_tables import SETTLED, Summary
from app.store.tables import Event

PAGE = 50
_NAMING = ("reading.taken", "instrument.named")


def listed_instruments(session: Session, retired: bool = False) -> list[Json]:
    """Return the register as a book takes it, by name, each with the body of its last check."""
    wanted = select(Instrument, Check).join(
        Check, col(Check.occasion) == col(Instrument.last), isouter=True
    )
    if not retired:
        wanted = wanted.where(col(Instrument.retired).is_(False))
    found = session.exec(wanted.order_by(col(Instrument.name))).all()
    return [as_json(one, check) for one, check in found]


def as_json(one: Instrument, check: Check | None) -> Json:
    """Return an instrument as books and phones take it."""
    return {
        "id": one.id,
        "name": one.name,
        "sort": one.sort,
        "resolution": one.resolution,
        "grade": one.grade,
        "slope": one.slope,
        "checked": body_of(check) if check is not None else None,
    }


def body_of(check: Check) -> Json:
    """Return what a check found, with when and by whom; whoever relays it says so anew."""
    body: Json = {**json.loads(check.text), "at": check.at, "by": check.person}
    body.pop("relayed", None)
    return body


def _note_check(session: Session, event: Json, seq: int) -> None:
    body = event["body"]
    known = session.get(Check, body["occasion"])
    if known is not None and not (by_office(event) or _is_said_again(known, event)):
        return  # another check by the same occasion: it counts where it stands, and nowhere else
    entry = CheckEntry(event=event["id"], occasion=body["occasion"], opening=event["opening"])
    session.add(entry)
    if known is None:
        at = time_of(event)
        by = body.get("by") or event["person"]
        _add_check(session, body, at, by, seq)


def _is_said_again(check: Check, event: Json) -> bool:
    """Return whether an entry says a check that is known: by whom it was made, word for word."""
    return bool(event["person"] == check.person) and bool(json.loads(check.text) == event["body"])


def _add_check(session: Session, body: Json, at: str, by: str, seq: int) -> None:
    session.add(
        Check(
            occasion=body["occasion"],
            instrument=body["instrument"],
            at=at,
            order=min(_utc_time(at), log.received_now()),
            person=by,
            seq=seq,
            text=json.dumps(body, ensure_ascii=False),
        )
    )
    session.flush()
    _renew_last(session, body["instrument"])


def _utc_time(at: str) -> str:
    try:
        return datetime.fromisoformat(at).astimezone(UTC).isoformat(timespec="milliseconds")
    except (ValueError, OverflowError):  # no time, or none that a clock can have: as received
        return log.received_now()


def _renew_last(session: Session, instrument: str) -> None:
    known = session.get(Instrument, instrument)
    if known is None:
        return
    wanted = select(Check.occasion).where(
        Check.instrument == instrument, col(Check.struck).is_(False)
    )
    last = session.exec(wanted.order_by(col(Check.order).desc(), col(Check.seq).desc()).limit(1))
    known.last = last.first() or ""
    session.add(known)
    session.flush()


def settle_instruments(session: Session) -> None:
    """Note what the events of this transaction say of instruments, and tell whom it concerns.

    What was carried over from another Sillbook was told there.
    """
    while "noted_events" in session.info:
        noted = _still_kept(session, session.info.pop("noted_events"))
        for event, seq in noted:
            body = event["body"]
            if event["kind"] == "instrument.checked":
                _note_check(session, event, seq)
            elif event["kind"] in _NAMING and body.get("instrument"):
                session.merge(Use(instrument=body["instrument"], opening=event["opening"], seq=seq))
        session.flush()
        for event, _ in noted if "carried" not in session.info else ():
            _pass_on(session, event)


def _still_kept(session: Session, noted: list[tuple[Json, int]]) -> list[tuple[Json, int]]:
    """Return the events of this transaction that were not taken back, and can be read."""
    known = log.hashes_of(session, [event["id"] for event, _ in noted])
    return [one for one in noted if one[0]["id"] in known and is_readable(one[0])]


def _pass_on(session: Session, event: Json) -> None:
    if event["kind"] == "entry.struck":
        _tell_struck(session, event)
    elif event["kind"] == "instrument.checked" and not event["body"].get("relayed"):
        _tell_check(session, event)
    elif event["kind"] == "instrument.named":
        _tell_last_check(session, event)


def _tell_check(session: Session, event: Json) -> None:
    body = dict(event["body"])
    if event["device"].startswith("phone-"):
        body |= {"relayed": True, "at": event["at"], "by": event["person"]}
    _tell_openings(session, body, event["person"], event["at"])


def _tell_last_check(session: Session, event: Json) -> None:
    """Tell an opening the last check of an instrument that was named there, where it has it not."""
    known = session.get(Instrument, event["body"]["instrument"])
    check = session.get(Check, known.last) if known is not None else None
    opening = event["opening"]
    if check is None or opening not in openings_concerned(session, json.loads(check.text)):
        return
    body = body_of(check) | {"relayed": True}
    before = log.events_of(session, [opening])[opening]
    _say_event(session, before, opening, check.person, check.at, "instrument.checked", body)


def _tell_openings(session: Session, body: Json, person: str, at: str) -> int:
    openings = openings_concerned(session, body)
    events = log.events_of(session, openings)
    for opening in openings:
        _say_event(session, events[opening], opening, person, at, "instrument.checked", body)
    return len(openings)


def openings_concerned(session: Session, body: Json) -> list[str]:
    """Return the openings that a check has to be told to and that do not have it yet."""
    known = select(CheckEntry.opening).where(CheckEntry.occasion == body["occasion"])
    wanted = (
        select(Use.opening, Use.seq, Summary.state)
        .join(Summary, col(Summary.opening) == col(Use.opening), isouter=True)
        .where(Use.instrument == body["instrument"], col(Use.opening).not_in(known))
    )
    failed = check_finding(body).verdict != "within"
    since = _last_good(session, body["instrument"]) if failed else 0
    return [
        opening
        for opening, seq, state in session.exec(wanted.order_by(col(Use.opening)))
        if state not in SETTLED or (failed and seq > since)
    ]


def _last_good(session: Session, instrument: str) -> int:
    """Return the number of the last check that an instrument passed; 0 before the first."""
    wanted = select(Check).where(Check.instrument == instrument, col(Check.struck).is_(False))
    for check in session.exec(wanted.order_by(col(Check.seq).desc())):
        if check_finding(json.loads(check.text)).verdict == "within":
            return check.seq
    return 0


def _tell_struck(session: Session, event: Json) -> None:
    """Strike every entry of a check that was struck in one opening."""
    struck = session.get(CheckEntry, event["body"]["target"])
    if struck is None:
        return
    check = session.get(Check, struck.occasion)
    if check is None or check.struck:
        return
    check.struck = True
    session.add(check)
    session.flush()
    _renew_last(session, check.instrument)
    others = select(CheckEntry).where(
        CheckEntry.occasion == struck.occasion, CheckEntry.event != struck.event
    )
    for other in session.exec(others).all():
        before = log.events_of(session, [other.opening])[other.opening]
        body = {"target": other.event, "why": event["body"]["why"]}
        _say_event(
            session, before, other.opening, event["person"], event["at"], "entry.struck", body
        )


def _say_event(
    session: Session,
    before: Sequence[Json],
    opening: str,
    person: str,
    at: str,
    kind: str,
    body: Json,
) -> None:
    """Add an event of the office's own device that has seen all that is here."""
    draft = {
        "id": uuid7(),
        "device": device_id(session, "office"),
        "opening": opening,
        "seen": heads_of(list(before)),
        "at": at,
        "person": person,
        "kind": kind,
        "body": body,
    }
    log.append_events(session, [new_event(list(before), draft)])


def keep_check(session: Session, body: Json, person: str, at: str) -> int:
    """Keep a check made at the office; returns how many openings it was told to.

    The same form twice is one check: its occasion is the form's id.
    """
    if session.get(Check, body["occasion"]) is not None:
        return 0
    _add_check(session, body, at, person, log.newest_number(session))
    return _tell_openings(session, body, person, at)


def strike_check(session: Session, occasion: str, person: str, at: str, why: str) -> None:
    """Strike a check wherever its entries stand."""
    check = session.get(Check, occasion)
    if check is None or check.struck:
        return
    check.struck = True
    session.add(check)
    session.flush()
    _renew_last(session, check.instrument)
    for entry in session.exec(select(CheckEntry).where(CheckEntry.occasion == occasion)).all():
        before = log.events_of(session, [entry.opening])[entry.opening]
        body = {"target": entry.event, "why": why}
        _say_event(session, before, entry.opening, person, at, "entry.struck", body)


def checks_of(session: Session, instrument: str, after: str = "") -> list[Check]:
    """Return checks of an instrument, the last first; after: the key of the last one shown."""
    wanted = select(Check).where(Check.instrument == instrument)
    order, _, occasion = after.partition("~")
    if occasion:
        earlier = (col(Check.order) == order) & (col(Check.occasion) < occasion)
        wanted = wanted.where((col(Check.order) < order) | earlier)
    found = wanted.order_by(col(Check.order).desc(), col(Check.occasion).desc()).limit(PAGE + 1)
    return list(session.exec(found))


def rebuild_uses(session: Session) -> None:
    """Make anew, from events alone, which openings an instrument was used at."""
    session.connection().execute(delete(Use))
    wanted = select(Event.opening, Event.seq, Event.body).where(col(Event.kind).in_(_NAMING))
    for opening, seq, body in session.exec(wanted.order_by(col(Event.seq))):
        named = json.loads(body)["body"].get("instrument")
        if named:
            session.merge(Use(instrument=named, opening=opening, seq=seq))
    session.flush()
