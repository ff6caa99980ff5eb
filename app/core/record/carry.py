"""Entries of a copied phone, entered once more under another name.

Where a phone's book was copied, both copies go on with the same numbers, and the office
sets aside what comes second. Nothing of it may be lost: the copy gets a new name, and says
again what was set aside. Who entered it, when and what stays; the place in the chain is new.
A sign-off is not said again: it covered entries under their old ids. The step, or the service
visit, is signed anew.
"""

from app.core.kinds import Json
from app.core.record.events import SIGNED_KINDS, heads_of, new_event


def entered_again(
    old: "list[Json]", kept: "list[Json]", device: str, ids: "list[str]"
) -> "list[Json]":
    """Return the events of `old` as the next ones of `device`, causes before effects.

    old: the events to say again, in order. kept: all other events of the book.
    ids: one new id each.
    """
    new_ids = {old[i]["id"]: ids[i] for i in range(len(old))}
    books: dict[str, list[Json]] = {}
    for event in kept:
        books.setdefault(event["opening"], []).append(event)
    out = []
    for event in old:
        if event["kind"] in SIGNED_KINDS:
            continue
        before = books.setdefault(event["opening"], [])
        made = new_event(before, _draft_again(event, before, device, new_ids))
        before.append(made)
        out.append(made)
    return out


def _draft_again(event: Json, before: "list[Json]", device: str, new_ids: "dict[str, str]") -> Json:
    known = heads_of(before)
    seen = {}
    for other in event["seen"]:
        if other != event["device"] and known.get(other, 0):
            seen[other] = min(event["seen"][other], known[other])
    if known.get(device, 0):
        seen[device] = known[device]  # what it had seen of itself was said again before it
    body = dict(event["body"])
    for field in ("target", "moved_from", "query", "visit"):
        if body.get(field) in new_ids:
            body[field] = new_ids[body[field]]
    return {
        "id": new_ids[event["id"]],
        "device": device,
        "opening": event["opening"],
        "seen": seen,
        "at": event["at"],
        "person": event["person"],
        "kind": event["kind"],
        "body": body,
    }
