"""A database that was put back from a copy is noticed, and the phones make it whole again."""

import hashlib
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.core.errors import RefusedError
from app.core.kinds import Json
from app.core.record.state import State
from app.main import create_app
from app.settings import Settings
from app.store import log
from app.store.backup import back_up, restore_copy
from app.store.database import Database
from app.store.devices import device_id
from app.store.epoch import epoch_of
from app.store.photos import keep_photo, path_of
from app.store.records import Callback
from app.sync.check import all_faults
from tests.sync.client import Phone
from tests.sync.conftest import code_for, fill


@contextmanager
def running(data: Path) -> Iterator[FastAPI]:
    app = create_app(Settings(data))
    with TestClient(app):
        yield app


def database_of(app: FastAPI) -> Database:
    found: Database = app.state.server.database
    return found


def epoch(app: FastAPI) -> str:
    with database_of(app).read() as session:
        return epoch_of(session)


def connect(phone: Phone, app: FastAPI) -> None:
    phone.http = TestClient(app, raise_server_exceptions=False)


def new_phone(app: FastAPI, person: str) -> Phone:
    phone = Phone(TestClient(app, raise_server_exceptions=False))
    phone.pair(code_for(database_of(app), person, app.state.server.clock()))
    phone.pull()
    return phone


def stored(app: FastAPI, opening: str = "op-1") -> list[Json]:
    with database_of(app).read() as session:
        return log.events_of(session, [opening])[opening]


Put = Callable[[Path, Path], None]


def by_command(data: Path, copy: Path) -> None:
    restore_copy(data, copy)


def by_hand(data: Path, copy: Path) -> None:
    """The owner copies the file over the other, as owners do, and knows nothing of marks."""
    for rest in ("-wal", "-shm"):
        (data / ("sillbook.db" + rest)).unlink(missing_ok=True)
    shutil.copyfile(copy / "sillbook.db", data / "sillbook.db")


@pytest.mark.parametrize("put", [by_command, by_hand])
@pytest.mark.parametrize("restarted_between", [True, False])
def test_phones_offer_again_and_nothing_is_missing_or_doubled(
    tmp_path: Path, put: Put, restarted_between: bool
) -> None:
    data, copy = tmp_path / "data", tmp_path / "copy"
    with running(data) as app:
        fill(database_of(app))
        one, two = new_phone(app, "inga"), new_phone(app, "otto")
        before = epoch(app)
        first = one.tick("op-1")
        one.push()
        back_up(data, copy)
        if not restarted_between:
            _work_on(one, two)
    if restarted_between:
        with running(data) as app:
            assert epoch(app) == before  # an ordinary start keeps it
            connect(one, app)
            connect(two, app)
            _work_on(one, two)
    put(data, copy)
    with running(data) as app:
        assert epoch(app) != before
        assert [e["id"] for e in stored(app)][1:] == [first["id"]]
        for phone in (one, two, one):
            connect(phone, app)
            phone.pull()
            phone.push()
            phone.pull()
        told = {e["id"] for e in one.all() + two.all() if e["opening"] == "op-1"}
        assert [e["id"] for e in stored(app)] == [e["id"] for e in one.events("op-1")]
        assert {e["id"] for e in stored(app)} == told
        states = [State(phone.events("op-1"), phone.procedures) for phone in (one, two)]
        assert states[0].heads == states[1].heads == State(stored(app), one.procedures).heads
        for phone in (one, two):
            assert phone.outbox == []


def _work_on(one: Phone, two: Phone) -> None:
    """Each sees the other's entries and builds on them, all after the copy was made."""
    for phone in (one, two, one, two):
        phone.pull()
        phone.tick("op-1", done=phone is one)
        phone.push()


def test_what_only_phones_still_hold_of_the_office_is_kept_aside(tmp_path: Path) -> None:
    """An entry of the office's own hand made after the copy: it comes back, and is not believed."""
    data, copy = tmp_path / "data", tmp_path / "copy"
    with running(data) as app:
        fill(database_of(app))
        one = new_phone(app, "inga")
        back_up(data, copy)
        with database_of(app).write() as session:
            office = device_id(session, "office")
            before = log.events_of(session, ["op-1"])["op-1"]
            lost = log.set_aside(before, office, "op-1", "sven", "none", "x")
            log.append_events(session, [lost])
        one.pull()
    restore_copy(data, copy)
    with running(data) as app:
        with database_of(app).read() as session:
            assert (
                device_id(session, "office") != office
            )  # its next entry cannot take the lost one's place
        connect(one, app)
        one.pull()
        assert {r["why"] for r in one.push() if r["id"] == lost["id"]} == {"device-foreign"}
        assert lost not in stored(app)


@dataclass
class PutBack:
    """A whole machine as it was before a phone's entry, stamp and all; the phone has it still."""

    data: Path
    one: Phone
    two: Phone
    epoch: str

    def must_be_noticed(self, app: FastAPI) -> None:
        """Assert that the first phone's cursor begins an epoch, and that its entry is taken."""
        assert epoch(app) == self.epoch
        connect(self.one, app)
        self.one.pull()
        assert epoch(app) == self.one.epoch != self.epoch
        assert [r["state"] for r in self.one.push()].count("stored") == 1
        assert stored(app) == self.one.events("op-1")


