"""Two real servers on one PostgreSQL: phones write through both, one is killed, nothing is lost."""

import signal
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from threading import Event as Signal
from threading import Thread
from typing import Any

import httpx2 as httpx
import pytest
from sqlmodel import select

from app.main import create_app
from app.settings import Settings
from app.store.tables import Event
from app.sync.check import all_faults
from tests.access.conftest import HASH, OURS, PASSWORD
from tests.browser.server import Served
from tests.sync.client import Phone
from tests.sync.conftest import code_for, fill

ROUNDS = 12
PATIENCE = 60


@pytest.fixture
def codes(postgres_store: Settings) -> list[str]:
    """Pairing codes for Inga, Otto and Sven; all may sign in."""
    app = create_app(postgres_store)
    database = app.state.server.database
    fill(database)
    with database.write() as session:
        session.connection().exec_driver_sql(f"UPDATE person SET password = '{HASH}'")
    made = [code_for(database, name, time.time()) for name in ("inga", "otto", "sven")]
    database.close()
    return made


@pytest.fixture
def servers(
    postgres_store: Settings, codes: list[str], monkeypatch: pytest.MonkeyPatch
) -> Iterator[list[Served]]:
    monkeypatch.setenv("SILLBOOK_DATABASE", postgres_store.postgres)
    started: list[Served] = []
    try:
        started.append(Served(postgres_store.data))
        started.append(Served(postgres_store.data))
        yield started
    finally:
        for one in started:
            one.stop()


class Roaming:
    """A client that asks another server each time, as a proxy would have it; a dead one no more."""

    def __init__(self, servers: list[Served], turn: int) -> None:
        self._addresses = [server.address for server in servers]
        self._clients = [httpx.Client(base_url=at, timeout=PATIENCE) for at in self._addresses]
        self._turn = turn

    def request(
        self, method: str, url: str, headers: dict[str, str], **more: Any
    ) -> httpx.Response:
        for _ in range(2 * len(self._clients)):
            self._turn += 1
            at = self._turn % len(self._clients)
            sent = {**headers, "Origin": self._addresses[at]}
            try:
                return self._clients[at].request(method, url, headers=sent, **more)
            except httpx.TransportError:
                continue
        raise AssertionError("no server answers")


def crew_works(phone: Phone, openings: list[str], stored: set[str], half: Signal) -> None:
    """Write and send, in turn at each opening; keep what had its receipt."""
    for turn in range(ROUNDS):
        for opening in openings:
            phone.tick(opening, done=bool(turn % 2))
        stored |= {r["id"] for r in phone.push() if r["state"] in ("stored", "already")}
        phone.pull()
        if turn == ROUNDS // 2:
            half.set()


def test_two_servers_three_phones_and_a_kill(
    postgres_store: Settings, servers: list[Served], codes: list[str]
) -> None:
    """Three phones write to one opening and to others, each through both servers."""
    phones = [Phone(Roaming(servers, turn), servers[0].address) for turn in range(3)]
    for phone, code in zip(phones, codes, strict=True):
        phone.pair(code)
        phone.pull()
    stored: list[set[str]] = [set(), set(), set()]
    halves = [Signal() for _ in phones]
    work = [["op-1", "op-2"], ["op-1", "op-3"], ["op-1"]]
    with ThreadPoolExecutor(3) as pool:
        done = [
            pool.submit(crew_works, *each)
            for each in zip(phones, work, stored, halves, strict=True)
        ]
        assert all(half.wait(PATIENCE) for half in halves)
        servers[1].stop(signal.SIGKILL)
        for one in done:
            one.result(PATIENCE)
    for phone in phones:
        phone.push()
        phone.pull()
        assert phone.outbox == []
    servers[0].stop()
    database = create_app(postgres_store).state.server.database
    try:
        with database.read() as session:
            kept = session.exec(select(Event.id).where(Event.kind == "task.ticked")).all()
            faults = list(all_faults(session, database.photos))
        assert len(kept) == len(set(kept)) == ROUNDS * 5
        assert set().union(*stored) <= set(kept)
        assert faults == []
        assert {e["id"] for e in phones[0].events("op-1")} == {
            e["id"] for e in phones[1].events("op-1")
        }
    finally:
        database.close()


def test_a_live_page_of_one_server_hears_what_another_kept(
    servers: list[Served], codes: list[str]
) -> None:
    phone = Phone(httpx.Client(base_url=servers[0].address, timeout=PATIENCE), servers[0].address)
    phone.pair(codes[0])
    phone.pull()
    office = httpx.Client(base_url=servers[1].address, timeout=PATIENCE, headers=OURS)
    assert office.post("/sign-in", data={"name": "sven", "password": PASSWORD}).status_code == 303
    listens, ticks, heard = Signal(), Signal(), Signal()

    def listen() -> None:
        with office.stream("GET", "/office/changes") as answer:
            for line in answer.iter_lines():
                listens.set()
                if line == "event: changed" and ticks.is_set():
                    heard.set()
                    return

    thread = Thread(target=listen, daemon=True)
    thread.start()
    assert listens.wait(PATIENCE)
    time.sleep(2.5)  # what came before it listened is told by now
    ticks.set()
    phone.tick("op-1")
    phone.push()
    assert heard.wait(10)
