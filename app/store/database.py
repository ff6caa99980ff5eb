"""The unit of work: many readers, one writer.

PostgreSQL where an address is given (see postgres.py), else SQLite.

SQLite in WAL mode with synchronous=FULL. Writes go one at a time, each in a
transaction that begins IMMEDIATE: a plain BEGIN that reads and then writes
fails under WAL when another has written in between.
"""

import os
import sqlite3
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Event, Lock
from typing import Any, TypeVar, cast

from sqlalchemy import Connection, Engine, event
from sqlmodel import Session, create_engine

from app.store import instruments, judging, notices, postgres
from app.store.epoch import Stamp
from app.store.lock import ProcessLock
from app.store.summaries import Summaries
from app.store.together import WriteJob, WriteQueue

T = TypeVar("T")

# WAL can lose commits in a race between checkpoint and writer before these versions.
MENDED = ((3, 44, 6), (3, 50, 7), (3, 51, 3))


def has_wal_fault(version: tuple[int, int, int]) -> bool:
    """Return whether this SQLite has the fault of WAL mode that 3.51.3 mended.

    Source:  SQLite's release notes; mended also in 3.44.6 and 3.50.7.
    Example: has_wal_fault((3, 40, 1)) -> True; has_wal_fault((3, 44, 6)) -> False
    """
    if version >= MENDED[-1]:
        return False
    return not any(version[:2] == fix[:2] and version >= fix for fix in MENDED)


def warning_of_version() -> str | None:
    """Return what to say at the start about the SQLite that Python is linked with, or None."""
    if not has_wal_fault(sqlite3.sqlite_version_info):
        return None
    return (
        f"SQLite {sqlite3.sqlite_version} is older than 3.51.3, which mended a fault of WAL mode. "
        "Sillbook writes one at a time, which keeps clear of it: "
        "let no other program write the database."
    )


def make_engine(database: Path) -> Engine:
    """Return an engine whose connections are set up as the store needs them."""
    engine = create_engine(f"sqlite:///{database}", hide_parameters=True)
    event.listen(engine, "connect", _set_up)
    event.listen(engine, "begin", _begin_immediate)
    return engine


def make_private(database: Path) -> None:
    """Have the file of a database be its owner's alone; SQLite gives its others the same rights."""
    os.close(os.open(database, os.O_RDWR | os.O_CREAT, 0o600))
    database.chmod(0o600)


def _set_up(connection: Any, _record: Any) -> None:
    connection.isolation_level = None  # the module's own BEGIN would come too late: see _begin
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "busy_timeout=10000"):
        connection.execute("PRAGMA " + pragma)


def _begin_immediate(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


class Database:
    """An open database; close() lets another process have it.

    path: of SQLite's file; photos and the stamp stand beside it also where the tables are in
    PostgreSQL, at the address.
    """

    def __init__(self, path: Path, address: str = "") -> None:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        self._locks: list[ProcessLock | postgres.ServerLock] = [ProcessLock(path)]
        self._server_lock: postgres.ServerLock | None = None
        self.path = path
        try:
            self._open(address)
        except BaseException:
            self._locks[0].release()
            raise
        self._one_writer = Lock()
        self._waiting = WriteQueue()
        self.stamp = Stamp(path)
        self.summaries = Summaries()
        self.posted = Event()  # something was put into the outbox
        # what the office does of itself about the openings that a transaction touched
        self.before_commit: Callable[[Session, Collection[str]], None] = lambda *_: None
        self.changes = 0  # counts commits that touched an opening, for whoever watches

    def _open(self, address: str) -> None:
        if address:
            self.engine = postgres.make_engine(address)
            self._server_lock = postgres.ServerLock(self.engine)
            self._locks.append(self._server_lock)
            self.writing = postgres.for_writing(self.engine)
        else:
            make_private(self.path)
            self.engine = make_engine(self.path)
            self.writing = self.engine.execution_options(writes=True)

    @contextmanager
    def read(self) -> Iterator[Session]:
        """Give a session that sees one state of the database."""
        with Session(self.engine, expire_on_commit=False, info=self._info()) as session:
            yield session

    @contextmanager
    def write(self) -> Iterator[Session]:
        """Give the only session that writes; commits at the end, rolls back on any error."""
        with self._one_writer, self._transaction() as session:
            yield session

    def _info(self) -> dict[str, Any]:
        """Return what a session carries beside the tables: the folder of the data."""
        return {"folder": self.path.parent}

    @contextmanager
    def _transaction(self) -> Iterator[Session]:
        if self._server_lock:
            self._server_lock.must_hold()
        info = {**self._info(), "folds": self.summaries.folds}
        with Session(self.writing, expire_on_commit=False, info=info) as session:
            if self._server_lock and not self.stamp.is_ours(session):
                raise postgres.TakenOverError
            try:
                yield session
                instruments.settle_instruments(session)
                judging.settle(session, self.summaries)
                self.before_commit(session, session.info.get("touched", ()))
                touched = session.info.get("touched", ())
                if touched:
                    self.summaries.refresh(session, touched)
                notices.post_notices(session)
                session.commit()
            except BaseException:
                self.summaries.folds.drop(session.info.get("touched", ()))
                raise
            self.changes += bool(touched)
            if "posted" in session.info:
                self.posted.set()
            if "kept" in session.info:
                self.stamp.note(session.info["kept"])

    def write_together(self, work: Callable[[Session], T]) -> T:
        """Return what the work returns, once it is committed.

        Whoever gets the writer does the work of all who wait, each in a savepoint of its own,
        and commits once for all: under load many share one wait for the disk. The work may be done
        twice: what one of them spoils for the commit costs the others nothing.
        """
        job = WriteJob(work)
        self._waiting.put(job)
        with self._one_writer:
            if not job.done:
                self._do(self._waiting.take())
        return cast("T", job.result())

    def _do(self, jobs: list[WriteJob]) -> None:
        try:
            with self._transaction() as session:
                for job in jobs:
                    job.run(session)
        except Exception as error:  # noqa: BLE001  (whatever it is, its own caller gets it)
            if len(jobs) == 1:
                jobs[0].fail(error)
                return
            # One of them failed when all was to be committed: each is done again by itself.
            for job in jobs:
                self._do([job])
        except BaseException as error:
            for job in jobs:
                job.fail(error)
            raise

    def must_answer(self) -> None:
        """Ask the database something. Errors: OSError or DBAPIError where it is down."""
        if self.engine.dialect.name == "sqlite":
            self.path.stat()  # an open file would still be read after it was taken away
        if self._server_lock:
            self._server_lock.must_hold()
        with self.engine.connect() as connection:
            connection.exec_driver_sql("SELECT 1 FROM event LIMIT 1")

    def close(self) -> None:
        """Close every connection and let go of the database."""
        self.stamp.close()
        for lock in reversed(self._locks):
            lock.release()
        self.engine.dispose()
