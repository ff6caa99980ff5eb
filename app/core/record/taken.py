"""Entries that were set aside, and that the office took in by its own decision.

The entry itself stays set aside for good. The office enters the same once more, by its own
device: an event of the same kind and body that has seen no more than the first one had, so that
it replaces nothing that the first would not have replaced. Beside it stands an entry.taken-in,
which cites the first entry whole and gives the reason.

Who decided is the person of both; who measured, and when, is in a reading's own fields. What
somebody signed, and what only the office may say, is not taken in: a signature is given anew.
"""

from app.core.errors import RefusedError
from app.core.kinds import Any, Json
from app.core.quantity.messages import Msg
from app.core.record import events as ev

READINGS = ("reading.taken",)
# A person's own word, by their own hand: nobody says it for them.
OWN_HAND = ("step.signed", "handover.signed", "sheet.signed", "concession.spoken")


def taking_drafts(
    entry: Json, before: "list[Json]", office: str, person: str, now: str, ids: "list[str]",
    why: str, reason: str,
) -> "list[Json]":  # fmt: skip
    """Return the drafts of the two events by which the office takes an entry in.

    entry: as it came. before: the opening's events. ids: two new ones. why: the code for which it
    was set aside. reason: the office's, in words.
    Errors: RefusedError 'not-taken-in' for what a person's own hand must give, and the office's.
    """
    must_be_open(entry["kind"])
    common = {
        "device": office,
        "opening": entry["opening"],
        "seen": seen_of(entry, before),
        "at": now,
        "person": person,
    }
    again = dict(common)
    again.update({"id": ids[0], "kind": entry["kind"], "body": _body_of(entry)})
    said: Json = {"target": ids[0], "reason": reason, "why": why, "of": entry["id"]}
    said.update({field: entry[field] for field in ("device", "person", "at")})
    said["entry"] = entry
    cited = dict(common)
    cited.update({"id": ids[1], "kind": "entry.taken-in", "body": said})
    return [again, cited]


def must_be_open(kind: str) -> None:
    """Raise RefusedError 'not-taken-in' for a kind that the office does not enter for others."""
    if kind in OWN_HAND:
        raise RefusedError(
            "not-taken-in",
            Msg("What somebody gave by their own hand is given anew by them, not by the office."),
        )
    if kind in ev.OFFICE_KINDS:
        raise RefusedError(
            "not-taken-in", Msg("Only the office says this, and it has its own pages for it.")
        )


def seen_of(entry: Json, before: "list[Json]") -> "dict[str, int]":
    """Return what an entry had seen, as far as that is here."""
    known = ev.heads_of(before)
    seen: dict[str, int] = entry["seen"]
    return {device: min(seen[device], known[device]) for device in seen if device in known}


def _body_of(entry: Json) -> Json:
    body: Json = dict(entry["body"])
    if entry["kind"] in READINGS:
        body["measured_by"] = body.get("measured_by") or entry["person"]
        _claim(body, "measured_at", entry)
    if entry["kind"] == "task.ticked":
        _claim(body, "done_at", entry)
    return body


def _claim(body: Json, field: str, entry: Json) -> None:
    """Give a body the time that its entry claims, where it has none and that is a time at all."""
    if field not in body and ev.is_time(entry["at"]):
        body[field] = entry["at"]


def origin_of(ledger: Any, id: str) -> "Json | None":
    """Return the entry.taken-in that tells where an event came from; None for most events."""
    for event in ledger.of_kind("entry.taken-in"):
        if event["body"]["target"] == id:
            found: Json = event
            return found
    return None
