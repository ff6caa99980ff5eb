"""What must be true when phones and office are back together, whatever happened before.

Every event that a person was told is saved is at the office, exactly once and unaltered to the
byte; every chain holds link by link; every photo is there; phones and office hold the same and
fold to the same state, the phone in its interpreter, the office in this one.
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
from app.core.record.canonical import canonical
from app.core.record.state import State
from tests.phone.office import chains_hold

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
        aside = database.execute("SELECT id, device, state, why FROM aside").fetchall()
        named = {row[0] for row in database.execute("SELECT sha256 FROM photo")}
    photos = {sha for sha in named if _is_photo(data / "photos", sha)}
    names = ("id", "device", "state", "why")
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
    found = [*_of_office(kept), *_all_sent(told)]
    for phone in told["phones"]:
        found += [*_own_faults(phone), *_of_told(phone, kept), *_of_chains(phone, kept)]
        found += [*_of_photos(phone, kept), *_of_state(phone, kept, procedures)]
    counts: Counter[str] = Counter()
    for phone in told["phones"]:
        counts.update(phone["counts"])
        counts["told"] += len(phone["told"])
    counts["events at the office"] = len(kept.rows)
    return Outcome(found, dict(counts))


def _of_office(kept: Kept) -> Iterator[Found]:
    if not kept.whole:
        yield Found("database damaged", "integrity_check")
    if len(kept.by_id) != len(kept.rows):
        yield Found("an event twice", str(len(kept.rows) - len(kept.by_id)))
    for row in kept.aside:
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
    for event in phone["told"]:
        there = at_office.get(event["id"])
        if there is None:
            yield Found("lost", json.dumps(event))
        elif canonical(there) != canonical(event):
            yield Found("altered", json.dumps([event, there]))


def _of_chains(phone: Json, kept: Kept) -> Iterator[Found]:
    """What stands at the office under this phone's name is what was entered on it, no more."""
    mine = [event for _, event in kept.rows if event["device"] == phone["device"]]
    for event in mine:
        if event["id"] not in phone["sent"]:
            yield Found("never entered", json.dumps(event))


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
        out.append([step.key, gate.cover(state, step)["digest"], stands])
    return out
