"""Records as JSON: openings with every event, so that another Sillbook holds the same.

An event is carried over as it stands, to the last byte: its digest is the same there.
What the file holds is said in FORMATS.md.
"""

import json
from collections.abc import Iterable, Iterator, Sequence

from sqlmodel import Session, col, select

from app.core.errors import InputError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record.canonical import digest
from app.core.record.events import check_body, is_readable
from app.store import log, procedures
from app.store.tables import Event, Job, Opening, Person, Procedure

KIND = "sillbook-records"
FORMAT = 1
_AT_ONCE = 100
_EVENT = (
    "id",
    "device",
    "opening",
    "n",
    "prev",
    "seen",
    "turn",
    "at",
    "person",
    "kind",
    "body",
    "v",
)
_JOB = ("id", "title", "address", "homeowner")
_OPENING = ("id", "job", "letter", "room")


class RecordsError(InputError):
    """A file of records that does not fit; nothing of it is taken in."""


def openings_in(session: Session, job: str = "", opening: str = "") -> list[Opening]:
    """Return all openings, or those of a job, or one."""
    wanted = select(Opening).order_by(col(Opening.job), col(Opening.letter), col(Opening.id))
    if job:
        wanted = wanted.where(Opening.job == job)
    if opening:
        wanted = wanted.where(Opening.id == opening)
    return list(session.exec(wanted))


def record_texts(session: Session, openings: Sequence[Opening], made: str) -> Iterator[str]:
    """Yield the text of a file of records, some openings at a time."""
    jobs = session.exec(select(Job).where(col(Job.id).in_({one.job for one in openings})))
    head = {
        "kind": KIND,
        "format": FORMAT,
        "made": made,
        "people": [{"id": p.id, "name": p.name} for p in session.exec(select(Person))],
        "procedures": [json.loads(p.text) for p in session.exec(select(Procedure))],
        "jobs": [{name: getattr(job, name) for name in (*_JOB, "builder")} for job in jobs],
    }
    yield json.dumps(head, ensure_ascii=False)[:-1] + ', "openings": ['
    comma = ""
    for at in range(0, len(openings), _AT_ONCE):
        some = openings[at : at + _AT_ONCE]
        events = _events_of(session, [one.id for one in some])
        for one in some:
            place = {name: getattr(one, name) for name in _OPENING}
            yield comma + json.dumps(
                {**place, "events": events.get(one.id, [])}, ensure_ascii=False
            )
            comma = ",\n"
    yield "]}\n"


def _events_of(session: Session, openings: Sequence[str]) -> dict[str, list[Json]]:
    out: dict[str, list[Json]] = {}
    wanted = select(Event).where(col(Event.opening).in_(openings)).order_by(col(Event.seq))
    for row in session.connection().execute(wanted).mappings():
        kept = {"event": json.loads(row["body"]), "hash": row["hash"]}
        kept |= {"signature": row["signature"], "received_at": row["received_at"]}
        out.setdefault(row["opening"], []).append(kept)
    return out


def parsed_records(data: bytes) -> Json:
    """Return what a file of records holds, looked at as to its shape.

    Errors: RecordsError 'records-unreadable', 'records-newer'.
    """
    try:
        found = json.loads(data.decode("utf-8-sig"))
    except (UnicodeDecodeError, ValueError, RecursionError) as error:
        raise _unreadable_error("JSON") from error
    if not isinstance(found, dict) or found.get("kind") != KIND:
        raise _unreadable_error("kind")
    if found.get("format") != FORMAT:
        words = Msg(
            "This file is from another version of Sillbook (format {n}).", n=found["format"]
        )
        raise RecordsError("records-newer", words)
    _check_shape(found)
    return found


def _unreadable_error(where: str) -> RecordsError:
    words = Msg("This is not a file of records that Sillbook exported ({where}).", where=where)
    return RecordsError("records-unreadable", words)


