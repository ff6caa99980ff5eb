"""A record's export: everything that is needed to check it without a server or a network.

Canonical JSON, so that every byte of the file is accounted for: {"v": 3, "about", "events",
"procedures", "snapshots": [revision 1, 2, …], "signatures": {entry: signature}, "keys":
{device: public key}, "issued": [{"key", "signature"} of each snapshot], "company_keys":
{fingerprint: certificate}, "seal": SHA-256 of all that, "seal_key" and "seal_signature": the
company's over the seal}. People of the company are ids.
What somebody typed into an entry stands, also the name under a signature.
"""

import json

from sqlmodel import Session, col, select

from app.core.kinds import Json
from app.core.record.canonical import canonical_bytes, digest
from app.homeowner import snapshot
from app.homeowner.commitments import public_form
from app.signing.company_key import current_key
from app.signing.key import SigningKey
from app.signing.messages import export_message
from app.store.company_keys import company_keys
from app.store.records import Issued, ServiceSheet, revisions_of, sheets_of
from app.store.tables import Device, Event, Procedure

VERSION = 3


def make(session: Session, row: Issued) -> bytes:
    """Return the export of a revision: its entries, and the revisions up to it."""
    snapshots = [
        json.loads(kept.text)
        for kept in revisions_of(session, row.opening)
        if kept.revision <= row.revision
    ]
    issued = [
        {"key": kept.key, "signature": kept.signature}
        for kept in revisions_of(session, row.opening)
        if kept.revision <= row.revision
    ]
    key = current_key(session)
    rests = set(snapshots[-1]["rests"])
    rows = [
        one
        for one in _events(session, row.opening)
        if one.hash in rests or issues(json.loads(one.body), row.revision)
    ]
    signed = {one.id: one.signature for one in rows if one.signature}
    devices = {one.device for one in rows if one.signature}
    body: Json = {
        "v": VERSION,
        "about": snapshot.about_of(snapshots[-1]),
        "events": [json.loads(one.body) for one in rows],
        "procedures": _procedures(session, [json.loads(one.body) for one in rows]),
        "snapshots": snapshots,
        "signatures": signed,
        "keys": {id: session.get_one(Device, id).key for id in sorted(devices)},
        "issued": issued,
        "company_keys": _certificates(session, {one["key"] for one in issued} | {key.fingerprint}),
    }
    return sealed(body, key)


def sealed(body: Json, key: SigningKey | None = None) -> bytes:
    """Return an export's bytes, sealed by the digest of all the rest; the key signs the seal."""
    seal = digest(body)
    signed = key.sign(export_message(seal)) if key else ""
    end = {"seal": seal, "seal_key": key.fingerprint if key else "", "seal_signature": signed}
    return canonical_bytes({**body, **end})


def proof_of(session: Session, row: Issued | ServiceSheet) -> bytes:
    """Return what a PDF carries so that it proves itself: the revisions up to its own, signed.

    {"v", "snapshots", "issued", "company_keys", "seal", "seal_key", "seal_signature"}: as in an
    export, without entries, keys of phones and procedures. Each revision is in its public form
    (commitments.py): times by their day, typed names sealed. It names every entry that it rests on
    by its hash. The rest stays in the export that the office gives.
    """
    of_kind = sheets_of if isinstance(row, ServiceSheet) else revisions_of
    kept = [one for one in of_kind(session, row.opening) if one.revision <= row.revision]
    issued = [{"key": one.key, "signature": one.signature} for one in kept]
    key = current_key(session)
    wanted = {one["key"] for one in issued} | ({key.fingerprint} if key else set())
    body: Json = {
        "v": VERSION,
        "snapshots": [public_form(json.loads(one.text)) for one in kept],
        "issued": issued,
        "company_keys": _certificates(session, wanted),
    }
    return sealed(body, key)


def _certificates(session: Session, wanted: set[str]) -> dict[str, str]:
    keys = company_keys(session)
    return {key.fingerprint: key.certificate for key in keys if key.fingerprint in wanted}


def _events(session: Session, opening: str) -> list[Event]:
    wanted = select(Event).where(Event.opening == opening)
    return list(session.exec(wanted.order_by(col(Event.turn), col(Event.device), col(Event.n))))


def issues(event: Json, revision: int) -> bool:
    """Return whether it is the office's entry that a revision was issued."""
    return bool(event["kind"] == "record.issued" and event["body"]["revision"] == revision)


def _procedures(session: Session, events: list[Json]) -> dict[str, Json]:
    """Return the procedures that the entries were issued with, or moved to."""
    naming = ("opening.issued", "procedure.moved")
    issued = [event["body"] for event in events if event["kind"] in naming]
    keys = {(body["procedure"], body["version"]) for body in issued}
    return {
        f"{id}@{version}": json.loads(session.get_one(Procedure, (id, version)).text)
        for id, version in keys
    }
