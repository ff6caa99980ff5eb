"""A person's name is erased; the log, the record's digest and its check stand."""

import json
import shutil
import sqlite3
from pathlib import Path

import pytest

from app.cli import main
from app.homeowner import checking, export
from app.homeowner.commitments import public_form
from app.main import create_app
from app.settings import Settings
from app.store.records import Issued, revisions_of
from tests.demo.conftest import enter
from tests.homeowner.conftest import OPENING, accept


def test_erased_name_is_gone_and_the_record_stands(
    waiting: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "data"
    shutil.copytree(waiting, folder)
    app = create_app(Settings(folder))
    office = enter(app, "supervisor")
    accept(office)
    before = exported(app)
    page = office.get(f"/record/{OPENING}").text
    assert "Tobin Hale" in page
    assert "Orla Owner" in page  # as she typed it under her signature
    assert issued_text(folder).count("Orla Owner") == 1
    app.state.server.database.close()

    monkeypatch.setenv("SILLBOOK_DATA", str(folder))
    with sqlite3.connect(folder / "sillbook.db") as plain:
        login, job = (
            plain.execute("SELECT login FROM person WHERE id='tobin-hale'").fetchone()[0],
            "",
        )
        job = plain.execute("SELECT job FROM opening WHERE id=?", (OPENING,)).fetchone()[0]
        owner = plain.execute("SELECT homeowner FROM job WHERE id=?", (job,)).fetchone()[0]
    assert main(["erase", login]) == 0
    assert main(["erase", "job:" + job]) == 0
    assert main(["erase", "nobody"]) == 1
    assert main(["erase", "job:nothing"]) == 1
    with sqlite3.connect(folder / "sillbook.db") as plain:
        kept = "\n".join(plain.iterdump())
    assert "Tobin Hale" not in kept
    assert not owner or owner not in kept
    assert "Orla Owner" not in issued_text(folder)

    app = create_app(Settings(folder))
    page = enter(app, "supervisor").get(f"/record/{OPENING}").text
    assert "Tobin Hale" not in page
    assert "Orla Owner" not in page
    assert "a person no longer listed" in page
    after = exported(app)
    app.state.server.database.close()
    was, is_now = json.loads(before), json.loads(after)
    assert was["events"] == is_now["events"]  # an entry is never changed
    report = checking.check(after)
    assert report.faults == []
    assert report.digest == checking.check(before).digest
    assert public_form(was["snapshots"][0]) == public_form(is_now["snapshots"][0])


def issued_text(folder: Path) -> str:
    with sqlite3.connect(folder / "sillbook.db") as plain:
        return "\n".join(text for (text,) in plain.execute("SELECT text FROM issued"))


def test_a_name_of_ours_that_somebody_typed_is_erased_too(
    waiting: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Bo Builder, who is said to have decided something, is one of the company's people here."""
    folder = tmp_path / "data"
    shutil.copytree(waiting, folder)
    app = create_app(Settings(folder))
    accept(enter(app, "supervisor"))
    app.state.server.database.close()
    assert "Bo Builder" in issued_text(folder)
    with sqlite3.connect(folder / "sillbook.db") as plain:
        plain.execute("UPDATE person SET name = 'Bo Builder' WHERE id = 'tobin-hale'")
    monkeypatch.setenv("SILLBOOK_DATA", str(folder))
    assert main(["erase", "tobin-hale"]) == 0
    assert "Bo Builder" not in issued_text(folder)
    assert "Orla Owner" in issued_text(folder)


def exported(app: object) -> bytes:
    database = app.state.server.database  # type: ignore[attr-defined]
    with database.read() as session:
        row: Issued = revisions_of(session, OPENING)[-1]
        return export.make(session, row)