def _check_shape(found: Json) -> None:
    for name, fields in (("jobs", _JOB), ("openings", _OPENING), ("people", ("id", "name"))):
        rows = found.get(name)
        fits = isinstance(rows, list) and all(_has_texts(row, fields) for row in rows)
        if not fits:
            raise _unreadable_error(name)
    if not isinstance(found.get("procedures"), list):
        raise _unreadable_error("procedures")
    for opening in found["openings"]:
        events = opening.get("events")
        if not isinstance(events, list) or not all(_is_kept(one, opening) for one in events):
            raise _unreadable_error("events")


def _has_texts(row: object, fields: Iterable[str]) -> bool:
    return isinstance(row, dict) and all(isinstance(row.get(name), str) for name in fields)


def _is_kept(one: object, opening: Json) -> bool:
    if not _has_texts(one, ("hash", "signature", "received_at")):
        return False
    event = one["event"] if isinstance(one, dict) else None
    if not isinstance(event, dict) or set(event) != set(_EVENT):
        return False
    whole = all(type(event[name]) is int and event[name] > 0 for name in ("n", "turn", "v"))
    texts = _has_texts(event, ("id", "device", "opening", "prev", "at", "person", "kind"))
    seen = isinstance(event["seen"], dict) and isinstance(event["body"], dict)
    return whole and texts and seen and event["opening"] == opening["id"]


def take_records(session: Session, found: Json) -> tuple[int, int]:
    """Add what is not here yet; returns how many openings and events were new.

    All or nothing: the caller's transaction. Errors: RecordsError with what does not fit;
    AppError of the log where an entry does not follow its chain.
    """
    for compiled in found["procedures"]:
        _keep_procedure(session, compiled)
    _keep_names(session, found["people"])
    for job in found["jobs"]:
        place = {name: job[name] for name in _JOB}
        named = _has_texts(job, ("builder",))  # files from before have none
        place["builder"] = job["builder"] if named else ""
        _keep_place(session, Job, place, job["title"])
    before = events = 0
    for opening in found["openings"]:
        place = {name: opening[name] for name in _OPENING}
        if session.get(Job, place["job"]) is None:
            raise _unreadable_error("jobs")
        before += _keep_place(session, Opening, place, opening["letter"])
        events += sum(_keep_event(session, one) for one in opening["events"])
    return before, events


def _keep_procedure(session: Session, compiled: Json) -> None:
    fits = isinstance(compiled, dict) and {"id", "version", "digest", "steps"} <= set(compiled)
    if not fits:
        raise _unreadable_error("procedures")
    rest = {name: value for name, value in compiled.items() if name != "digest"}
    if digest(rest) != compiled["digest"]:
        raise _unreadable_error("procedures")
    procedures.add_procedure(session, compiled)


def _keep_names(session: Session, people: Sequence[Json]) -> None:
    """Keep the names that entries speak of; who comes so can sign in nowhere."""
    for person in people:
        if session.get(Person, person["id"]) is None:
            session.add(
                Person(
                    id=person["id"],
                    name=person["name"][:200],
                    role="installer",
                    login="carried:" + person["id"],
                    password="",
                    disabled=True,
                )
            )
    session.flush()


def _keep_place(session: Session, table: type[Job] | type[Opening], row: Json, name: str) -> bool:
    known = session.get(table, row["id"])
    if known is None:
        session.add(table(**row))
        session.flush()
        return True
    if any(getattr(known, field) != value for field, value in row.items() if field == "job"):
        raise RecordsError(
            "records-differ", Msg("“{name}” is here already and belongs elsewhere.", name=name)
        )
    return False


def _keep_event(session: Session, one: Json) -> bool:
    event, hash_ = one["event"], one["hash"]
    if digest(event) != hash_:
        raise RecordsError(
            "records-changed",
            Msg("Entry {id} is not what was taken out: its digest differs.", id=event["id"]),
        )
    if is_readable(event):
        check_body(event["kind"], event["body"])
    return log.carry_event(session, event, hash_, one["signature"], one["received_at"][:40])
