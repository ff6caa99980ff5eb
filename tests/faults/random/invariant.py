"""What must be true when phones and office are back together, whatever happened before.

Every event that a person was told is saved is at the office, exactly once and unaltered to the
byte; every chain holds link by link; every photo is there; phones and office hold the same and
fold to the same state, the phone in its interpreter, the office in this one.

Where a phone was copied, both copies went on with the same numbers. What came second is set aside
at the office, whole, and said once again by the phone under its new name; a sign-off is not said
again (app/core/record/carry.py says why), and stands set aside for the office to see.
"""

import hashlib
import json
import sqlite3
from collections import Counter
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from app.core.kinds import Json
from app.core.record import gate
from app.core.record.canonical import canonical_bytes
from app.core.record.state import State
from tests.phone.office import chains_hold

SAME = ("opening", "person", "at", "kind")  # what stays where an event is said again
OTHERS = ("target", "moved_from", "query")  # ids of other events: see app/core/record/carry.py
OF_COPIES = ("chain-fork", "chain-gap", "device-foreign")  # what the office sets aside of copies
WORST = ("lost", "altered", "told as saved, and not in the book", "a photo is lost", "not all sent")


@dataclass
class Found:
    """What is wrong: a word that does not change, and the case."""

    what: str
    case: str


@dataclass
class Outcome:
    """What came of a schedule: all that is wrong (nothing: it holds), and what happened on it."""

    found: list[Found]
    counts: dict[str, int]

    @property
    def kinds(self) -> set[str]:
        """What is wrong, without the cases."""
        return {found.what for found in self.found}

    @property
    def worst(self) -> str:
        """The worst of it: what a shorter schedule must show too."""
        return next((what for what in WORST if what in self.kinds), self.found[0].what)


@dataclass
class Kept:
    """What the office holds in the end."""

    whole: bool
    rows: list[tuple[str, Json]]
    aside: list[Json]
    photos: set[str]

    @property
    def by_id(self) -> dict[str, Json]:
        """Events by id."""
        return dict(self.rows)


def kept_in(data: Path) -> Kept:
    """Read the database of an office that is off, and its photos."""
    with closing(sqlite3.connect(data / "sillbook.db")) as database:
        whole = database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        rows = database.execute("SELECT id, body FROM event ORDER BY seq").fetchall()
        aside = database.execute("SELECT id, device, state, why, text FROM aside").fetchall()
        named = {row[0] for row in database.execute("SELECT sha256 FROM photo")}
    photos = {sha for sha in named if _is_photo(data / "photos", sha)}
    names = ("id", "device", "state", "why", "text")
    return Kept(
        whole,
        [(id_, json.loads(body)) for id_, body in rows],
        [dict(zip(names, row, strict=True)) for row in aside],
        photos,
    )


def _is_photo(folder: Path, sha256: str) -> bool:
    paths = list(folder.rglob(f"{sha256}*"))
    return any(hashlib.sha256(path.read_bytes()).hexdigest() == sha256 for path in paths)


def judge(told: Any, data: Path, procedures: Json) -> Outcome:
    """Return what is wrong with how phones and office stand in the end."""
    kept = kept_in(data)
    found = [*_of_office(kept, copies(told)), *_all_sent(told)]
    for phone in told["phones"]:
        found += [*_own_faults(phone), *_of_told(phone, kept), *_of_chains(phone, told, kept)]
        found += [*_of_photos(phone, kept), *_of_state(phone, kept, procedures)]
    counts: Counter[str] = Counter()
    for phone in told["phones"]:
        counts.update(phone["counts"])
        counts["told"] += len(phone["told"])
    counts["events at the office"] = len(kept.rows)
    return Outcome(found, dict(counts))


def copies(told: Any) -> set[str]:
    """Return the names (ids of devices) that more than one phone has had."""
    names = Counter(name for phone in told["phones"] for name in phone["devices"])
    return {name for name, count in names.items() if count > 1}


def _of_office(kept: Kept, copied: set[str]) -> Iterator[Found]:
    if not kept.whole:
        yield Found("database damaged", "integrity_check")
    if len(kept.by_id) != len(kept.rows):
        yield Found("an event twice", str(len(kept.rows) - len(kept.by_id)))
    for row in kept.aside:
        if json.loads(row["text"])["device"] not in copied or row["why"] not in OF_COPIES:
            yield Found("set aside", json.dumps(row))
    try:
        chains_hold([event for _, event in kept.rows])
    except AssertionError as error:
        yield Found("a chain is broken", str(error).splitlines()[0])


def _all_sent(told: Any) -> Iterator[Found]:
    if not told["rounds"]:
        news = [phone["news"] for phone in told["phones"]]
        waiting = [len(phone["outbox"]) for phone in told["phones"]]
        yield Found("not all sent", json.dumps([news, waiting]))


