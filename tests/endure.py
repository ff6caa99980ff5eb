"""What a server endures: `python -m tests.endure kills 1000`, `python -m tests.endure soak`.

kills: a phone sends while the server is killed (SIGKILL), again and again. Each batch must be there
whole or not at all, and whatever had its receipt must be there. It ends at the first loss.

soak: so many phones write for so long while the office looks at its board. At the end all must be
here, every phone must hold the same, and nothing may be wrong with what is kept. Times, memory,
lines of complaint, and who had the processor are printed: the phones' own work, all in one
process, is in the times.
"""

import argparse
import os
import random
import shutil
import signal
import sqlite3
import sys
import tempfile
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from threading import Timer

import httpx2 as httpx
from fastapi.testclient import TestClient

from app.main import create_app
from app.settings import Settings
from app.store.database import Database
from app.sync.check import all_faults
from tests.access.conftest import HASH, PASSWORD
from tests.browser.server import Served
from tests.sync.client import Phone
from tests.sync.conftest import code_for, fill

OPENINGS = 25  # so that no chain comes to its end, and no door has more entries than real ones
PATIENCE = 120.0
LATEST_KILL = 0.6  # seconds after a batch was begun


class LossError(Exception):
    """Something is not as it must be; the text says what."""


def prepared(data: Path, phones: int) -> list[Phone]:
    """Make a company with openings; returns phones that are paired with it."""
    app = create_app(Settings(data))
    database: Database = app.state.server.database
    openings = {f"op-{number}": ("inga", "otto") for number in range(OPENINGS)}
    fill(database, openings)
    with database.write() as session:
        session.connection().exec_driver_sql(f"UPDATE person SET password = '{HASH}'")
    crew = [Phone(TestClient(app)) for _ in range(phones)]
    for turn, phone in enumerate(crew):
        phone.pair(code_for(database, ("inga", "otto")[turn % 2], time.time()))
        phone.pull()
    database.close()
    return crew


def meet(phone: Phone, server: Served) -> None:
    """Have a phone speak to a server."""
    phone.http = httpx.Client(base_url=server.address, timeout=PATIENCE)
    phone.origin = server.address


def ids_in(data: Path) -> set[str]:
    """Return the ids of all entries. Errors: LossError where the file is not whole."""
    with closing(sqlite3.connect(data / "sillbook.db")) as opened:
        if opened.execute("PRAGMA quick_check").fetchone() != ("ok",):
            raise LossError("the database's file is not whole")
        return {row[0] for row in opened.execute("SELECT id FROM event")}


def must_be_whole(data: Path) -> None:
    """Raise LossError with what is wrong with all that is kept."""
    database: Database = create_app(Settings(data)).state.server.database
    try:
        with database.read() as session:
            faults = list(all_faults(session, database.photos))
    finally:
        database.close()
    if faults:
        raise LossError("; ".join(faults[:5]))


def kill_again_and_again(data: Path, rounds: int, seed: int) -> None:
    """Kill a server so often while a phone sends; prints what was counted."""
    chance = random.Random(seed)
    [phone] = prepared(data, 1)
    server = Served(data)
    meet(phone, server)
    acknowledged: set[str] = set()
    cut = 0
    for turn in range(rounds):
        opening = f"op-{turn % OPENINGS}"
        batch = [phone.tick(opening, done=bool(k % 2)) for k in range(chance.randint(1, 40))]
        timer = Timer(chance.uniform(0, LATEST_KILL), server.stop, [signal.SIGKILL])
        timer.start()
        try:
            receipts = phone.post(phone.batch(batch))["receipts"]
            acknowledged |= {r["id"] for r in receipts if r["state"] == "stored"}
        except httpx.HTTPError:
            cut += 1
        timer.join()
        here, sent = ids_in(data), {event["id"] for event in batch}
        if sent & here not in (set(), sent):
            raise LossError(f"round {turn}: {len(sent & here)} of {len(sent)} entries of a batch")
        if not acknowledged <= here:
            raise LossError(f"round {turn}: {len(acknowledged - here)} entries with a receipt gone")
        server = Served(data)
        meet(phone, server)
        acknowledged |= {r["id"] for r in phone.push() if r["state"] in ("stored", "already")}
        if phone.outbox:
            raise LossError(f"round {turn}: {len(phone.outbox)} entries were not taken")
    server.stop()
    must_be_whole(data)
    print(f"{rounds} SIGKILLs, {cut} in mid-request: {len(acknowledged)} receipts, all kept")


def phone_works(
    phone: Phone, opening: str, end: float, pause: float, number: int, of: int
) -> list[float]:
    """Write, send and after each tenth entry fetch, until the end; returns what each sending took.

    number: which of how many it is. No two people keep step, so it begins at its own share of a
    pause, and those that begin next to each other fetch after different entries.
    """
    took: list[float] = []
    turn = number % 10
    time.sleep(number / of * pause)
    while time.monotonic() < end:
        turn += 1
        phone.tick(opening, done=bool(turn % 2))
        began = time.monotonic()
        phone.push()
        took.append(time.monotonic() - began)
        if turn % 10 == 0:
            phone.pull(compare=False)
        time.sleep(max(0.0, pause - (time.monotonic() - began)))
    return took


