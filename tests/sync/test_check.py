"""What was altered behind the program's back is said: at the start, by the check, once a day."""

import hashlib
import json
import logging
import sqlite3
from collections.abc import Callable
from pathlib import Path
from threading import Event as Signal

import pytest
from fastapi import FastAPI
from sqlalchemy.exc import OperationalError
from sqlmodel import select

from app import cli
from app.core.record.canonical import canonical_bytes
from app.main import create_app
from app.settings import Settings
from app.store.database import Database
from app.store.tables import Head
from app.sync.check import DailyCheck, all_faults, newest_faults
from tests.sync.client import Phone
from tests.sync.test_photos import name, picture

pytestmark = pytest.mark.sqlite


@pytest.fixture
def worked(phone: Phone) -> Phone:
    """A phone with three entries at the office, one of them a photo."""
    phone.tick("op-1")
    data = picture()
    body = {"step": "A", "task": "seen", "sha256": name(data), "size": len(data), "width": 4,
            "height": 3}  # fmt: skip
    phone.write("op-1", "photo.taken", body)
    phone.tick("op-1", done=False)
    phone.push()
    phone.put_photo(data)
    return phone


def faults(database: Database) -> list[str]:
    with database.read() as session:
        return list(all_faults(session, database.photos))


def alter(database: Database, statement: str, *values: object) -> None:
    """Do what only somebody at the database can: its triggers are taken away first."""
    plain = sqlite3.connect(database.path)
    found = "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'event'"
    for (trigger,) in plain.execute(found).fetchall():
        plain.execute(f"DROP TRIGGER {trigger}")
    plain.execute(statement, values)
    plain.commit()
    plain.close()


def test_what_is_whole_is_called_whole(worked: Phone, database: Database) -> None:
    assert faults(database) == []
    with database.read() as session:
        assert newest_faults(session) == []
        head = session.exec(select(Head)).one()
    assert (head.device, head.opening, head.n) == (worked.device, "op-1", 3)


def rewrite_body(database: Database, phone: Phone) -> str:
    body = json.dumps({**phone.events("op-1")[1], "person": "otto"})
    alter(database, "UPDATE event SET body = ? WHERE n = 1 AND device = ?", body, phone.device)
    return "not what its hash was made of"


def rewrite_last_whole(database: Database, phone: Phone) -> str:
    """With its hash made anew: only the head that the phone signed tells."""
    last = {**phone.events("op-1")[-1], "person": "otto"}
    body = canonical_bytes(last).decode()
    hash_ = hashlib.sha256(body.encode()).hexdigest()
    alter(database, "UPDATE event SET body = ?, hash = ? WHERE id = ?", body, hash_, last["id"])
    return "not the one that its phone signed"


def take_one_away(database: Database, phone: Phone) -> str:
    alter(database, "DELETE FROM photo_of")
    alter(database, "DELETE FROM event WHERE n = 2 AND device = ?", phone.device)
    return "missing or another"


def forge_head(database: Database, _: Phone) -> str:
    alter(database, "UPDATE head SET signature = ?", "A" * 86)
    return "its signature is not its phone's"


def alter_column(database: Database, _: Phone) -> str:
    alter(database, "UPDATE event SET kind = 'x' WHERE n = 3")
    return "its kind is not as it says"


def alter_summary(database: Database, _: Phone) -> str:
    alter(database, "UPDATE summary SET outs = 7 WHERE opening = 'op-1'")
    return "its summary is not what its entries give"


def alter_photo(database: Database, _: Phone) -> str:
    next((database.path.parent / "photos").rglob("*.jpg")).write_bytes(b"other")
    return "not what it is named by"


def lose_photo(database: Database, _: Phone) -> str:
    next((database.path.parent / "photos").rglob("*.jpg")).unlink()
    return "its file is missing"


ALTERED = [rewrite_body, rewrite_last_whole, take_one_away, forge_head, alter_column,
           alter_summary, alter_photo, lose_photo]  # fmt: skip


@pytest.mark.control(38)
@pytest.mark.parametrize("act", ALTERED)
def test_what_was_altered_is_said(
    worked: Phone, database: Database, act: Callable[[Database, Phone], str]
) -> None:
    words = act(database, worked)
    assert [fault for fault in faults(database) if words in fault]
    daily = DailyCheck(database)
    daily.look()
    assert daily.faults


def test_the_daily_look_goes_on_after_the_database_was_away(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    daily, looks, enough = DailyCheck(database, seconds=0.01), [], Signal()

    def look() -> None:
        looks.append(True)
        if len(looks) == 1:
            raise OperationalError("", None, Exception("the database does not answer"))
        enough.set()

    monkeypatch.setattr(daily, "look", look)
    daily.start()
    goes_on = enough.wait(10)
    daily.stop()
    assert goes_on


@pytest.mark.control(38)
def test_a_body_that_was_rewritten_is_said_at_the_start_and_by_the_command(
    worked: Phone, database: Database, app: FastAPI, tmp_path: Path,
    caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    monkeypatch.setenv("SILLBOOK_DATA", str(tmp_path))
    assert cli.main(["doctor", "--full"]) == 0  # while the server runs
    rewrite_body(database, worked)
    with pytest.raises(SystemExit) as ended:
        cli.main(["doctor", "--full"])
    assert ended.value.code == 1
    assert "not what its hash was made of" in capsys.readouterr().out
    database.close()
    with caplog.at_level(logging.ERROR, "sillbook"):
        again = create_app(Settings(tmp_path))
    again.state.server.database.close()
    assert [line for line in caplog.messages if "not what its hash was made of" in line]
