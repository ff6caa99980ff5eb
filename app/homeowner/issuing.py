"""Issues the completion record when the office accepts an opening, in the same transaction."""

import json
from collections.abc import Sequence

from sqlmodel import Session, select

from app.core.kinds import Json
from app.core.record.canonical import canonical_bytes, digest
from app.homeowner import names, snapshot
from app.signing.company_key import key_for_signing
from app.signing.messages import record_message
from app.store import log, people, procedures
from app.store.company import company_of
from app.store.records import Issued, revisions_of
from app.store.tables import Event, Job, Opening


def on_kept(session: Session, events: Sequence[Json], truths: dict[str, bool]) -> None:
    """Issue a revision for every acceptance among the events just kept. truths: see State."""
    for event in events:
        if event["kind"] == "opening.reviewed" and event["body"]["result"] == "accepted":
            issue(session, event["opening"], truths)


def issue(session: Session, opening: str, truths: dict[str, bool] | None = None) -> Issued:
    """Keep the next revision of an opening's record; the same entries are not issued twice."""
    kept = revisions_of(session, opening)
    before = json.loads(kept[-1].text) if kept else None
    events = log.events_of(session, [opening])[opening]
    compiled = procedures.all_of(session, {})
    where, came = about(session, opening), received(session, opening)
    made = snapshot.make(where, events, compiled, before, truths, came)
    if before is not None and made["rests"] == before["rests"]:
        return kept[-1]
    hash_ = digest(made)
    key = key_for_signing(session)
    row = Issued(
        opening=opening,
        revision=made["revision"],
        at=made["at"],
        digest=hash_,
        code=snapshot.code_of(hash_),
        text=canonical_bytes(made).decode(),
        signature=key.sign(record_message(hash_)),
        key=key.fingerprint,
    )
    session.add(row)
    session.flush()
    return row


def about(session: Session, id: str) -> Json:
    """Return an opening as a snapshot wants it: without the homeowner's name."""
    opening = session.get_one(Opening, id)
    job = session.get_one(Job, opening.job)
    ours = company_of(session)
    return {
        "id": id,
        "job_title": job.title,
        "address": job.address,
        "letter": opening.letter,
        "room": opening.room,
        "company": ours.name,
        "telephone": ours.telephone,
    }


def received(session: Session, opening: str) -> dict[str, str]:
    """Return when each entry of an opening came in, by its id."""
    wanted = select(Event.id, Event.received_at).where(Event.opening == opening)
    return dict(session.exec(wanted).all())


def names_for(session: Session, opening: str) -> dict[str, str]:
    """Return the names that a snapshot's marks stand for, as they are now."""
    job = session.get_one(Job, session.get_one(Opening, opening).job)
    return {**people.names_by_id(session), names.HOMEOWNER: job.homeowner or "–"}
