"""`sillbook serve --workers`: several processes behind one address, on PostgreSQL."""

import os
import signal
import subprocess
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import httpx2 as httpx
import pytest

from app import cli
from app.main import create_app
from app.settings import Settings
from app.sync.check import all_faults
from tests.browser.server import command, environment, told_address
from tests.store.both import postgres_address, postgres_server, postgres_store, with_tables
from tests.sync.client import Phone
from tests.sync.conftest import code_for, fill
from tests.tooling.sources import ROOT

__all__ = ["postgres_address", "postgres_server", "postgres_store", "with_tables"]
PATIENCE = 120


def test_several_processes_on_sqlite_are_refused_in_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("SILLBOOK_DATA", str(tmp_path))
    monkeypatch.setenv("SILLBOOK_DATABASE", "")
    assert cli.main(["serve", "--workers", "2", "--port", "0"]) == 1
    assert "SQLite is for one process" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


@pytest.fixture
def code(postgres_store: Settings) -> str:
    database = create_app(postgres_store).state.server.database
    fill(database)
    made = code_for(database, "inga", time.time())
    database.close()
    return made


@pytest.fixture
def serving(
    postgres_store: Settings, code: str, monkeypatch: pytest.MonkeyPatch
) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """The command with two workers, and its address."""
    monkeypatch.setenv("SILLBOOK_DATABASE", postgres_store.postgres)
    process = subprocess.Popen(
        command("serve", "--port", "0", "--workers", "2"), cwd=ROOT,
        env=environment(postgres_store.data), stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL, text=True, start_new_session=True,
    )  # fmt: skip
    try:
        yield process, told_address(process, postgres_store.data / "complaints.txt")
    finally:
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
        process.wait(PATIENCE)
        assert process.stdout
        process.stdout.close()


def listening(parent: int) -> set[int]:
    """Return the processes below one that hold its listening socket and serve (Linux, proc(5))."""
    below = Path(f"/proc/{parent}/task/{parent}/children").read_text().split()
    lines = {int(pid): Path(f"/proc/{pid}/cmdline").read_bytes() for pid in below}
    return {pid for pid, line in lines.items() if b"spawn_main" in line}


def answers(address: str) -> None:
    late = time.monotonic() + PATIENCE
    while True:
        try:
            with urllib.request.urlopen(address + "/health", timeout=PATIENCE) as answer:
                assert answer.read() == b"ok"
                return
        except OSError:
            assert time.monotonic() < late
            time.sleep(0.2)


def test_two_processes_serve_and_one_that_dies_is_replaced(
    postgres_store: Settings, code: str, serving: tuple[subprocess.Popen[str], str]
) -> None:
    process, address = serving
    answers(address)
    first = listening(process.pid)
    assert len(first) == 2
    phone = Phone(httpx.Client(base_url=address, timeout=PATIENCE), address)
    phone.pair(code)
    phone.pull()
    made = [phone.tick("op-1")["id"] for _ in range(3)]
    assert [r["state"] for r in phone.push()] == ["stored"] * 3
    os.kill(min(first), signal.SIGKILL)
    late = time.monotonic() + PATIENCE
    while len(listening(process.pid) - {min(first)}) < 2:
        assert time.monotonic() < late
        time.sleep(0.2)
    answers(address)
    fresh = Phone(httpx.Client(base_url=address, timeout=PATIENCE), address)
    fresh.device, fresh.token, fresh.key = phone.device, phone.token, phone.key
    fresh.pull()
    assert set(made) <= {event["id"] for event in fresh.events("op-1")}
    process.send_signal(signal.SIGTERM)
    assert process.wait(PATIENCE) == 0
    database = create_app(postgres_store).state.server.database  # nobody has it any more
    with database.read() as session:
        assert list(all_faults(session, database.photos)) == []
    database.close()
