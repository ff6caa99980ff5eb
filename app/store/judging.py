"""The office judges what phones said, and writes its judgement into the log, before the commit.

Each sign-off and each concession by voice is judged once, when all that its signer had seen is
here, by the rules of that day (core/record/judging.py). Every book then goes by what was written.

A judgement carries a seal: an HMAC of the whole event by a secret of this database, which its
copies hold. A database that was put back may lack judgements that phones still have. A phone that
offers one with a good seal brings it back (`is_own`): it is written anew, and supersedes what the
office judged meanwhile, but for what it judged anew with a reason.

A fault of the program at one opening must not keep the entries of others out: it is logged, and
what waits there is judged when the opening is touched next.
"""

import hmac
import json
import logging
import secrets
from collections.abc import Sequence

from sqlalchemy.exc import SQLAlchemyError
from sqlmodel import Session, col, select

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.record import events as ev
from app.core.record.canonical import canonical_bytes
from app.core.record.fold import carried_forward
from app.core.record.judging import UNSEALED, judgement
from app.core.record.state import State
from app.core.record.written import JUDGED, in_force, judgement_of
from app.store import log, procedures
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.tables import Aside, Event, Setting

KIND = "judgement.given"
BROUGHT_BACK = "judgement-brought-back"  # why it stands among what was set aside
_SECRET = "judgement-secret"  # noqa: S105  (the name of a setting)
_AT_ONCE = 400
_LOG = logging.getLogger("sillbook")


def settle(session: Session, known: dict[str, Json], truths: dict[str, bool]) -> None:
    """Judge what waits for it in the openings that this transaction touched.

    known: procedures, added to. truths: see State. A phone's judgement of the same is not asked.
    """
    brought = session.info.pop("brought", set())
    openings = _waiting(session, sorted(session.info.get("touched", ()))) | brought
    if openings:
        procedures.all_of(session, known)
    for opening in sorted(openings):
        try:
            with session.begin_nested():
                _judge(session, opening, known, truths)
        except SQLAlchemyError:
            raise  # nothing of the transaction can be kept
        except Exception:  # noqa: BLE001  (whatever it is, the others' entries are kept)
            _LOG.exception("the opening %s could not be judged", opening)


def _waiting(session: Session, touched: Sequence[str]) -> set[str]:
    """Return the openings in which something may wait to be judged."""
    out: set[str] = set()
    kinds = (*JUDGED, KIND, "entry.set-aside")
    for at in range(0, len(touched), _AT_ONCE):
        of = col(Event.opening).in_(touched[at : at + _AT_ONCE])
        wanted = select(Event.opening, Event.id, Event.kind, Event.body)
        rows = session.exec(wanted.where(of, col(Event.kind).in_(kinds))).all()
        said = [json.loads(body) for _, _, kind, body in rows if kind not in JUDGED]
        named = {event["body"]["target"] for event in said}
        out |= {opening for opening, id_, kind, _ in rows if kind in JUDGED and id_ not in named}
    return out


def _judge(session: Session, opening: str, known: dict[str, Json], truths: dict[str, bool]) -> None:
    events = log.events_of(session, [opening])[opening]
    try:
        state = State(events, known, truths)
    except AppError:  # not issued, or under a procedure that is not here: it is not judged yet
        return
    lost = _brought_back(session, opening)
    for event in list(state.ledger.events):
        if event["kind"] in JUDGED and state.ledger.counts(event):
            body = _new_body(state, event, lost)
            if body is not None:
                events.append(keep_judgement(session, events, event, body))
                state = carried_forward(state, events, known, truths)


def _brought_back(session: Session, opening: str) -> list[Json]:
    """Return the office's own judgements that phones brought back, causes first."""
    wanted = select(Aside.text).where(Aside.opening == opening, Aside.why == BROUGHT_BACK)
    return ev.in_order([json.loads(text) for text in session.exec(wanted)])


def _new_body(state: State, event: Json, lost: list[Json]) -> Json | None:
    """Return what the office has to write of an event: what it said before, else its judgement."""
    now = judgement_of(state.ledger, event["id"])
    given = state.ledger.slots.get("judgement|" + event["id"], [])
    cited = {other["body"].get("of") for other in given}
    if now is not None and now["body"].get("reason") and not now["body"].get("of"):
        return None  # judged anew since the office went back: that counts
    # of several that were lost the one that was in force, whichever phone brings it first
    old = in_force([old for old in lost if old["body"]["target"] == event["id"]])
    if old is None:
        return judgement(state, event) if now is None else None
    if old["id"] in cited or (now is not None and _says_the_same(now, old)):
        return None
    return {**old["body"], "of": old["id"]}


def _says_the_same(one: Json, other: Json) -> bool:
    return all(one["body"][name] == other["body"][name] for name in ("result", "rules", "verdicts"))


def keep_judgement(session: Session, before: list[Json], about: Json, body: Json) -> Json:
    """Return the event by which the office judges, in the log; person: whose entry it judges."""
    draft = {
        "id": uuid7(),
        "device": device_id(session, "office"),
        "opening": about["opening"],
        "seen": ev.heads_of(before),
        "at": log.received_now(),
        "person": about["person"],
        "kind": KIND,
        "body": {**body, "seal": UNSEALED},
    }
    event = sealed(session, ev.new_event(before, draft))
    log.append_events(session, [event])
    return event


def make_secret(session: Session) -> None:
    """Give the database the secret of its seals, where it has none yet."""
    if session.get(Setting, _SECRET) is None:
        session.add(Setting(name=_SECRET, value=secrets.token_hex(32)))
        session.flush()


def sealed(session: Session, event: Json) -> Json:
    """Return a judgement with its seal; any other event as it is."""
    if event["kind"] != KIND:
        return event
    return {**event, "body": {**event["body"], "seal": _seal_of(session, event)}}


def _seal_of(session: Session, event: Json) -> str:
    """Return the seal over all of a judgement: who does not know our secret cannot make it."""
    make_secret(session)
    secret = session.get_one(Setting, _SECRET)
    unsealed = {**event, "body": {**event["body"], "seal": UNSEALED}}
    return hmac.new(bytes.fromhex(secret.value), canonical_bytes(unsealed), "sha256").hexdigest()


def is_own(session: Session, event: Json) -> bool:
    """Return whether an event that a phone offers is a judgement of this office's own.

    It is noted, so that it is written anew before the commit.
    """
    if event["kind"] != KIND or not ev.by_office(event):
        return False
    try:
        ev.check_body(event["kind"], event["body"])
    except AppError:
        return False
    own = hmac.compare_digest(_seal_of(session, event), event["body"]["seal"])
    if own:
        session.info.setdefault("brought", set()).add(event["opening"])
    return own
