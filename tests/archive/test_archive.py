"""What earlier versions made folds, shows and verifies to the same facts.

The files are the outside source: this version must agree with what stands in them.
"""

import json
import lzma
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import psycopg
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.cli import main
from app.core.kinds import Json
from app.core.record.events import KINDS
from app.main import create_app
from app.office.moving import records
from app.settings import Settings
from app.signing.company_key import FILE
from app.signing.pins import read_pins
from app.store import log, procedures
from app.store.database import Database
from app.store.migrate import migrate_database
from tests.archive.facts import facts_of_export, facts_of_log, facts_of_pdf
from tests.demo.conftest import enter
from tests.homeowner.conftest import OPENING

HERE = Path(__file__).parent
FOLDERS = sorted(path.parent for path in HERE.glob("*/facts.json"))


def kept(folder: Path, name: str) -> bytes:
    return lzma.decompress((folder / (name + ".xz")).read_bytes())


@pytest.fixture(params=FOLDERS, ids=lambda folder: folder.name)
def folder(request: pytest.FixtureRequest) -> Path:
    """What one version made."""
    found: Path = request.param
    return found


@pytest.fixture
def facts(folder: Path) -> Json:
    return json.loads((folder / "facts.json").read_text())


def test_there_is_an_archive_and_it_is_small() -> None:
    assert FOLDERS
    for folder in FOLDERS:
        size = sum(path.stat().st_size for path in folder.rglob("*") if path.is_file())
        assert size < 4_000_000, folder


def test_logs_of_chance_fold_to_the_same_facts(folder: Path, facts: Json) -> None:
    whole = json.loads(kept(folder, "chance.json"))
    assert len(whole["logs"]) == len(facts["chance"])
    for events, expected in zip(whole["logs"], facts["chance"], strict=True):
        for order in (events, events[::-1]):
            assert facts_of_log(order, whole["procedures"]) == expected


def test_exports_verify_to_the_same_facts(folder: Path, facts: Json) -> None:
    pins = read_pins(str(folder / "company-keys.pem"))
    assert facts["exports"]
    for number, expected in facts["exports"].items():
        assert expected["faults"] == []
        assert facts_of_export(kept(folder, f"export-{number}.json"), pins) == expected


def test_pdfs_verify_to_the_same_facts(folder: Path, facts: Json) -> None:
    pins = read_pins(str(folder / "company-keys.pem"))
    assert facts["pdfs"]
    for number, expected in facts["pdfs"].items():
        assert expected["faults"] == []
        assert facts_of_pdf(kept(folder, f"record-{number}.pdf"), pins) == expected
        assert expected["digest"] == facts["exports"][number]["digest"]


def test_the_command_verifies_them_for_anybody(folder: Path, facts: Json, tmp_path: Path) -> None:
    names = [f"export-{number}.json" for number in facts["exports"]]
    names += [f"record-{number}.pdf" for number in facts["pdfs"]]
    for name in names:
        file = tmp_path / name
        file.write_bytes(kept(folder, name))
        code = facts["exports"][name.partition("-")[2].partition(".")[0]]["code"]
        words = ["verify", str(file), "--key", str(folder / "company-keys.pem"), "--code", code]
        assert main(words) == 0, name


def test_a_log_that_was_taken_out_is_taken_in(folder: Path, facts: Json, tmp_path: Path) -> None:
    found = records.parsed_records(kept(folder, "records.json"))
    database = Database(tmp_path / "sillbook.db")
    migrate_database(database)
    with database.write() as session:
        records.take_records(session, found)
        events = log.events_of(session, [OPENING])[OPENING]
        assert facts_of_log(events, procedures.all_of(session, {})) == facts["log"]
    database.close()


@pytest.fixture(params=["sqlite", "postgresql"])
def served(request: pytest.FixtureRequest, folder: Path, tmp_path: Path) -> Iterator[FastAPI]:
    """The office of that version, its tables brought to this one's, in either database."""
    shutil.copytree(folder / "photos", tmp_path / "photos")
    shutil.copy(HERE / FILE, tmp_path / FILE)
    address = ""
    if request.param == "sqlite":
        with closing(sqlite3.connect(tmp_path / "sillbook.db")) as connection:
            connection.executescript(kept(folder, "sqlite.sql").decode())
    else:
        address = request.getfixturevalue("postgres_address")
        with psycopg.connect(address, autocommit=True) as connection:
            connection.execute(kept(folder, "postgresql.sql").decode())
    app = create_app(Settings(tmp_path, "https://book.example.org", address))
    with TestClient(app):
        yield app


def test_a_database_is_brought_over_and_shows_its_records(
    folder: Path, facts: Json, served: FastAPI
) -> None:
    pins = read_pins(str(folder / "company-keys.pem"))
    with served.state.server.database.read() as session:
        events = log.events_of(session, [OPENING])[OPENING]
        assert facts_of_log(events, procedures.all_of(session, {})) == facts["log"]
    office = enter(served, "supervisor")
    for path in ("/office", f"/office/o/{OPENING}", f"/field/o/{OPENING}"):
        assert office.get(path).status_code == 200, path
    for number, expected in facts["exports"].items():
        path = f"/record/{OPENING}/r/{number}"
        page = office.get(path)
        assert page.status_code == 200
        assert all(expected[name] in page.text for name in ("number", "code", "digest"))
        assert facts_of_export(office.get(path + "/export.json").content, pins) == expected
    newest = facts["exports"][max(facts["exports"])]
    assert newest["digest"] in office.get(f"/verify/{newest['code']}").text


def test_every_kind_of_event_is_in_the_newest_folder() -> None:
    """A new kind goes into chance.py, and by `make archive` into the files."""
    logs = json.loads(kept(FOLDERS[-1], "chance.json"))["logs"]
    assert {event["kind"] for events in logs for event in events} == set(KINDS)


def test_two_phones_and_the_office_wrote_the_job(folder: Path) -> None:
    [opening] = json.loads(kept(folder, "records.json"))["openings"]
    devices = {one["event"]["device"].partition("-")[0] for one in opening["events"]}
    phones = {one["event"]["device"] for one in opening["events"] if one["signature"]}
    assert devices == {"phone", "office"}
    assert len(phones) == 2