def _own_faults(phone: Json) -> Iterator[Found]:
    for fault in phone["faults"]:
        yield Found(fault["what"], json.dumps(fault)[:3000])


def _of_told(phone: Json, kept: Kept) -> Iterator[Found]:
    at_office = kept.by_id
    aside = {row["id"]: row["text"] for row in kept.aside}
    given_up = {old["id"] for old in _lost(phone)}
    for event in phone["told"]:
        there = at_office.get(event["id"])
        if there is None and event["id"] in aside:
            yield from _of_second(event, aside[event["id"]], phone, kept)
        elif there is None and event["id"] in given_up:  # set aside, before an image was put back
            yield from _said_again(event, phone, kept, 1)
        elif there is None:
            yield Found("lost", json.dumps(event))
        elif canonical_bytes(there) != canonical_bytes(event):
            yield Found("altered", json.dumps([event, there]))


def _of_second(event: Json, text: str, phone: Json, kept: Kept) -> Iterator[Found]:
    """An event whose place was taken by the copy's: whole, and said again."""
    if canonical_bytes(json.loads(text)) != canonical_bytes(event):
        yield Found("altered", json.dumps([event, text]))
    yield from _said_again(event, phone, kept, int(event["kind"] != "step.signed"))


def _said_again(event: Json, phone: Json, kept: Kept, often: int) -> Iterator[Found]:
    """An event that the phone gave up: said again so often, exactly.

    The same may be entered twice in one second; then what is said again is alike too.
    """
    given_up = [old for old in _lost(phone) if old["device"] == event["device"]]
    alike = sum(1 for old in given_up if _is_alike(old, event))
    again = [other for _, other in kept.rows if says_again(other, event, phone)]
    if len(again) != often * alike:
        what = "lost" if len(again) < often * alike else "an event twice"
        yield Found(what, json.dumps([event, again]))


def _is_alike(one: Json, other: Json) -> bool:
    return all(one[field] == other[field] for field in SAME) and _about(one) == _about(other)


def says_again(other: Json, event: Json, phone: Json) -> bool:
    """Return whether an event says, under a later name of the phone, what another said."""
    later = phone["devices"][phone["devices"].index(event["device"]) + 1 :]
    return other["device"] in later and _is_alike(other, event)


def _about(event: Json) -> Json:
    """Return what an event says, without the ids of others: those may have been said again too."""
    return {field: value for field, value in event["body"].items() if field not in OTHERS}


def _of_chains(phone: Json, told: Any, kept: Kept) -> Iterator[Found]:
    """What stands at the office under a phone's names is what was entered on it, no more."""
    named = set(phone["devices"])
    same = [other for other in told["phones"] if named & set(other["devices"])]
    entered = {id_ for other in same for id_ in other["sent"]}
    for at, (id_, event) in enumerate(kept.rows):
        if event["device"] not in named or id_ in entered:
            continue
        by_copy = [other for other in same if event["device"] in other["devices"]]
        later = {id_ for id_, _ in kept.rows[at + 1 :]}
        olds = [(each, old) for each in by_copy for old in [*_lost(each), *_back(each, later)]]
        if not any(says_again(event, old, each) for each, old in olds):
            yield Found("never entered", json.dumps(event))


def _lost(phone: Json) -> Iterator[Json]:
    own = set(phone["devices"])
    for record in phone["events"]:
        if record["lost"] and record["event"]["device"] in own:
            yield record["event"]


def _back(phone: Json, later: set[str]) -> Iterator[Json]:
    """What a copied phone said again while it was gone, and the other phone brought back later."""
    for event in (record["event"] for record in phone["events"] if not record["lost"]):
        if event["device"] in phone["devices"] and event["id"] in later:
            yield event


def _of_photos(phone: Json, kept: Kept) -> Iterator[Found]:
    for event in phone["told"]:
        if event["kind"] == "photo.taken" and event["body"]["sha256"] not in kept.photos:
            yield Found("a photo is lost", json.dumps(event))


def _of_state(phone: Json, kept: Kept, procedures: Json) -> Iterator[Found]:
    live = {r["event"]["id"]: r["event"] for r in phone["events"] if not r["lost"]}
    if live != kept.by_id:
        only = [sorted(live.keys() - kept.by_id.keys()), sorted(kept.by_id.keys() - live.keys())]
        yield Found("books differ", json.dumps(only))
    for opening, folded in phone["folded"].items():
        events = [event for _, event in kept.rows if event["opening"] == opening]
        if folded != fold(events, procedures):
            yield Found("folded differently", opening)


def fold(events: list[Json], procedures: Json) -> list[list[str]]:
    """Return of each step what a sign-off would cover, and where its sign-off stands."""
    state = State(events, procedures)
    out = []
    for step in state.steps:
        sign = gate.sign_of(state, step)
        stands = "" if sign is None else f"{sign.event['id']} {sign.true} {sign.holds}"
        out.append([step.key, gate.cover_of(state, step)["digest"], stands])
    return out
