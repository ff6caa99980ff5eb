"""How long sync takes, printed and never asserted: `python -m tests.bench.sync`.

1,000 entries of one phone from outbox to receipt; the same with the openings' history a
hundred times as long; eight phones at once, to show what committing together saves; a first
pull of all. A real database on a real disk, the application called without a network.
"""

import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from fastapi.testclient import TestClient

from app.main import create_app
from app.settings import Settings
from tests.sync.client import Phone
from tests.sync.conftest import code_for, fill

ENTRIES = 1000
OPENINGS = {f"op-{n}": ("inga",) for n in range(50)}


def timed(words: str, work: Callable[[], object], count: int) -> None:
    began = time.perf_counter()
    work()
    took = time.perf_counter() - began
    print(f"{words:58} {took:7.2f} s {took / count * 1000:8.2f} ms each")


def write(phone: Phone, count: int, openings: int = 50) -> None:
    """Entries over the openings, each from a page that had seen all before it of its own phone."""
    for turn in range(count):
        phone.tick(f"op-{turn % openings}")


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        app = create_app(Settings(Path(folder)))
        database = app.state.server.database
        fill(database, OPENINGS)

        def phone() -> Phone:
            made = Phone(TestClient(app))
            made.pair(code_for(database, "inga", time.time()))
            made.pull()
            return made

        one = phone()
        write(one, ENTRIES)
        timed("1,000 entries over 50 openings, one phone", one.push, ENTRIES)
        write(one, ENTRIES)
        timed("1,000 more, the history twice as long", one.push, ENTRIES)
        few = phone()
        few.book = {opening: {} for opening in few.book}  # so that writing here costs little
        write(few, ENTRIES, 1)
        timed("1,000 in one opening", few.push, ENTRIES)
        others = [phone() for _ in range(8)]
        for other in others:
            write(other, 25)

        def one_by_one(sender: Phone) -> None:
            for id in sender.outbox:
                sender.post(sender.batch([sender.find(id)]))

        with ThreadPoolExecutor(8) as threads:
            timed(
                "8 phones at once, 25 batches of one entry each",
                lambda: list(threads.map(one_by_one, others)),
                200,
            )
        last = phone
        timed("a new phone: pairing and the first pull of 50 openings", last, len(OPENINGS))
        timed("a pull of what the others wrote", one.pull, 1225)
        timed("nothing new: the office's answer", lambda: [one.get_page() for _ in range(20)], 20)
        timed("nothing new: with the sum that this phone in Python makes", one.pull, 1)
        database.close()


if __name__ == "__main__":
    main()
