"""A word that this version does not know, in an entry, costs no page. The rules are our own."""

import copy

from fastapi.testclient import TestClient

from app.core.kinds import Json
from app.core.record.events import heads_of, new_event
from app.core.record.state import State
from app.store import log
from app.store.database import Database
from app.store.devices import device_id
from app.store.ids import uuid7
from tests.core.sample import LASER, PROCEDURES, changed
from tests.sync.client import Phone
from tests.sync.test_spoken import sven  # noqa: F401  (a fixture)

PAGES = (
    "/office/o/op-1",
    "/office/lists/parts",
    "/office/lists/queries",
    "/office",
    "/field/o/op-1",
    "/field/o/op-1/parts",
    "/field/o/op-1/queries",
    "/field/o/op-1/history",
    "/field/o/op-1/point/gap",
    "/field/o/op-1/instruments",
    "/field/o/op-1/instruments/L2",
    "/field/o/op-1/step/A",
    "/record/op-1",
)


def test_no_page_dies_of_a_word_that_is_not_known(
    phone: Phone,
    database: Database,
    sven: TestClient,  # noqa: F811
) -> None:
    phone.pull()
    phone.write("op-1", "part.stated", {"mark": "P-A", "state": "eaten"})
    asked = phone.write("op-1", "query.raised", {"words": "Which way?", "bars": ["A"]})
    phone.write("op-1", "how.chosen", {"point": "gap", "panel": "", "how": "sideways"})
    wand = changed(LASER, {"sort": "wand", "grade": "?"})
    phone.write("op-1", "instrument.named", wand)
    check = {
        "occasion": "c1", "way": "spell", "texts": [], "units": "mm", "values": ["0"],
        "length": "0", "other": "",
    }  # fmt: skip
    phone.write("op-1", "instrument.checked", changed(wand, check))
    assert {r["state"] for r in phone.push()} == {"stored"}
    with database.write() as session:
        before = log.events_of(session, ["op-1"])["op-1"]
        body = {"query": asked["id"], "answer": "perhaps", "words": "Ask again."}
        draft = {
            "id": uuid7(), "device": device_id(session, "office"), "opening": "op-1",
            "seen": heads_of(before), "at": "2026-03-02T08:00", "person": "sven",
            "kind": "query.answered", "body": body,
        }  # fmt: skip
        log.append_events(session, [new_event(before, draft)])
    told = {path: sven.get(path) for path in PAGES}
    assert {path: shown.status_code for path, shown in told.items()} == dict.fromkeys(PAGES, 200)
    assert "unknown answer" in told["/office/o/op-1"].text
    assert "unknown answer" in told["/field/o/op-1/queries"].text
    assert "unknown" in told["/office/lists/parts"].text
    assert "unknown" in told["/field/o/op-1/parts"].text
    assert "unknown" in told["/field/o/op-1/instruments/L2"].text


def test_a_way_of_reading_that_is_not_known_is_asked_for_again(phone: Phone) -> None:
    procedures: Json = copy.deepcopy(PROCEDURES)
    for procedure in procedures.values():
        for step in procedure["steps"]:
            for point in step["points"]:
                point["how"] = "level"
    phone.pull()
    phone.write("op-1", "how.chosen", {"point": "gap", "panel": "", "how": "sideways"})
    assert State(phone.events("op-1"), procedures).how_read("gap", "") == ""
    phone.write("op-1", "how.chosen", {"point": "gap", "panel": "", "how": "up"})
    assert State(phone.events("op-1"), procedures).how_read("gap", "") == "up"
