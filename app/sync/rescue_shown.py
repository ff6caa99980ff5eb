"""What is in a phone's file of unsent entries, and what becomes of it, in words."""

from collections import Counter
from collections.abc import Callable
from datetime import UTC, datetime

from sqlmodel import Session

from app.access import devices
from app.core.kinds import Any, Json
from app.core.quantity.messages import Msg, Plural
from app.core.quantity.speaker import MONTHS
from app.store import people
from app.store.tables import Device, Opening, Person
from app.sync import rescue
from app.sync.messages import Receipt
from app.sync.rescue import PhotoReceipt, RescueOutcome, Unsent

SHOWN = 300  # entries; the rest is counted
Say = Callable[[Any], str]

KINDS = {
    "task.ticked": Msg("A task"),
    "decision.made": Msg("A decision"),
    "depth.raised": Msg("Everything to be measured"),
    "cautions.read": Msg("Cautions read"),
    "how.chosen": Msg("How a point is read"),
    "setup.tied": Msg("The line set up anew"),
    "reading.taken": Msg("A reading"),
    "reading.unreachable": Msg("A place that could not be reached"),
    "entry.struck": Msg("An entry struck"),
    "correction.made": Msg("A correction"),
    "close.settled": Msg("A close call settled"),
    "adjustment.made": Msg("An adjustment"),
    "photo.taken": Msg("A photo"),
    "part.stated": Msg("A part"),
    "tasks.ticked": Msg("Several tasks"),
    "parts.stated": Msg("Several parts"),
    "query.raised": Msg("A query"),
    "visit.begun": Msg("A service visit begun"),
    "visit.signed": Msg("A service visit signed"),
    "step.signed": Msg("A sign-off"),
    "handover.signed": Msg("The owner's signature"),
    "sheet.signed": Msg("The builder's signature"),
}
# state -> words before the file is taken in, and after
STATES = {
    "stored": (Msg("is new"), Msg("imported")),
    "already": (Msg("is here already"), Msg("was here already")),
    "held": (Msg("would be held"), Msg("held")),
    "set-aside": (Msg("would be set aside"), Msg("set aside")),
    "ready": (Msg("is new"), Msg("is new")),
    "refused": (Msg("cannot be taken"), Msg("not taken")),
}
SUMS = {
    "stored": (
        Plural("{count} entry is new", "{count} entries are new"),
        Plural("{count} entry was imported", "{count} entries were imported"),
    ),
    "already": (
        Plural("{count} entry is here already", "{count} entries are here already"),
        Plural("{count} entry was here already", "{count} entries were here already"),
    ),
    "held": (
        Plural("{count} entry would be held", "{count} entries would be held"),
        Plural("{count} entry is held", "{count} entries are held"),
    ),
    "set-aside": (
        Plural("{count} entry would be set aside", "{count} entries would be set aside"),
        Plural("{count} entry was set aside", "{count} entries were set aside"),
    ),
}
PHOTO_SUMS = {
    "ready": (
        Plural("{count} photo is new", "{count} photos are new"),
        Plural("{count} photo is new", "{count} photos are new"),
    ),
    "stored": (
        Plural("{count} photo is new", "{count} photos are new"),
        Plural("{count} photo was imported", "{count} photos were imported"),
    ),
    "already": (
        Plural("{count} photo is here already", "{count} photos are here already"),
        Plural("{count} photo was here already", "{count} photos were here already"),
    ),
    "refused": (
        Plural("{count} photo cannot be taken", "{count} photos cannot be taken"),
        Plural("{count} photo was not taken", "{count} photos were not taken"),
    ),
}


def contents(session: Session, say: Say, unsent: Unsent, taken: RescueOutcome, done: bool) -> Json:
    """Return the context of the page, but for its form. done: it was taken in."""
    names = people.names_by_id(session)
    entries = rescue.entries_of(unsent)
    device = rescue.phone_of(session, unsent)
    pairs = list(zip(entries, taken.receipts, strict=True))
    return {
        "done": done,
        "facts": _facts(session, say, unsent, entries),
        "warnings": _warnings(session, say, unsent, device, entries),
        "sums": _sums(say, SUMS, Counter(r.state for r in taken.receipts), done)
        + _sums(say, PHOTO_SUMS, Counter(p.state for p in taken.photos), done),
        "entries": [
            {**_entry(session, say, names, *pair, done), "note": _note(say, device, pair[0])}
            for pair in pairs[:SHOWN]
        ],
        "more": say(Msg("and {count} more", count=len(pairs) - SHOWN)) if pairs[SHOWN:] else "",
        "photos": [_photo(say, one, done) for one in taken.photos],
    }


