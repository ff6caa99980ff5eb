"""The server is killed in the middle of its work: a batch is there whole, or not at all."""

import os
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path
from threading import Timer

import httpx2 as httpx
import pytest

from app.main import create_app
from app.settings import Settings
from tests.browser.server import ROOT, Served
from tests.sync.client import Phone
from tests.sync.conftest import code_for, fill

ROUNDS = 6
BATCH = 40


def ids_in(data: Path) -> list[str]:
    with closing(sqlite3.connect(data / "sillbook.db")) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        return [row[0] for row in connection.execute("SELECT id FROM event ORDER BY seq")]


@pytest.fixture
def data(tmp_path: Path) -> Path:
    app = create_app(Settings(tmp_path))
    fill(app.state.server.database)
    app.state.code = code_for(app.state.server.database, "inga", time.time())
    (tmp_path / "code").write_text(app.state.code)
    app.state.server.database.close()
    return tmp_path


def test_killed_in_mid_transaction_a_batch_is_all_or_nothing(data: Path) -> None:
    """SIGKILL a little later in each round; then the phone sends the same again."""
    served = Served(data)
    phone = Phone(httpx.Client(base_url=served.address, timeout=60), served.address)
    try:
        phone.pair((data / "code").read_text())
        phone.pull()
        acknowledged: set[str] = set()
        cut = 0
        for turn in range(ROUNDS):
            batch = [phone.tick("op-1") for _ in range(BATCH)]
            timer = Timer(0.01 + 0.03 * turn, served.stop, [signal.SIGKILL])
            timer.start()
            try:
                answer = phone.post(phone.batch(batch))
                acknowledged |= {r["id"] for r in answer["receipts"] if r["state"] == "stored"}
            except httpx.HTTPError:
                cut += 1
            timer.join()
            here = set(ids_in(data))
            assert {e["id"] for e in batch} & here in (set(), {e["id"] for e in batch})
            assert acknowledged <= here
            served = Served(data)
            phone.http = httpx.Client(base_url=served.address, timeout=60)
            phone.origin = served.address
            phone.push()
            assert phone.outbox == []
        assert cut, "no batch was cut: the test showed nothing"
    finally:
        served.stop(signal.SIGKILL)
    here = ids_in(data)
    mine = [e["id"] for e in phone.events("op-1") if e["device"] == phone.device]
    assert [id for id in here if id in mine] == mine
    assert len(mine) == ROUNDS * BATCH


def test_killed_between_the_rows_of_a_batch(data: Path) -> None:
    """The process dies by its own hand after the third row, for certain in the transaction."""
    app = create_app(Settings(data))
    database = app.state.server.database
    before = ids_in(data)
    database.close()
    dying = subprocess.run(
        [sys.executable, "-c", DIES, str(data)], cwd=ROOT, env={**os.environ}, check=False
    )
    assert dying.returncode == -signal.SIGKILL
    assert ids_in(data) == before


DIES = """
import os, signal, sys
from pathlib import Path
from starlette.testclient import TestClient
from app.main import create_app
from app.settings import Settings
from app.store import log
from tests.sync.client import Phone
app = create_app(Settings(Path(sys.argv[1])))
phone = Phone(TestClient(app))
phone.pair((Path(sys.argv[1]) / "code").read_text())
phone.pull()
made = [phone.tick("op-1") for _ in range(5)]
keep, rows = log.keep_event, []
def keep_and_die(*args, **more):
    keep(*args, **more)
    rows.append(1)
    if len(rows) == 3:
        os.kill(os.getpid(), signal.SIGKILL)
log.keep_event = keep_and_die
phone.push()
"""
