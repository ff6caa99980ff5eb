"""Issues the completion record when the office accepts an opening, in the same transaction."""

import json
from collections.abc import Sequence

from sqlmodel import Session, select

from app.core.kinds import Json
from app.core.record.canonical import canonical_bytes, digest
from app.core.record.events import heads_of, new_event
from app.homeowner import commitments, names, snapshot
from app.signing.company_key import key_for_signing
from app.signing.key import SigningKey
from app.signing.messages import record_message
from app.store import log, outbox, people, procedures
from app.store.company import company_of
from app.store.ids import uuid7
from app.store.records import Issued, revisions_of
from app.store.tables import Event, Job, Opening


def on_kept(session: Session, events: Sequence[Json], truths: dict[str, bool]) -> None:
    """Issue a revision for every acceptance among the events just kept. truths: see State."""
    for event in events:
        if event["kind"] == "opening.reviewed" and event["body"]["result"] == "accepted":
            issue(session, event, truths)


def issue(session: Session, accepted: Json, truths: dict[str, bool] | None = None) -> Issued:
    """Keep the revision that an acceptance makes; the same acceptance issues nothing twice.

    The office's own entry "record.issued" follows the acceptance and names the snapshot's digest,
    so that the chain of entries holds it.
    """
    opening = accepted["opening"]
    kept = revisions_of(session, opening)
    before = json.loads(kept[-1].text) if kept else None
    if before is not None and digest(accepted) in before["rests"]:
        return kept[-1]
    events = log.events_of(session, [opening])[opening]
    compiled = procedures.all_of(session, {})
    where, came = about(session, opening), received(session, opening)
    made = snapshot.make(where, events, compiled, before, truths, came)
    if before is not None:
        made = _without_erased(made, before)
    row = row_of(made, key_for_signing(session))
    log.append_events(session, [issued_entry(events, accepted, made)])
    session.add(row)
    session.flush()
    if not made["facts"].get("practice"):
        _post_to_owner(session, accepted, made["number"])
    return row


def _without_erased(made: Json, before: Json) -> Json:
    """Return a revision without the typed names that were erased from the one before it."""
    gone = commitments.erased_entries(before)
    if not gone:
        return made
    return commitments.with_names_sealed(
        made, lambda fact: "entry" in fact and made["rests"][fact["entry"]] in gone
    )


def _post_to_owner(session: Session, accepted: Json, number: str) -> None:
    """Have the owner get the record by e-mail, where the office keeps an address."""
    opening = accepted["opening"]
    if session.get_one(Job, session.get_one(Opening, opening).job).mail:
        body = {"number": number, "person": accepted["person"]}
        outbox.post(session, outbox.OWNER, opening, "record", accepted["id"], body)


def row_of(made: Json, key: SigningKey | None = None) -> Issued:
    """Return a snapshot as it is kept, its digest signed with the company's key."""
    hash_ = commitments.snapshot_digest(made)
    return Issued(
        opening=made["opening"],
        revision=made["revision"],
        at=made["at"],
        digest=hash_,
        code=snapshot.code_of(hash_),
        text=canonical_bytes(made).decode(),
        signature=key.sign(record_message(hash_)) if key else "",
        key=key.fingerprint if key else "",
    )


def issued_entry(events: list[Json], accepted: Json, made: Json) -> Json:
    """Return the office's entry that a snapshot was issued, following its acceptance."""
    hash_ = commitments.snapshot_digest(made)
    draft = {
        "id": uuid7(),
        "device": accepted["device"],
        "opening": accepted["opening"],
        "seen": heads_of(events),
        "at": accepted["at"],
        "person": accepted["person"],
        "kind": "record.issued",
        "body": {
            "revision": made["revision"],
            "number": made["number"],
            "digest": hash_,
            "code": snapshot.code_of(hash_),
        },
    }
    return new_event(events, draft)


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
        "company_address": ours.address,
    }


def received(session: Session, opening: str) -> dict[str, str]:
    """Return when each entry of an opening came in, by its id."""
    wanted = select(Event.id, Event.received_at).where(Event.opening == opening)
    return dict(session.exec(wanted).all())


def names_for(session: Session, opening: str) -> dict[str, str]:
    """Return the names that a snapshot's marks stand for, as they are now."""
    job = session.get_one(Job, session.get_one(Opening, opening).job)
    return {**people.names_by_id(session), names.HOMEOWNER: job.homeowner or "–"}
