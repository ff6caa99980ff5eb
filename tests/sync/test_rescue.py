"""A phone's file of unsent entries at the office: looked at, taken in, refused.

What stands in the file is PROTOCOL.md's; that taking it in is the same as sending it is checked
against what POST /sync says of the same batch (tests/sync/test_push.py).
"""

import base64
import json
from collections.abc import Callable

import pytest
from fastapi import FastAPI

from app.access.server import Server
from app.core.errors import InputError
from app.core.kinds import Json
from app.store.database import Database
from app.sync import rescue
from tests.sync.client import Phone
from tests.sync.test_photos import name, picture
from tests.sync.test_push import stored

MakePhone = Callable[[str], Phone]


@pytest.fixture
def server(app: FastAPI) -> Server:
    found: Server = app.state.server
    return found


def file_of(phone: Phone, pictures: tuple[bytes, ...] = (), **more: object) -> Json:
    """Return the file that the phone would make now."""
    events = [phone.find(id_) for id_ in phone.outbox]
    named = {e["body"]["sha256"]: e["id"] for e in events if e["kind"] == "photo.taken"}
    return {
        "kind": "sillbook-unsent", "v": 1, "device": phone.device, "part": 1, "parts": 1,
        "at": "2026-03-02T14:05:00-05:00", "batches": [phone.batch(events)],
        "photos": [
            {
                "sha256": name(data),
                "event": named[name(data)],
                "jpeg": base64.b64encode(data).decode(),
            }
            for data in pictures
        ],
        **more,
    }  # fmt: skip


def read(file: Json) -> rescue.Unsent:
    return rescue.read(json.dumps(file).encode())


def code_of(work: Callable[[], object]) -> str:
    with pytest.raises(InputError) as refused:
        work()
    return refused.value.code


def test_a_file_is_looked_at_taken_in_and_sent_later_all_once(
    phone: Phone, database: Database, server: Server
) -> None:
    data = picture()
    phone.tick("op-1")
    photograph(phone, data)
    before = stored(database)
    file = read(file_of(phone, (data,)))
    seen = rescue.look(server, file)
    assert [r.state for r in seen.receipts] == ["stored", "stored"]
    assert [p.state for p in seen.photos] == ["ready"]
    assert stored(database) == before, "looking changed something"
    taken = rescue.take(server, file)
    assert [r.state for r in taken.receipts] == ["stored", "stored"]
    assert [p.state for p in taken.photos] == ["stored"]
    again = rescue.take(server, file)
    assert [r.state for r in again.receipts] == ["already", "already"]
    assert [p.state for p in again.photos] == ["already"]
    mine = [event for event in stored(database) if event["device"] == phone.device]
    assert mine == [phone.find(id_) for id_ in phone.outbox]
    assert [receipt["state"] for receipt in phone.push()] == ["already", "already"]
    assert phone.put_photo(data)["state"] == "already"


def photograph(phone: Phone, data: bytes) -> None:
    """Take a photo and leave its entry unsent."""
    body = {"step": "A", "task": "seen", "sha256": name(data), "size": len(data)}
    phone.write("op-1", "photo.taken", {**body, "width": 64, "height": 48})


def test_one_bad_entry_does_not_stop_the_others(
    phone: Phone, database: Database, server: Server
) -> None:
    phone.tick("op-1")
    phone.write("op-1", "task.ticked", {"step": "A", "task": "seen", "done": True})
    phone.write("op-2", "decision.made", {"step": "nowhere", "decision": "x", "choice": "y"})
    taken = rescue.take(server, read(file_of(phone)))
    found = [(receipt.state, receipt.why) for receipt in taken.receipts]
    assert found == [("stored", ""), ("stored", ""), ("set-aside", "reference-unknown")]


def test_what_is_no_file_of_ours(phone: Phone, server: Server) -> None:
    phone.tick("op-1")
    good = file_of(phone)
    whole = json.dumps(good).encode()
    assert code_of(lambda: rescue.read(b"not JSON")) == "rescue-unreadable"
    assert code_of(lambda: rescue.read(b"")) == "rescue-unreadable"
    assert code_of(lambda: rescue.read(whole[: len(whole) // 2])) == "rescue-unreadable"
    assert code_of(lambda: read({**good, "kind": "other"})) == "rescue-unreadable"
    assert code_of(lambda: read({**good, "more": 1})) == "rescue-unreadable"
    assert code_of(lambda: read({**good, "v": 2})) == "rescue-newer"
    foreign = read({**good, "device": "phone-of-somebody"})
    assert code_of(lambda: rescue.look(server, foreign)) == "rescue-foreign"


def test_a_file_that_was_changed_is_refused(
    phone: Phone, make_phone: MakePhone, database: Database, server: Server
) -> None:
    phone.tick("op-1")
    before = stored(database)
    changed = file_of(phone)
    changed["batches"][0]["events"][0] = {**changed["batches"][0]["events"][0], "person": "otto"}
    assert code_of(lambda: rescue.look(server, read(changed))) == "rescue-altered"
    # as if another phone had made it: its key does not fit
    other = {**file_of(phone), "device": make_phone("otto").device}
    assert code_of(lambda: rescue.look(server, read(other))) == "rescue-altered"
    assert stored(database) == before


def test_a_changed_photo_is_told_and_the_rest_is_taken(phone: Phone, server: Server) -> None:
    data = picture()
    photograph(phone, data)
    file = file_of(phone, (data,))
    file["photos"][0]["jpeg"] = base64.b64encode(data[:-3] + b"xyz").decode()
    taken = rescue.take(server, read(file))
    assert [receipt.state for receipt in taken.receipts] == ["stored"]
    assert [photo.state for photo in taken.photos] == ["refused"]
    file["photos"][0]["jpeg"] = "no base64!"
    assert [photo.state for photo in rescue.take(server, read(file)).photos] == ["refused"]


def test_photos_without_their_entries_wait_for_them(phone: Phone, server: Server) -> None:
    """The second file of a phone, before the first: refused in words, and nothing is kept."""
    data = picture()
    photograph(phone, data)
    second = {**file_of(phone, (data,)), "batches": [], "part": 2, "parts": 2}
    told = rescue.take(server, read(second)).photos
    assert [photo.state for photo in told] == ["refused"]
    assert told[0].why is not None
    rescue.take(server, read(file_of(phone)))
    assert [photo.state for photo in rescue.take(server, read(second)).photos] == ["stored"]


def test_a_file_of_a_phone_that_was_ended_is_taken(
    phone: Phone, database: Database, server: Server
) -> None:
    """The office decides: the page says that the pairing was ended (see rescue_shown.py)."""
    phone.tick("op-1")
    with database.write() as session:
        session.connection().exec_driver_sql("UPDATE device SET revoked = 1")
    taken = rescue.take(server, read(file_of(phone)))
    assert [receipt.state for receipt in taken.receipts] == ["stored"]
