"""Valid kinds with odd values: the door refuses them, and no page dies of one that came past it.

What is odd is our own choice: the ends of ranges, words of no vocabulary, other types, text that
is hard to show. `ODD_VALUES=2000` tries more than the few hundred of an ordinary run.
"""

import os
import random
from collections.abc import Iterator

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.record.events import OFFICE_KINDS, check_body, check_time
from app.store import log
from app.store.database import Database
from tests.archive.chance import OTHERS
from tests.core.sample import LASER
from tests.sync.client import Phone
from tests.sync.test_hostile import CHECKED
from tests.sync.test_push import READING, SIGNED, states
from tests.sync.test_spoken import sven

__all__ = ["sven"]
SEED, COUNT = 20260302, int(os.environ.get("ODD_VALUES", "250"))
PAGES = (
    "/office", "/office/o/{}", "/office/lists/parts", "/office/lists/queries", "/office/aside",
    "/office/lists/not_ready", "/office/instruments", "/office/o/{}/voice",
    "/office/o/{}/blank", "/field", "/field/o/{}", "/field/o/{}/parts", "/field/o/{}/queries",
    "/field/o/{}/history", "/field/o/{}/point/gap", "/field/o/{}/instruments",
    "/field/o/{}/instruments/L2", "/field/o/{}/instruments/level-1", "/field/o/{}/step/A",
    "/field/o/{}/next/A", "/field/o/{}/setout", "/field/o/{}/clocks", "/field/status",
    "/record/{}", "/office/take-out/{}",
)  # fmt: skip
ODD: list[object] = [
    "", "x", "lost", "9" * 20, "-" + "9" * 20, "-1", "007", "1e9", "\u0000", "\u202e|a|b", "٣",
    "9999-12-31T23:59:59-23:59", "0001-01-01T00:00:00+23:59", "2026-02-31", "a" * 2000, "<b>",
    "{size}", 0, -1, 2**53 - 1, True, None, [], ["x"], {}, {"a": [1]}, [["x"]], [[1, 2]],
]  # fmt: skip
TIMES = [text for text in ODD if isinstance(text, str) and len(text) <= 64]
BODIES: list[tuple[str, Json]] = [
    *OTHERS,
    ("task.ticked", {"step": "A", "task": "seen", "done": True, "done_at": "2026-03-02T10:15"}),
    ("decision.made", {"step": "A", "decision": "go", "choice": "yes", "name": "Bo"}),
    ("reading.taken", {**READING, "measured_at": "2026-03-02T10:15", "instrument": "level-1"}),
    ("reading.unreachable", {"point": "gap", "panel": "", "place": "left", "why": "post"}),
    ("instrument.named", LASER),
    ("instrument.checked", CHECKED),
    ("entry.struck", {"target": "none", "why": "x"}),
    ("adjustment.made", {"step": "A", "adjustment": "roller", "panel": "", "words": "up"}),
    ("step.signed", {**SIGNED, "verdicts": []}),
    ("concession.spoken", {
        "check": "gap-most", "panel": "", "readings": [], "number": "482109375", "code": "1234",
        "day": "2026-03-02", "rules": 1, "procedure_digest": "0" * 64, "verdicts": [],
    }),
]  # fmt: skip


def odd_events(phone: Phone, opening: str, count: int) -> Iterator[Json]:
    """Write events, each with one odd value somewhere, or an odd time; chained as they are."""
    chance = random.Random(SEED)
    for _ in range(count):
        kind, body = chance.choice(BODIES)
        made = phone.tick(opening)
        made["kind"], made["body"] = kind, dict(body)
        if chance.random() < 0.1:
            made["at"] = chance.choice(TIMES)
        else:
            made["body"][chance.choice(list(body))] = chance.choice(ODD)
        yield made


def fits(event: Json) -> bool:
    try:
        check_time(event["at"])
        check_body(event["kind"], event["body"])
    except AppError:
        return False
    return True


def answers(sven: TestClient, opening: str) -> dict[str, int]:
    """Return the pages that answer 5xx."""
    told = {path.format(opening): 0 for path in PAGES}
    for path in told:
        told[path] = sven.get(path).status_code
    return {path: status for path, status in told.items() if status >= 500}


@pytest.mark.sqlite
@pytest.mark.control(34)
def test_no_page_dies_of_what_a_phone_may_say(
    phone: Phone, sven: TestClient, database: Database, app: FastAPI
) -> None:
    events = list(odd_events(phone, "op-1", COUNT))
    signatures = {e["id"]: phone.sign_off(e) for e in events if e["kind"] == "step.signed"}
    stored = 0
    for at in range(0, COUNT, 200):
        part = events[at : at + 200]
        batch = phone.batch(part)
        batch["signatures"] = {e["id"]: signatures[e["id"]] for e in part if e["id"] in signatures}
        for event, (state, why) in zip(part, states(phone.post(batch)["receipts"]), strict=True):
            assert state in ("stored", "set-aside"), (state, why, event)
            assert fits(event) or state == "set-aside", event
            stored += state == "stored"
    assert 0 < stored < COUNT
    assert answers(sven, "op-1") == {}
    phone.outbox = []
    phone.pull()


@pytest.mark.sqlite
@pytest.mark.control(34)
def test_no_page_dies_of_what_came_past_the_door(
    phone: Phone, sven: TestClient, database: Database
) -> None:
    """As a fault of an earlier version, or somebody at the database, can leave it."""
    for event in odd_events(phone, "op-2", COUNT):
        if event["kind"] not in OFFICE_KINDS:
            with database.write() as session:
                try:
                    log.append_events(session, [event])
                except AppError:  # not canonical: no database of ours holds it
                    phone.book["op-2"].pop(event["id"])
    assert answers(sven, "op-2") == {}
