"""The doctor, the details of /health, figures for Prometheus, lines of the log."""

import json
import logging
import shutil
import urllib.request
from collections.abc import Callable
from pathlib import Path

import pytest
from prometheus_client.parser import text_string_to_metric_families
from sqlalchemy import make_url

from app import cli
from app.core.errors import InputError
from app.main import create_app
from app.running import condition
from app.running.condition import BAD, GOOD, LOOK
from app.running.logs import JsonLines
from app.running.metrics import ServerFigures
from app.settings import SETTINGS, Settings, from_environment
from app.store.postgres import make_engine
from tests.access.conftest import browser_of, person, sign_in
from tests.store.both import postgres_server, postgres_store, with_tables

__all__ = ["postgres_server", "postgres_store", "with_tables"]  # fixtures

NOW = 1_800_000_000.0


def states(settings: Settings, now: float = NOW, thorough: bool = False) -> dict[str, str]:
    return {one.name: one.state for one in condition.look_at(settings, now, thorough)}


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    made = Settings(tmp_path / "data", "https://book.example.org")
    create_app(made).state.server.database.close()
    condition.note_backup(made.data, tmp_path, NOW - 3600)
    return made


def test_a_sound_sillbook_needs_no_mending(settings: Settings) -> None:
    found = condition.look_at(settings, NOW, thorough=True)
    assert {one.name for one in found if one.state != GOOD} <= {"sqlite", "disk"}
    assert all(bool(one.mend) == (one.state != GOOD) for one in found)


