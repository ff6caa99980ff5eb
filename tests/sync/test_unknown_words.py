"""A word that this version does not know, in an entry, costs no page. The rules are our own."""

import copy

from fastapi.testclient import TestClient

from app.core.kinds import Json
from app.core.record.state import State
from app.store import log
from app.store.database import Database
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
    "/field/o/op-1/step/A",
    "/record/op-1",
)


def say(phone: Phone, database: Database, kind: str, body: Json) -> Json:
    """Write an entry past the door, as its words stand."""
    made = phone.tick("op-1")
    made["kind"], made["body"] = kind, body
    with database.write() as session:
        log.append_events(session, [made])
    phone.outbox.remove(made["id"])
    return made


def test_no_page_dies_of_a_word_that_is_not_known(
    phone: Phone,
    database: Database,
    sven: TestClient,  # noqa: F811
) -> None:
    """It is said in its place; it counts for nothing."""
    phone.pull()
    say(phone, database, "part.stated", {"mark": "P-A", "state": "eaten"})
    say(phone, database, "how.chosen", {"point": "gap", "panel": "", "how": "sideways"})
    wand = changed(LASER, {"sort": "wand", "grade": "?"})
    say(phone, database, "instrument.named", wand)
    check = {
        "occasion": "c1", "way": "spell", "texts": [], "units": "mm", "values": ["0"],
        "length": "0", "other": "",
    }  # fmt: skip
    say(phone, database, "instrument.checked", changed(wand, check))
    told = {path: sven.get(path) for path in PAGES}
    assert {path: shown.status_code for path, shown in told.items()} == dict.fromkeys(PAGES, 200)
    for path in ("/office/o/op-1", "/field/o/op-1"):
        assert told[path].text.count("cannot be shown and counts for nothing") == 4
    assert "An entry of Inga" in told["/field/o/op-1"].text
    assert "eaten" not in told["/field/o/op-1/parts"].text


def test_a_way_of_reading_that_is_not_known_is_asked_for_again(
    phone: Phone, database: Database
) -> None:
    procedures: Json = copy.deepcopy(PROCEDURES)
    for procedure in procedures.values():
        for step in procedure["steps"]:
            for point in step["points"]:
                point["how"] = "level"
    phone.pull()
    say(phone, database, "how.chosen", {"point": "gap", "panel": "", "how": "sideways"})
    assert State(phone.events("op-1"), procedures).how_read("gap", "") == ""
    phone.write("op-1", "how.chosen", {"point": "gap", "panel": "", "how": "up"})
    assert State(phone.events("op-1"), procedures).how_read("gap", "") == "up"