def office_looks(server: Served, end: float, pause: float) -> list[float]:
    """Look at the board until the end; returns what each page took."""
    origin = {"Origin": server.address, "Sec-Fetch-Site": "same-origin"}
    with httpx.Client(base_url=server.address, timeout=PATIENCE, headers=origin) as browser:
        browser.post("/sign-in", data={"name": "sven", "password": PASSWORD})
        took = []
        while time.monotonic() < end:
            began = time.monotonic()
            try:
                answer = browser.get("/office")
            except (httpx.RemoteProtocolError, httpx.ReadError):
                answer = browser.get("/office")  # as a browser does where a kept line was closed
            if answer.status_code != 200:
                raise LossError(f"the board answered {answer.status_code}")
            took.append(time.monotonic() - began)
            time.sleep(pause)
    return took


def memory_of(server: Served) -> float:
    """Return the MB that a server holds (Linux, proc(5))."""
    lines = Path(f"/proc/{server._process.pid}/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmRSS")) / 1024


def processor_times(server: Served) -> dict[str, float]:
    """Return the seconds of processor that each had so far (Linux, proc(5))."""
    tick = os.sysconf("SC_CLK_TCK")
    words = Path(f"/proc/{server._process.pid}/stat").read_text().rpartition(")")[2].split()
    user, nice, system, _, _, *rest = map(int, Path("/proc/stat").read_text().split()[1:9])
    mine = os.times()
    made = {"phones": mine.user + mine.system, "server": (int(words[11]) + int(words[12])) / tick}
    made["others"] = (user + nice + system + sum(rest)) / tick - sum(made.values())
    return made


def soak(data: Path, phones: int, minutes: float, pause: float) -> None:
    """Have phones write for so long; prints what was counted. Errors: LossError."""
    crew = prepared(data, phones)
    server = Served(data)
    for phone in crew:
        meet(phone, server)
    before, worked = memory_of(server), processor_times(server)
    end = time.monotonic() + minutes * 60
    with ThreadPoolExecutor(phones + 1) as pool:
        office = pool.submit(office_looks, server, end, pause)
        work = [
            pool.submit(phone_works, phone, f"op-{turn % OPENINGS}", end, pause, turn, phones)
            for turn, phone in enumerate(crew)
        ]
        posts = [one for each in work for one in each.result()]
        boards = office.result()
    after = memory_of(server)
    shares = {
        who: (took - worked[who]) / minutes / 60 for who, took in processor_times(server).items()
    }
    for phone in crew:
        phone.push()
    for phone in crew:
        phone.pull()  # compares with the office's sum
    books = {frozenset(event["id"] for event in phone.all()) for phone in crew}
    server.stop()
    complaints = server.complaints.read_text("utf-8").splitlines()
    mine = {e["id"] for phone in crew for e in phone.all() if e["kind"] == "task.ticked"}
    must_be_whole(data)
    if len(books) != 1 or not mine <= ids_in(data) or len(mine) != len(posts):
        raise LossError(f"{len(posts)} entries were sent, {len(mine)} are in {len(books)} books")
    print(f"{phones} phones, {minutes:g} minutes: {len(posts)} entries, all kept, all books alike")
    print(f"sending: {told(posts)}; board: {told(boards)}")
    print("of a core had " + ", ".join(f"{who} {share:.0%}" for who, share in shares.items()))
    print(f"memory: {before:.0f} MB, then {after:.0f} MB; lines of complaint: {len(complaints)}")


def told(seconds: Sequence[float]) -> str:
    """Return the middle and the 95th percentile of some times."""
    ordered = sorted(seconds)
    middle, late = (ordered[int(part * (len(ordered) - 1))] for part in (0.5, 0.95))
    return f"{1000 * middle:.0f} ms in the middle, p95 {1000 * late:.0f} ms"


def main() -> int:
    """Run what the command line asks for; returns 1 where something was lost."""
    asked = argparse.ArgumentParser(prog="python -m tests.endure", description=__doc__)
    kinds = asked.add_subparsers(dest="kind", required=True)
    kills = kinds.add_parser("kills")
    kills.add_argument("rounds", type=int, nargs="?", default=100)
    kills.add_argument("--seed", type=int, default=1)
    soaking = kinds.add_parser("soak")
    soaking.add_argument("--phones", type=int, default=20)
    soaking.add_argument("--minutes", type=float, default=20.0)
    soaking.add_argument("--pause", type=float, default=2.0, help="seconds between two entries")
    given = asked.parse_args()
    data = Path(tempfile.mkdtemp(prefix="sillbook-endure-"))
    began = time.monotonic()
    try:
        if given.kind == "kills":
            kill_again_and_again(data, given.rounds, given.seed)
        else:
            soak(data, given.phones, given.minutes, given.pause)
    except LossError as error:
        print(f"lost: {error}   (the data are in {data})")
        return 1
    print(f"{time.monotonic() - began:.0f} s")
    shutil.rmtree(data)
    return 0


if __name__ == "__main__":
    sys.exit(main())