def _facts(session: Session, say: Say, unsent: Unsent, entries: list[Json]) -> list[Json]:
    device = rescue.phone_of(session, unsent)
    by = session.get_one(Person, device.person)
    names = people.names_by_id(session)
    who = ", ".join(sorted({names.get(str(event.get("person")), "") for event in entries} - {""}))
    rows = [
        (Msg("Phone"), f"{device.name} ({by.name})"),
        (Msg("Entered by"), who),
        (Msg("File made"), _at(say, unsent.at)),
        (Msg("Entries"), str(len(entries))),
        (Msg("Photos"), str(len(unsent.photos))),
    ]
    if unsent.parts > 1:
        part = Msg("{part} of {count}", part=unsent.part, count=unsent.parts)
        rows.append((Msg("Part"), say(part)))
    return [{"label": say(label), "words": words} for label, words in rows if words]


def _at(say: Say, at: str) -> str:
    """Return a claimed time as people read it: 2 Mar 2026, 14:05; as it stands where it is odd."""
    if len(at) < 16 or not at[5:7].isdecimal() or not 1 <= int(at[5:7]) <= len(MONTHS):
        return at
    return f"{at[8:10].lstrip('0')} {say(Msg(MONTHS[int(at[5:7]) - 1]))} {at[:4]}, {at[11:16]}"


def _warnings(
    session: Session, say: Say, unsent: Unsent, device: Device, entries: list[Json]
) -> list[str]:
    out = []
    if device.revoked is not None:
        out += _ended(say, device.revoked, entries)
    elif not devices.people_of(session, device.id):
        out.append(Msg("Nobody may enter on this phone any more."))
    if out:
        out.append(
            Msg(
                "Import the file only if you know that the entries were made by those whose "
                "names they bear."
            )
        )
    if unsent.part > 1:
        out.append(Msg("These are photos only: import file 1 first, it has the entries."))
    return [say(words) for words in out]


def _ended(say: Say, revoked: int, entries: list[Json]) -> list[Msg]:
    """Return when the pairing was ended, and what the entries claim about before and after."""
    after = sum(_claims_after(event, revoked) for event in entries)
    when_ = _at(say, datetime.fromtimestamp(revoked, UTC).astimezone().isoformat())
    out = [Msg("The pairing of this phone was ended {when}.", when=when_)]
    if after:
        out.append(
            Msg(
                "Entries that say they were made after that: {count} of {total}.",
                count=after,
                total=len(entries),
            )
        )
    elif entries:
        out.append(
            Msg(
                "All of its entries say that they were made before that. That is only what the "
                "phone's clock said."
            )
        )
    return out


def _claims_after(event: Json, revoked: int) -> bool:
    """Return whether an entry claims a time after the end, or none that can be read."""
    try:
        at = datetime.fromisoformat(str(event.get("at", "")))
    except ValueError:
        return True
    return at.tzinfo is None or at.timestamp() >= revoked


def _note(say: Say, device: Device, event: Json) -> str:
    if device.revoked is None or not _claims_after(event, device.revoked):
        return ""
    return say(Msg("made after the pairing of its phone was ended"))


def _sums(
    say: Say, words: dict[str, tuple[Plural, Plural]], counts: Counter[str], done: bool
) -> list[str]:
    return [say(words[state][done].of(counts[state])) for state in words if counts[state]]


def _entry(
    session: Session, say: Say, names: dict[str, str], event: Json, receipt: Receipt, done: bool
) -> Json:
    body = event.get("body")
    named = body if isinstance(body, dict) else {}
    opening = session.get(Opening, str(event.get("opening", "")))
    return {
        "what": say(KINDS.get(str(event.get("kind")), Msg("An entry"))),
        "where": " ".join(str(named[part])[:80] for part in ("step", "point") if part in named),
        "typed": str(named.get("text", ""))[:80],
        "opening": f"{opening.letter} {opening.room}" if opening else "",
        "href": f"/office/o/{opening.id}" if opening else "",
        "who": names.get(str(event.get("person")), ""),
        "at": _at(say, str(event.get("at", ""))[:64]),
        "state": receipt.state,
        "state_text": say(STATES[receipt.state][done]),
        "why": receipt.words,
    }


def _photo(say: Say, receipt: PhotoReceipt, done: bool) -> Json:
    return {
        "name": receipt.sha256[:12],
        "state": receipt.state,
        "state_text": say(STATES[receipt.state][done]),
        "why": say(receipt.why) if receipt.why else "",
    }
