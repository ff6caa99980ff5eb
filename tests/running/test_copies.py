"""Copies: read back before they have their name, kept in turn, encrypted; cut ones are refused."""

import hashlib
import json
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pyrage
import pytest

from app import cli
from app.core.errors import RefusedError
from app.main import create_app
from app.settings import Settings
from app.store import backup
from app.store.photos import keep_photo, path_of
from app.store.tables import Photo
from app.store.whole import must_be_whole
from tests.store.conftest import fill
from tests.store.events import tick
from tests.tooling.sources import ROOT

PHOTO = b"not looked into here"
NAME = hashlib.sha256(PHOTO).hexdigest()


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """The data of a Sillbook that is stopped, with an entry and a photo."""
    from app.store import log

    folder = tmp_path / "data"
    database = create_app(Settings(folder)).state.server.database
    fill(database)
    keep_photo(folder / "photos", NAME, PHOTO)
    with database.write() as session:
        log.append_events(session, [tick([])])
        session.add(
            Photo(sha256=NAME, size=len(PHOTO), width=1, height=1, received_at="2026-03-02")
        )
    database.close()
    return folder


@pytest.fixture
def command(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SILLBOOK_DATA", str(data))
    monkeypatch.delenv("SILLBOOK_DATABASE", raising=False)


def entries(database: Path) -> list[tuple[str, str]]:
    with sqlite3.connect(database) as plain:
        return plain.execute("SELECT id, body FROM event ORDER BY seq").fetchall()


def test_a_copy_that_is_not_what_was_copied_gets_no_name(
    data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that loses what it was given: the copy is read back from it."""

    def loses(folder: Path, sha256: str, data: bytes) -> None:
        keep_photo(folder, sha256, data[:-1])

    with monkeypatch.context() as patch:
        patch.setattr("app.store.photos.keep_photo", loses)
        with pytest.raises(RefusedError) as refused:
            backup.back_up(data, tmp_path / "copy")
    assert refused.value.code == "backup-failed"
    assert not list(tmp_path.glob("copy*"))
    assert backup.back_up(data, tmp_path / "copy") == []


def test_a_photo_that_was_lost_before_is_told_and_hinders_no_copy(
    data: Path, tmp_path: Path
) -> None:
    path_of(data / "photos", NAME).unlink()
    assert backup.back_up(data, tmp_path / "copy") == [NAME]


@pytest.mark.control(38)
@pytest.mark.parametrize("damage", ["gone", "cut"])
def test_a_copy_that_lacks_photos_is_refused_and_touches_nothing(
    data: Path, tmp_path: Path, damage: str
) -> None:
    """As where its transfer was cut off: the tables are whole, and know the photo."""
    copy = tmp_path / "copy"
    backup.back_up(data, copy)
    photo = path_of(copy / "photos", NAME)
    photo.unlink() if damage == "gone" else photo.write_bytes(PHOTO[:5])
    other = tmp_path / "other"
    with pytest.raises(RefusedError) as refused:
        backup.restore_copy(other, copy)
    assert refused.value.code == "backup-damaged"
    assert not (other / "sillbook.db").exists()
    backup.restore_copy(data, copy)  # here it still is
    backup.restore_copy(other, copy, without_photos=True)
    assert entries(other / "sillbook.db") == entries(data / "sillbook.db")


@pytest.mark.control(38)
def test_a_copy_with_an_altered_entry_is_refused(data: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    backup.back_up(data, copy)
    with sqlite3.connect(copy / "sillbook.db") as plain:
        plain.execute("DROP TRIGGER IF EXISTS event_no_update")
        for (name,) in plain.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'"):
            plain.execute(f"DROP TRIGGER {name}")
        plain.execute("UPDATE event SET body = replace(body, 'A', 'B')")
    with pytest.raises(RefusedError) as refused:
        backup.restore_copy(tmp_path / "other", copy)
    assert refused.value.code == "backup-damaged"


@pytest.mark.control(38)
def test_pages_overwritten_in_mid_file_are_noticed_at_the_start(data: Path) -> None:
    """SQLite's own check (pragma quick_check, its documentation)."""
    file = data / "sillbook.db"
    must_be_whole(file)
    whole = file.read_bytes()
    size = len(whole)
    file.write_bytes(whole[: size // 3] + b"\xa5" * 8192 + whole[size // 3 + 8192 :])
    with pytest.raises(RefusedError) as refused:
        create_app(Settings(data))
    assert refused.value.code == "database-damaged"
    file.write_bytes(whole)
    create_app(Settings(data)).state.server.database.close()


def test_the_newest_are_kept_and_nothing_else_is_touched(
    command: None, data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copies = tmp_path / "copies"
    (copies / "holiday").mkdir(parents=True)
    for day in range(5):
        monkeypatch.setattr("app.cli.time.time", lambda day=day: 1_800_000_000 + day * 86400)
        assert cli.main(["backup", str(copies), "--keep", "3"]) == 0
    found = sorted(path.name for path in copies.iterdir())
    assert found == ["holiday", *[f"sillbook-202701{day}T080000Z" for day in (17, 18, 19)]]
    assert (copies / found[-1] / "sillbook.db").stat().st_mode & 0o077 == 0
    assert json.loads((data / "last-backup.json").read_text())["at"] == 1_800_000_000 + 4 * 86400


def test_an_encrypted_copy_is_opened_by_its_key_alone(
    command: None,
    data: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The format is age's: what is made here another program of that format opens."""
    key, other = pyrage.x25519.Identity.generate(), pyrage.x25519.Identity.generate()
    for name, secret in (("key", key), ("other", other)):
        (tmp_path / name).write_text(f"# made for this test\n{secret}\n")
    copy = tmp_path / "copy"
    assert cli.main(["backup", str(copy), "--encrypt-to", str(key.to_public())]) == 0
    sealed = tmp_path / "copy.tar.age"
    assert [path.name for path in tmp_path.glob("copy*")] == ["copy.tar.age"]
    assert sealed.read_bytes().startswith(b"age-encryption.org/v1\n")
    assert sealed.stat().st_mode & 0o077 == 0
    before = entries(data / "sillbook.db")
    assert b"Hill house" not in sealed.read_bytes()
    monkeypatch.setenv("SILLBOOK_DATA", str(tmp_path / "new"))
    assert cli.main(["restore", str(sealed), "--identity", str(tmp_path / "other")]) == 1
    assert "does not open this copy" in capsys.readouterr().err
    assert cli.main(["restore", str(sealed), "--identity", str(tmp_path / "key")]) == 0
    assert entries(tmp_path / "new" / "sillbook.db") == before
    assert path_of(tmp_path / "new" / "photos", NAME).read_bytes() == PHOTO
    assert cli.main(["backup", str(copy), "--encrypt-to", "age1nonsense"]) == 1
    assert not list(tmp_path.glob("copy.part"))


def test_a_copy_is_made_while_sillbook_writes(data: Path, tmp_path: Path) -> None:
    """By a process of its own, as a timer starts it."""
    app = create_app(Settings(data))
    done = subprocess.run(
        [sys.executable, "-m", "app.cli", "backup", str(tmp_path / "copy")],
        cwd=ROOT, env={**os.environ, "SILLBOOK_DATA": str(data)}, check=False, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0
    app.state.server.database.close()
    assert entries(tmp_path / "copy" / "sillbook.db") == entries(data / "sillbook.db")
