"""A person's name is erased; the log, the record's digest and its check stand."""

import shutil
import sqlite3
from pathlib import Path

import pytest

from app.cli import main
from app.homeowner import checking, export
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
    assert "Tobin Hale" in office.get(f"/record/{OPENING}").text
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

    app = create_app(Settings(folder))
    page = enter(app, "supervisor").get(f"/record/{OPENING}").text
    assert "Tobin Hale" not in page
    assert "a person no longer listed" in page
    after = exported(app)
    app.state.server.database.close()
    assert after == before
    assert checking.check(after).faults == []


def exported(app: object) -> bytes:
    database = app.state.server.database  # type: ignore[attr-defined]
    with database.read() as session:
        row: Issued = revisions_of(session, OPENING)[-1]
        return export.make(session, row)
