"""Hears of other servers' commits, by PostgreSQL's LISTEN and NOTIFY: live pages ask for it.

All servers are told the same numbers in the same order. So a page that was told one by this
server, and asks another, hears only what is new. Where nothing can be heard (the connection broke,
a pool between hands out connections by the transaction), the database is asked now and then.
"""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from selectors import EVENT_READ, DefaultSelector
from socket import socketpair
from threading import Event as Signal
from threading import Thread
from typing import Protocol

from psycopg import Connection as PlainConnection
from psycopg import Error as PlainError
from sqlalchemy import Engine, text
from sqlalchemy.exc import SQLAlchemyError
from sqlmodel import Session

CHANNEL = "sillbook_changes"
POLL_SECONDS = 2.0
_TELL = text(f"SELECT pg_notify('{CHANNEL}', nextval('number_given')::text)")


def notify_listeners(session: Session) -> None:
    """Have every server hear of this transaction, once it is committed, by a number of its own."""
    session.connection().execute(_TELL)


class Listened(Protocol):
    """What a listener needs of a database."""

    engine: Engine
    changes: int

    def settled_number(self) -> int | None:
        """Return the number up to which all is committed."""


class Listener(Thread):
    """Keeps `changes` of a database: another number after each commit that touched an opening."""

    def __init__(self, database: Listened) -> None:
        super().__init__(name="listener", daemon=True)
        self._database = database
        self._greatest = -1
        self._ended = Signal()
        self._woken, self._waker = socketpair()  # stop() need not wait until something is told

    def stop(self) -> None:
        """End at once; nothing where it never began."""
        self._ended.set()
        self._waker.close()  # the other end can be read now
        if self.is_alive():
            self.join(timeout=30)
        self._woken.close()

    def run(self) -> None:
        """Listen, and where that fails ask; until it is told to stop."""
        while not self._ended.is_set():
            with suppress(SQLAlchemyError, PlainError):
                self._listen()
            with suppress(SQLAlchemyError, PlainError):
                self.ask()
            self._ended.wait(POLL_SECONDS)

    def _listen(self) -> None:
        with self._connected() as connection, DefaultSelector() as waiting:
            for end in (connection, self._woken):
                waiting.register(end, EVENT_READ)
            connection.execute(f"LISTEN {CHANNEL}")
            self.ask()  # what came before is not told
            while not self._ended.is_set():
                told = list(connection.notifies(timeout=0))
                for one in told:
                    self._database.changes = int(one.payload)
                    self._greatest = max(self._greatest, self._database.changes)
                if not told and not waiting.select(POLL_SECONDS):
                    self.ask()

    def ask(self) -> None:
        """Ask how far the numbers are: they go on with each commit."""
        settled = self._database.settled_number() or 0
        if settled > self._greatest:  # never back to a number that was told before
            self._greatest = self._database.changes = settled

    @contextmanager
    def _connected(self) -> Iterator[PlainConnection[object]]:
        options = {"isolation_level": "AUTOCOMMIT"}
        with self._database.engine.connect().execution_options(**options) as connection:
            plain = connection.connection.driver_connection
            assert isinstance(plain, PlainConnection)  # noqa: S101
            try:
                yield plain
            finally:
                connection.invalidate()  # nobody else is to be told what it listens to
