"""What one entry costs the writer, printed and never asserted: `python -m tests.bench.writer`.

One entry a transaction at openings with 20, 150 and 600 entries of a real door: read, judged,
kept, summed up, committed. A real database on a real disk. The same statements' fsync is in it.
"""

import tempfile
import time
from pathlib import Path
from statistics import median

from fastapi.testclient import TestClient

from app.core.kinds import Json
from app.demo import company as demo
from app.main import create_app
from app.settings import Settings
from app.store import log, procedures
from app.store.database import Database
from app.store.tables import Device
from app.sync.messages import Batch
from app.sync.receive import receive
from tests.bench.histories import History
from tests.sync.client import Phone
from tests.sync.conftest import code_for

SIZES, ENTRIES = (20, 150, 600), 40


def cost(database: Database, device: Device, phone: Phone, event: Json) -> tuple[float, float]:
    """Return what an entry took, and what of it was the processor's, milliseconds."""
    batch = Batch.model_validate(phone.batch([event]))
    began, worked = time.perf_counter(), time.process_time()
    told = database.write_together(lambda session: receive(session, device, batch, 0))
    took = (time.perf_counter() - began) * 1000, (time.process_time() - worked) * 1000
    assert [receipt.state for receipt in told.receipts] == ["stored"], told
    return took


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        app = create_app(Settings(Path(folder)))
        database = app.state.server.database
        demo.load_company(database)
        phone = Phone(TestClient(app))
        phone.pair(code_for(database, "tobin-hale", time.time()))
        phone.pull()
        opening = next(o["id"] for o in phone.openings if len(phone.events(o["id"])) == 1)
        with database.read() as session:
            known = procedures.all_of(session, {})
            device = session.get_one(Device, phone.device)
        history = History(phone.events(opening)[0], known, [phone.device], "writer")
        history.work(SIZES[-1])
        history.again(SIZES[-1] + ENTRIES)
        found, at = [], 1
        for size in SIZES:
            with database.write() as session:
                log.append_events(session, history.events[at:size])
            at = size + ENTRIES
            took = [cost(database, device, phone, e) for e in history.events[size:at]]
            wall, processor = (median(each) for each in zip(*took, strict=True))
            found.append(processor)
            words = f"an entry at a history of {size:4}"
            print(f"{words}: {wall:6.1f} ms, processor {processor:6.1f} ms")
        print(f"processor, most to least: {max(found) / min(found):.2f} times")
        database.close()


if __name__ == "__main__":
    main()
