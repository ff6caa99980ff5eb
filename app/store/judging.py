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
from contextlib import nullcontext

from sqlalchemy.exc import SQLAlchemyError
from sqlmodel import Session, select

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.record import events as ev
from app.core.record.canonical import canonical_bytes
from app.core.record.judging import UNSEALED, judgement
from app.core.record.state import State
from app.core.record.written import JUDGED, in_force, judgement_of
from app.store import log, procedures
from app.store.devices import device_id
from app.store.folds import Fold
from app.store.ids import uuid7
from app.store.summaries import Summaries
from app.store.tables import Aside, Setting

KIND = "judgement.given"
BROUGHT_BACK = "judgement-brought-back"  # why it stands among what was set aside
_SECRET = "judgement-secret"  # noqa: S105  (the name of a setting)
_AT_ONCE = 400
_LOG = logging.getLogger("sillbook")


def settle(session: Session, summaries: Summaries) -> None:
    """Judge what waits for it in the openings that this transaction touched.

    A phone's judgement of the same is not asked.
    """
    brought = session.info.pop("brought", set())
    openings = sorted(brought | set(session.info.get("touched", ())))
    if openings:
        procedures.all_of(session, summaries.procedures)
        session.info["procedures_read"] = True  # for the summaries, in the same transaction
    for at in range(0, len(openings), _AT_ONCE):
        for opening, fold in summaries.folds.up_to_now(session, openings[at:][:_AT_ONCE]).items():
            try:
                with session.begin_nested() if opening in brought else nullcontext():
                    _judge(session, opening, fold, summaries, opening in brought)
            except SQLAlchemyError:
                raise  # nothing of the transaction can be kept
            except Exception:  # noqa: BLE001  (whatever it is, the others' entries are kept)
                summaries.folds.drop([opening])
                _LOG.exception("the opening %s could not be judged", opening)


def _judge(session: Session, opening: str, fold: Fold, summaries: Summaries, brought: bool) -> None:
    known, truths = summaries.procedures, summaries.truths
    try:
        state = summaries.folds.state_of(fold, known, truths)
    except AppError:  # not issued, or under a procedure that is not here: it is not judged yet
        return
    said = [e for kind in JUDGED for e in state.ledger.kinds.get(kind, [])]
    if not brought:
        said = [e for e in said if judgement_of(state.ledger, e["id"]) is None]
    lost = _brought_back(session, opening) if said else []
    for event in ev.in_order(said):
        body = _new_body(state, event, lost)
        if body is not None:
            with session.begin_nested():
                keep_judgement(session, fold.events, event, body)
            summaries.folds.up_to_now(session, [opening])
            state = summaries.folds.state_of(fold, known, truths)


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
