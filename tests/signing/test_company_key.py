"""The life of the company's key: made, started with, copied, put back, rotated, lost."""

import stat
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.cli import main
from app.core.errors import AppError
from app.main import create_app
from app.settings import Settings
from app.signing.certificate import name_on, since_when
from app.signing.company_key import FILE, current_key, key_for_signing, rotate_key, signing_time
from app.signing.key import make_key, read_key, write_key
from app.store.company import name_company
from app.store.company_keys import company_keys
from app.store.database import Database
from app.store.migrate import migrate_database

SINCE = 1_780_000_000


@pytest.fixture
def database(store: Settings) -> Iterator[Database]:
    """An open database without any key, in SQLite and in PostgreSQL."""
    opened = Database(store.database, store.postgres)
    migrate_database(opened)
    yield opened
    opened.close()


def key_file(database: Database) -> Path:
    return database.path.parent / FILE


def test_first_key_is_made_when_it_is_needed_and_names_the_company(database: Database) -> None:
    with database.read() as session, pytest.raises(AppError) as missing:
        current_key(session)
    assert missing.value.code == "signing-key-missing"
    with database.write() as session:
        name_company(session, "Quillfen Door Setters", "")
        key = key_for_signing(session)
    assert name_on(key.certificate) == "Quillfen Door Setters"
    assert stat.S_IMODE(key_file(database).stat().st_mode) == 0o600
    with database.write() as session:
        assert key_for_signing(session).fingerprint == key.fingerprint
        assert [row.fingerprint for row in company_keys(session)] == [key.fingerprint]


@pytest.mark.control(31)
def test_no_table_holds_the_private_half(database: Database) -> None:
    with database.write() as session:
        key_for_signing(session)
        [row] = company_keys(session)
    assert "PRIVATE" not in row.certificate
    assert "PRIVATE" in key_file(database).read_text()


def test_keys_are_only_added(database: Database) -> None:
    from sqlalchemy import text
    from sqlalchemy.exc import DBAPIError

    with database.write() as session:
        key_for_signing(session)
    for statement in ("UPDATE company_key SET certificate = ''", "DELETE FROM company_key"):
        with pytest.raises(DBAPIError, match="append-only"), database.write() as session:
            session.connection().execute(text(statement))


def test_a_transaction_that_fails_leaves_a_key_that_is_taken_later(database: Database) -> None:
    class BrokenError(Exception):
        pass

    made = []

    def make_and_fail() -> None:
        with database.write() as session:
            made.append(key_for_signing(session).fingerprint)
            raise BrokenError

    with pytest.raises(BrokenError):
        make_and_fail()
    with database.write() as session:
        assert company_keys(session) == []
        assert [key_for_signing(session).fingerprint] == made


def test_rotated_key_signs_and_the_one_before_stays_listed(database: Database) -> None:
    with database.write() as session:
        first = key_for_signing(session)
        second = rotate_key(session)
        assert current_key(session).fingerprint == second.fingerprint != first.fingerprint
        listed = [row.fingerprint for row in company_keys(session)]
    assert listed == [first.fingerprint, second.fingerprint]


def test_no_signature_is_older_than_its_key() -> None:
    """A viewer of PDF asks whether the certificate held at the time that the signature names."""
    key = make_key("Quillfen Door Setters", SINCE)
    assert since_when(key.certificate) == SINCE
    assert signing_time(key, SINCE - 5) == SINCE
    assert signing_time(key, SINCE + 5) == SINCE + 5


def started(folder: Path) -> str:
    """Start and end a server; returns the fingerprint of its key."""
    app = create_app(Settings(folder))
    database = app.state.server.database
    try:
        with database.write() as session:
            return key_for_signing(session).fingerprint
    finally:
        database.close()


def test_a_server_does_not_start_without_its_key(tmp_path: Path) -> None:
    """Else it would sign with another, and nobody would know why nothing fits."""
    first = started(tmp_path)
    (tmp_path / FILE).rename(tmp_path / "elsewhere.pem")
    with pytest.raises(AppError) as refused:
        started(tmp_path)
    assert refused.value.code == "signing-key-missing"
    (tmp_path / "elsewhere.pem").rename(tmp_path / FILE)
    assert started(tmp_path) == first


def test_a_key_that_was_put_there_signs_from_now_on(tmp_path: Path) -> None:
    first = started(tmp_path)
    write_key(tmp_path / FILE, make_key("Quillfen Door Setters", SINCE))
    assert started(tmp_path) != first


@pytest.mark.control(31)
def test_a_replaced_key_does_not_come_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    started(tmp_path)
    old = (tmp_path / FILE).read_bytes()
    monkeypatch.setenv("SILLBOOK_DATA", str(tmp_path))
    assert main(["key", "rotate"]) == 0
    (tmp_path / FILE).write_bytes(old)
    with pytest.raises(AppError) as refused:
        started(tmp_path)
    assert refused.value.code == "signing-key-retired"


def test_lost_key_is_replaced_by_the_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("SILLBOOK_DATA", str(tmp_path))
    assert main(["key", "show"]) == 1
    assert "There is no signing key yet" in capsys.readouterr().err
    first = started(tmp_path)
    assert main(["key", "show"]) == 0
    assert first in capsys.readouterr().out
    (tmp_path / FILE).unlink()
    assert main(["key", "rotate"]) == 0
    said = capsys.readouterr().out
    second = started(tmp_path)
    assert second in said
    assert second != first
    assert "PRIVATE" not in said


@pytest.fixture
def command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of data that the command line works on."""
    monkeypatch.setenv("SILLBOOK_DATA", str(tmp_path / "data"))
    return tmp_path / "data"


@pytest.mark.control(31)
def test_a_copy_holds_the_key_and_an_empty_place_gets_it(
    command: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fingerprint = started(command)
    assert main(["backup", str(tmp_path / "copy")]) == 0
    assert "signing key as well" in capsys.readouterr().out
    assert stat.S_IMODE((tmp_path / "copy" / FILE).stat().st_mode) == 0o600
    (command / FILE).unlink()
    assert main(["restore", str(tmp_path / "copy")]) == 0
    assert "is the copy's" in capsys.readouterr().out
    assert started(command) == fingerprint


def test_a_newer_key_stays_when_an_older_copy_is_put_back(
    command: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It was made because the one before must not sign any more."""
    started(command)
    main(["backup", str(tmp_path / "copy")])
    main(["key", "rotate"])
    capsys.readouterr()
    found = read_key(command / FILE)
    assert found is not None
    assert main(["restore", str(tmp_path / "copy")]) == 0
    assert "stays" in capsys.readouterr().out
    assert started(command) == found.fingerprint


def test_a_newer_copy_replaces_the_key_that_it_knows_as_replaced(
    command: Path, tmp_path: Path
) -> None:
    started(command)
    old = (command / FILE).read_bytes()
    main(["key", "rotate"])
    main(["backup", str(tmp_path / "copy")])
    newer = started(command)
    (command / FILE).write_bytes(old)
    assert main(["restore", str(tmp_path / "copy")]) == 0
    assert started(command) == newer


def test_a_copy_from_before_there_were_keys_goes_back(command: Path, tmp_path: Path) -> None:
    create_app(Settings(command)).state.server.database.close()
    assert main(["backup", str(tmp_path / "copy")]) == 0
    assert not (tmp_path / "copy" / FILE).exists()
    fingerprint = started(command)
    assert main(["restore", str(tmp_path / "copy")]) == 0
    assert started(command) == fingerprint
