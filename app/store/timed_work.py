"""Work that is done again and again while the server runs, in a thread of its own."""

import logging
from threading import Event as Signal
from threading import Thread

from app.store.database import Database

_LOG = logging.getLogger("sillbook")


class TimedWork:
    """Does its `work_once` each so many seconds; a fault is logged, and the next time comes.

    name: of the thread. first: seconds before the first time. failed: what the log says of a fault.
    """

    def __init__(
        self, database: Database, seconds: float, name: str, failed: str, first: float | None = None
    ) -> None:
        self.database = database
        self.seconds = seconds
        self._first = seconds if first is None else first
        self._failed = failed
        self._stop = Signal()
        self._thread = Thread(target=self._run, name=name, daemon=True)

    def start(self) -> None:
        """Begin to wait for the first time."""
        self._thread.start()

    def stop(self) -> None:
        """End, before the database is closed."""
        self._stop.set()
        self._thread.join(timeout=30)

    def work_once(self) -> None:
        """Do the work of one time."""
        raise NotImplementedError

    def _run(self) -> None:
        rest = self._first
        while not self._stop.wait(rest):
            rest = self.seconds
            try:
                self.work_once()
            except Exception:  # noqa: BLE001  (the database was away: the next time)
                _LOG.exception(self._failed)
