"""What several servers on one PostgreSQL take in a second: `python -m tests.bench.servers`.

Eight phones, an opening each, one entry a request, sent through 1, 2 and 4 servers of this machine.
The phones work on the same cores. So the figures show what waits for what, and not how far more
machines would go. Printed and never asserted.
"""

import os
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import httpx2 as httpx

from app.main import create_app
from app.settings import Settings
from tests.browser.server import Served
from tests.store import postgres
from tests.sync.client import Phone
from tests.sync.conftest import code_for, fill

PHONES, SECONDS = 8, 8.0


def entries_of(phone: Phone, opening: str, end: float) -> int:
    """Return how many entries a phone sent, one a request, until the end."""
    count = 0
    while time.monotonic() < end:
        phone.tick(opening, done=bool(count % 2))
        count += [receipt["state"] for receipt in phone.push()] == ["stored"]
    return count


def main() -> None:
    with postgres.cluster() as cluster, tempfile.TemporaryDirectory() as folder:
        for number in (1, 2, 4):
            address = postgres.make_database(cluster, f"servers_{number}")
            settings = Settings(Path(folder, str(number)), postgres=address)
            os.environ["SILLBOOK_DATABASE"] = address
            app = create_app(settings)
            database = app.state.server.database
            openings = [f"op-{phone}" for phone in range(PHONES)]
            fill(database, dict.fromkeys(openings, ("inga",)))
            servers = [Served(settings.data) for _ in range(number)]
            phones = []
            for turn in range(PHONES):
                at = servers[turn % number].address
                phones.append(Phone(httpx.Client(base_url=at, timeout=60), at))
                phones[-1].pair(code_for(database, "inga", time.time()))
                phones[-1].pull()
            database.close()
            end = time.monotonic() + SECONDS
            with ThreadPoolExecutor(PHONES) as pool:
                counts = list(pool.map(entries_of, phones, openings, [end] * PHONES))
            for server in servers:
                server.stop()
            print(f"{number} servers: {sum(counts) / SECONDS:6.1f} entries a second")


if __name__ == "__main__":
    main()
