"""What one entry costs the writer, printed and never asserted: `python -m tests.bench.writer`.

One entry a transaction at openings with 20, 150 and 600 entries of a real door: read, judged,
kept, summed up, committed. A real database on a real disk. The same statements' fsync is in it.

Beside it the same statements by the driver alone, on a copy from before the first of them: what
SQLite itself needs, with the same indexes and durability.
"""

import sqlite3
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from statistics import median
from typing import Any

from fastapi.testclient import TestClient
from sqlalchemy import event as heard

from app.core.kinds import Json
from app.demo import company as demo
from app.main import create_app
from app.settings import Settings
from app.store import log, procedures
from app.store.database import Database, set_up_connection
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


class Statements:
    """The statements of each entry, and a copy of the database as it was before the first."""

    def __init__(self, database: Database, copy: Path) -> None:
        self.of_entries: list[list[tuple[str, Any, bool]]] = []
        self._database = database
        self._copy = copy
        with closing(sqlite3.connect(database.path)) as here, closing(sqlite3.connect(copy)) as to:
            here.backup(to)

    @contextmanager
    def noting(self) -> Iterator[None]:
        """Note the statements of one entry."""
        noted: list[tuple[str, Any, bool]] = []
        self.of_entries.append(noted)

        def note(_c: Any, _cursor: Any, sql: str, values: Any, _of: Any, many: bool) -> None:
            noted.append((sql, values, many))

        heard.listen(self._database.engine, "before_cursor_execute", note)
        try:
            yield
        finally:
            heard.remove(self._database.engine, "before_cursor_execute", note)

    def alone(self) -> float:
        """Return what they take an entry without the program, milliseconds."""
        took = []
        with closing(sqlite3.connect(self._copy)) as raw:
            set_up_connection(raw)
            for statements in self.of_entries:
                began = time.perf_counter()
                for sql, values, many in statements:
                    cursor = raw.executemany(sql, values) if many else raw.execute(sql, values)
                    cursor.fetchall()
                raw.commit()
                took.append((time.perf_counter() - began) * 1000)
        return median(took)


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
            statements = Statements(database, Path(folder, f"raw-{size}.db"))
            took = []
            for entry in history.events[size:at]:
                with statements.noting():
                    took.append(cost(database, device, phone, entry))
            wall, processor = (median(each) for each in zip(*took, strict=True))
            found.append(processor)
            raw = statements.alone()
            words = f"an entry at a history of {size:4}"
            print(
                f"{words}: {wall:6.1f} ms, processor {processor:6.1f} ms; "
                f"its statements alone {raw:5.1f} ms, {100 * raw / wall:.0f} %"
            )
        print(f"processor, most to least: {max(found) / min(found):.2f} times")
        database.close()


if __name__ == "__main__":
    main()