@pytest.fixture
def machine(tmp_path: Path) -> PutBack:
    """Return a machine that went back behind what a phone had sent and pulled."""
    data, copy = tmp_path / "data", tmp_path / "copy"
    with running(data) as app:
        fill(database_of(app))
        made = PutBack(data, new_phone(app, "inga"), new_phone(app, "otto"), epoch(app))
    shutil.copytree(data, copy)
    with running(data) as app:
        connect(made.one, app)
        made.one.tick("op-1")
        made.one.push()
        made.one.pull()
    shutil.rmtree(data)
    shutil.copytree(copy, data)
    return made


def test_a_whole_machine_put_back_is_noticed_by_a_phones_cursor(machine: PutBack) -> None:
    with running(machine.data) as app:
        machine.must_be_noticed(app)


def test_a_whole_machine_put_back_is_noticed_where_others_took_the_lost_numbers(
    machine: PutBack,
) -> None:
    """The cursor is not beyond what is there, but its last event is another one now."""
    with running(machine.data) as app:
        connect(machine.two, app)
        machine.two.tick("op-1")
        machine.two.tick("op-1")
        assert [r["state"] for r in machine.two.push()] == ["stored"] * 2
        machine.must_be_noticed(app)


@pytest.mark.parametrize("stamp", [None, b"", b"\xff", b"x 1\n", b"x\n"])
def test_a_lost_or_torn_mark_costs_an_epoch_and_nothing_else(
    tmp_path: Path, stamp: bytes | None
) -> None:
    with running(tmp_path) as app:
        before = epoch(app)
    path = tmp_path / "sillbook.db.stamp"
    path.unlink() if stamp is None else path.write_bytes(stamp)
    with running(tmp_path) as app:
        after = epoch(app)
        assert after != before
    with running(tmp_path) as app:
        assert epoch(app) == after


def test_restore_refuses_what_it_cannot_do(tmp_path: Path) -> None:
    with running(tmp_path / "data"):
        back_up(tmp_path / "data", tmp_path / "copy")
        for act, code in (
            (lambda: restore_copy(tmp_path / "data", tmp_path / "copy"), "database-in-use"),
            (lambda: back_up(tmp_path / "data", tmp_path / "copy"), "backup-exists"),
            (lambda: restore_copy(tmp_path / "other", tmp_path / "nothing"), "backup-missing"),
            (lambda: back_up(tmp_path / "nothing", tmp_path / "more"), "backup-missing"),
        ):
            with pytest.raises(RefusedError) as refused:
                act()
            assert refused.value.code == code
    restore_copy(tmp_path / "data", tmp_path / "copy")
    assert (tmp_path / "data" / "sillbook.db.replaced").is_file()


@pytest.mark.control(38)
@pytest.mark.parametrize("left", [0, 100, 4096, -4096, -1])
def test_restore_refuses_a_copy_that_was_cut_short_and_touches_nothing(
    tmp_path: Path, left: int
) -> None:
    """left: bytes that are left of the copy; below zero: bytes that are missing."""
    data, copy = tmp_path / "data", tmp_path / "copy"
    with running(data) as app:
        fill(database_of(app))
        before = [event["id"] for event in stored(app)]
        stamp = epoch(app)
        back_up(data, copy)
    whole = (copy / "sillbook.db").read_bytes()
    (copy / "sillbook.db").write_bytes(whole[:left])
    with pytest.raises(RefusedError) as refused:
        restore_copy(data, copy)
    assert refused.value.code == "backup-damaged"
    assert not list(data.glob("*.fresh"))
    with running(data) as app:
        assert [event["id"] for event in stored(app)] == before
        assert epoch(app) == stamp


def test_damaged_photo_of_a_copy_does_not_replace_a_whole_one(tmp_path: Path) -> None:
    """No entry names these photos any more, or yet: they are kept all the same."""
    data, copy = tmp_path / "data", tmp_path / "copy"
    whole, other = (hashlib.sha256(said).hexdigest() for said in (b"whole", b"other"))
    with running(data):
        keep_photo(data / "photos", whole, b"whole")
        back_up(data, copy)
    assert path_of(copy / "photos", whole).read_bytes() == b"whole"
    path_of(copy / "photos", whole).write_bytes(b"wh")
    keep_photo(copy / "photos", other, b"other")
    restore_copy(data, copy)
    assert path_of(data / "photos", whole).read_bytes() == b"whole"
    assert path_of(data / "photos", other).read_bytes() == b"other"


def test_the_photo_of_a_complaint_is_in_the_copy_and_missed_where_it_is_gone(
    tmp_path: Path,
) -> None:
    """No phone's entry names it: the complaint alone does."""
    data, copy = tmp_path / "data", tmp_path / "copy"
    name = hashlib.sha256(b"leak").hexdigest()
    with running(data) as app:
        fill(database_of(app))
        keep_photo(data / "photos", name, b"leak")
        with database_of(app).write() as session:
            session.add(
                Callback(
                    id="c", opening="op-1", at=1, words="It leaks", photo=name, person="", closed=""
                )
            )
        back_up(data, copy)
        with database_of(app).read() as session:
            assert list(all_faults(session, database_of(app).photos)) == []
            path_of(data / "photos", name).unlink()
            assert list(all_faults(session, database_of(app).photos)) == [
                f"photo {name}: its file is missing"
            ]
    assert path_of(copy / "photos", name).read_bytes() == b"leak"
    path_of(copy / "photos", name).unlink()
    with pytest.raises(RefusedError) as refused:
        restore_copy(tmp_path / "other", copy)
    assert refused.value.code == "backup-damaged"