def spoil(settings: Settings) -> None:
    size = settings.database.stat().st_size
    with settings.database.open("r+b") as file:
        file.seek(size // 2)
        file.write(b"\xa5" * 8192)


@pytest.mark.parametrize(
    ("harm", "name", "state", "now"),
    [
        (lambda s: s.database.write_bytes(b"no database" * 1000), "database", BAD, NOW),
        (spoil, "database", BAD, NOW),
        (lambda s: shutil.rmtree(s.data), "database", LOOK, NOW),
        (lambda s: s.database.chmod(0o644), "files", LOOK, NOW),
        (lambda s: (s.data / condition.LAST_BACKUP).unlink(), "backup", LOOK, NOW),
        (lambda s: (s.data / condition.LAST_BACKUP).write_text("{"), "backup", LOOK, NOW),
        (lambda _: None, "backup", LOOK, NOW + 3 * condition.DAY),
        (lambda _: None, "clock", BAD, 1.0),
        (lambda _: None, "clock", BAD, 4_102_444_800.0),  # 2100
    ],
)
def test_what_is_wrong_is_found_and_its_mending_said(
    settings: Settings, harm: Callable[[Settings], None], name: str, state: str, now: float
) -> None:
    harm(settings)
    found = {one.name: one for one in condition.look_at(settings, now, thorough=True)}
    assert found[name].state == state
    assert found[name].mend


@pytest.mark.control(29)
def test_a_log_of_postgresql_that_would_show_secrets_is_said(postgres_store: Settings) -> None:
    """PostgreSQL's manual, 20.8: by default it logs no statement, and of errors no parameter."""

    def state() -> str:
        return condition.postgres_log(postgres_store.postgres).state

    name = make_url(postgres_store.postgres).database
    engine = make_engine(postgres_store.postgres).execution_options(isolation_level="AUTOCOMMIT")
    assert state() == GOOD
    for setting, then in (
        ("log_statement = 'mod'", LOOK),
        ("log_parameter_max_length = 0", GOOD),
        ("log_parameter_max_length_on_error = 99", LOOK),
        ("log_parameter_max_length_on_error = 0", GOOD),
    ):
        with engine.connect() as connection:
            connection.exec_driver_sql(f'ALTER DATABASE "{name}" SET {setting}')
        assert state() == then, setting
    engine.dispose()
    assert "postgres-log" in states(postgres_store)


@pytest.mark.parametrize(("free", "state"), [(10**8, BAD), (10**9, LOOK), (10**10, GOOD)])
def test_room_on_the_disk(
    settings: Settings, monkeypatch: pytest.MonkeyPatch, free: int, state: str
) -> None:
    usage = type("Usage", (), {"free": free})
    monkeypatch.setattr("app.running.condition.shutil.disk_usage", lambda _: usage)
    assert states(settings)["disk"] == state


def test_a_database_that_does_not_answer(tmp_path: Path) -> None:
    nowhere = Settings(tmp_path, postgres=f"postgresql://nobody@/none?host={tmp_path}")
    found = condition.look_at(nowhere, NOW)[0]
    assert (found.name, found.state) == ("database", BAD)
    assert "start PostgreSQL" in found.mend


def test_the_doctor_s_status_says_whether_something_is_bad(
    settings: Settings, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("SILLBOOK_DATA", str(settings.data))
    monkeypatch.setenv("SILLBOOK_ADDRESS", settings.address)
    assert cli.main(["doctor", "--full"]) == 0
    app = create_app(settings)  # also while Sillbook runs: nothing is locked
    assert cli.main(["doctor"]) == 0
    app.state.server.database.close()
    settings.database.write_bytes(b"no database" * 1000)
    with pytest.raises(SystemExit) as ended:
        cli.main(["doctor"])
    assert ended.value.code == 1
    assert "mend it: stop Sillbook and put a copy back" in capsys.readouterr().out


@pytest.mark.control(37)
def test_details_are_an_administrator_s(settings: Settings) -> None:
    app = create_app(settings, clock=lambda: NOW)
    with app.state.server.database.write() as session:
        session.add(person("ada", "administrator"))
    browser = browser_of(app)
    asked = {"Accept": "application/json"}
    assert browser.get("/health/details", headers=asked).status_code == 401
    assert browser.get("/health").text == "ok"
    sign_in(browser, "ada")
    told = browser.get("/health/details", headers=asked).json()
    assert {"database", "disk", "backup", "clock", "files"} <= {one["name"] for one in told}
    app.state.server.database.close()


@pytest.mark.control(37)
def test_figures_are_on_a_port_of_their_own_and_name_nobody(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Read by the parser of Prometheus' own library."""
    app = create_app(settings, clock=lambda: NOW)
    figures = app.state.figures = ServerFigures(app.state.server.database)
    served: list[object] = []
    start = "app.running.metrics.start_http_server"
    real = __import__("prometheus_client").start_http_server
    monkeypatch.setattr(start, lambda *given: served.append(real(*given)))
    figures.serve("127.0.0.1:0")
    server, thread = served[0]  # type: ignore[misc]
    try:
        browser = browser_of(app)
        for path in ("/mine/a-secret-link", "/health", "/health", "/nowhere/at-all"):
            browser.get(path)
        assert browser.get("/metrics").status_code == 404
        place = f"http://127.0.0.1:{server.server_port}/metrics"
        with urllib.request.urlopen(place, timeout=30) as answer:
            text = answer.read().decode()
    finally:
        server.shutdown()
        server.server_close()
        thread.join(10)
        app.state.server.database.close()
    found = {
        (sample.name, sample.labels.get("route", ""), sample.labels.get("status", "")): sample.value
        for family in text_string_to_metric_families(text)
        for sample in family.samples
    }
    assert found["sillbook_answers_total", "/health", "200"] == 2
    assert found["sillbook_answers_total", "/mine/{token}", "404"] == 1
    assert found["sillbook_up", "", ""] == 1
    assert found["sillbook_last_backup_seconds", "", ""] == NOW - 3600
    assert "a-secret-link" not in text
    assert "at-all" not in text


@pytest.mark.control(37)
@pytest.mark.parametrize(
    "place",
    [
        "0.0.0.0:0",
        ":0",
        "[::]:0",
        "8.8.8.8:0",
        "[2001:4860:4860::8888]:0",
        "100.64.0.1:0",
        "[::ffff:8.8.8.8]:0",
        "[::ffff:0.0.0.0]:0",
    ],
)
def test_figures_are_served_at_no_public_address(settings: Settings, place: str) -> None:
    """0.0.0.0 and :: are all addresses (RFC 1122 3.2.1.3, RFC 4291 2.5.2); the shared space of
    carriers is no private network (RFC 6598)."""
    app = create_app(settings, clock=lambda: NOW)
    try:
        with pytest.raises(InputError) as refused:
            ServerFigures(app.state.server.database).serve(place)
        assert refused.value.code == "metrics-public"
    finally:
        app.state.server.database.close()


@pytest.mark.parametrize("host", ["127.0.0.1", "[::1]", "10.0.0.5", "192.168.7.1", "[fd00::1]"])
def test_figures_may_be_served_in_a_private_network(
    settings: Settings, host: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Source: RFC 1918, RFC 4193."""
    served: list[str] = []
    monkeypatch.setattr(
        "app.running.metrics.start_http_server", lambda _port, host, _all: served.append(host)
    )
    app = create_app(settings, clock=lambda: NOW)
    ServerFigures(app.state.server.database).serve(host + ":9464")
    app.state.server.database.close()
    assert served == [host.strip("[]")]


@pytest.mark.control(29)
def test_a_line_of_the_log_is_one_object_whatever_is_said() -> None:
    try:
        raise ZeroDivisionError("at the\nend")
    except ZeroDivisionError as error:
        caught = (type(error), error, error.__traceback__)
    said = ('a\n{"at": 1}\x1b\u202e',)
    record = logging.LogRecord("sillbook.access", logging.WARNING, "x.py", 1, "of %s", said, caught)
    line = JsonLines().format(record)
    assert "\n" not in line
    assert line.isascii()
    told = json.loads(line)
    assert told["says"] == 'of a\n{"at": 1}\x1b\u202e'
    assert (told["level"], told["name"]) == ("warning", "sillbook.access")
    assert told["error"].endswith("ZeroDivisionError: at the\nend")


def test_settings_are_told_without_their_passwords(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("SILLBOOK_DATABASE", "postgresql://name:s3cret/and@more@host/db")
    monkeypatch.setenv("SILLBOOK_METRICS", "127.0.0.1:9464")
    assert from_environment().metrics == "127.0.0.1:9464"
    assert cli.main(["settings"]) == 0
    said = capsys.readouterr().out
    assert all(one.name in said and one.words in said for one in SETTINGS)
    assert "s3cret" not in said
    assert "more@" not in said
    assert "SILLBOOK_DATABASE=postgresql://name:…@host/db" in said


def test_every_setting_is_told_of() -> None:
    """Whatever the program reads of the environment stands in the list."""
    import re

    from tests.tooling.sources import ROOT

    known = {one.name for one in SETTINGS}
    for path in (ROOT / "app").rglob("*.py"):
        assert set(re.findall(r"\bSILLBOOK_[A-Z]+", path.read_text("utf-8"))) <= known, path
