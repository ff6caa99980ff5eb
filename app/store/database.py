"""The unit of work: many readers, one writer.

PostgreSQL where an address is given (see postgres.py), else SQLite.

SQLite in WAL mode with synchronous=FULL. Writes go one at a time, each in a
transaction that begins IMMEDIATE: a plain BEGIN that reads and then writes
fails under WAL when another has written in between.

In a process writes always go one at a time. Several servers on one PostgreSQL write side by side
where they say what they write about (write_together).
"""

import logging
import os
import sqlite3
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Event, Lock
from typing import Any, TypeVar, cast

from sqlalchemy import Connection, Engine, event
from sqlalchemy.exc import DBAPIError
from sqlmodel import Session, create_engine

from app.store import instruments, judging, notices, postgres
from app.store.epoch import Stamp
from app.store.listening import Listener, notify_listeners
from app.store.lock import ProcessLock
from app.store.photos import FolderPhotos, PhotoPlace
from app.store.summaries import Summaries, is_this_version
from app.store.together import WiderWorkError, WriteJob, WriteQueue, subjects_of

T = TypeVar("T")
_LOG = logging.getLogger("sillbook")

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
    event.listen(engine, "connect", set_up_connection)
    event.listen(engine, "begin", _begin_immediate)
    return engine


def make_private(database: Path) -> None:
    """Have the file of a database be its owner's alone; SQLite gives its others the same rights."""
    os.close(os.open(database, os.O_RDWR | os.O_CREAT, 0o600))
    database.chmod(0o600)


def set_up_connection(connection: Any, _record: Any = None) -> None:
    """Give a connection of the driver what the store needs: its journal, its durability."""
    connection.isolation_level = None  # the module's own BEGIN would come too late: see _begin
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "busy_timeout=10000"):
        connection.execute("PRAGMA " + pragma)


def _begin_immediate(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


class Database:
    """An open database; close() lets another process have it.

    path: of SQLite's file; stamp and signing key stand beside it also where the tables are in
    PostgreSQL, at the address. photos: where these lie. serves: other servers may have it too,
    where it is PostgreSQL's; is_first then says whether this one is the first, and start_is_done
    lets others begin.
    """

    def __init__(self, path: Path, address: str = "", serves: bool = False) -> None:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        self.is_shared = serves and bool(address)
        self._locks: list[ProcessLock | postgres.ServerLock] = [ProcessLock(path, self.is_shared)]
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
        self.photos: PhotoPlace = FolderPhotos(path.parent / "photos")
        self.summaries = Summaries()
        self.posted = Event()  # something was put into the outbox
        # what the office does of itself about what a transaction keeps
        self.before_commit: Callable[[Session], None] = lambda _: None
        self.commits = 0  # that touched an opening
        self.changes = 0  # another number after each of them, of whatever server
        self.listener = Listener(self) if self.is_shared else None

    def _open(self, address: str) -> None:
        if address:
            self.engine = postgres.make_engine(address)
            self._server_lock = postgres.ServerLock(self.engine, alone=not self.is_shared)
            self._locks.append(self._server_lock)
            self.writing = postgres.for_writing(self.engine)
        else:
            make_private(self.path)
            self.engine = make_engine(self.path)
            self.writing = self.engine.execution_options(writes=True)

    @property
    def is_first(self) -> bool:
        """Return whether no other server had the database when this one opened it."""
        return self._server_lock is None or self._server_lock.is_first

    def start_is_done(self) -> None:
        """Let other servers begin beside this one."""
        if self._server_lock and self.is_shared:
            self._server_lock.share()

    @contextmanager
    def read(self) -> Iterator[Session]:
        """Give a session that sees one state of the database."""
        with Session(self.engine, expire_on_commit=False, info=self._info()) as session:
            yield session

    def settled_number(self) -> int | None:
        """Return the number up to which all is committed; None where that is all there is.

        For who goes by numbers: ask before the session that reads begins.
        """
        return postgres.settled_number(self.engine) if self.is_shared else None

    @contextmanager
    def write(self) -> Iterator[Session]:
        """Give the only session that writes; commits at the end, rolls back on any error."""
        with self._one_writer, self._transaction(None) as session:
            yield session

    def _info(self) -> dict[str, Any]:
        """Return what a session carries beside the tables: the folder of the data."""
        return {"folder": self.path.parent}

    @contextmanager
    def _transaction(self, about: frozenset[str] | None) -> Iterator[Session]:
        """about: what it writes about while others write about something else; None: alone."""
        if self._server_lock:
            self._server_lock.must_hold()
        info = {**self._info(), "folds": self.summaries.folds, "about": about}
        info["several"] = self.is_shared
        engine = self.writing if about is None else postgres.beside_others(self.engine)
        with Session(engine, expire_on_commit=False, info=info) as session:
            if about is not None:
                postgres.lock_subjects(session.connection(), about)
            if self._server_lock and not self.stamp.is_ours(session):
                self._begin_again(session)
            try:
                yield session
                session.flush()  # what follows asks beside the mapper
                instruments.settle_instruments(session)
                judging.settle(session, self.summaries)
                self.before_commit(session)
                touched = session.info.get("touched", ())
                if touched:
                    self.summaries.refresh(session, touched)
                    self._tell_others(session)
                notices.post_notices(session)
                session.commit()
            except BaseException:
                self.summaries.folds.drop(session.info.get("touched", ()))
                raise
            if "posted" in session.info:
                self.posted.set()
            self.commits += bool(touched)
            if not self.listener or not self.listener.is_alive():
                self.changes += bool(touched)
            if "kept" in session.info:
                self.stamp.note(session.info["kept"])

    def _begin_again(self, session: Session) -> None:
        """Go on beside a server that started as the first, while PostgreSQL had dropped our lock.

        Errors: TakenOverError where it is of another version, or has another folder.
        """
        self._must_share(session)
        self.stamp.join(session)
        self.summaries.forget_all()  # it may have found another past

    def _must_share(self, session: Session) -> None:
        if not (self.is_shared and self.stamp.may_join(session) and is_this_version(session)):
            raise postgres.TakenOverError

    def _tell_others(self, session: Session) -> None:
        if self.is_shared:
            notify_listeners(session)

    def write_together(
        self, work: Callable[[Session], T], about: Collection[str] | None = None
    ) -> T:
        """Return what the work returns, once it is committed.

        Whoever gets the writer does the work of all who wait, each in a savepoint of its own,
        and commits once for all: under load many share one wait for the disk. The work may be done
        twice: what one of them spoils for the commit costs the others nothing.

        about: ids of the openings, phones or photos that the work writes about, where it writes
        about nothing else: other servers write about others meanwhile. Where it turns out to be
        about more, it is done again alone.
        """
        job = WriteJob(work, about)
        self._waiting.put(job)
        with self._one_writer:
            if not job.done:
                self._do(self._waiting.take())
        return cast("T", job.result())

    def _do(self, jobs: list[WriteJob]) -> None:
        about = subjects_of(jobs) if self.is_shared else None
        try:
            if about is None or not self._have_done(jobs, about):
                self._do_in_one(jobs, None)
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

    def _do_in_one(self, jobs: list[WriteJob], about: frozenset[str] | None) -> None:
        with self._transaction(about) as session:
            for job in jobs:
                job.run(session, alone=len(jobs) == 1)

    def _have_done(self, jobs: list[WriteJob], about: frozenset[str]) -> bool:
        """Do jobs beside other servers; returns False where they have to be done alone.

        So it is where two servers write the same at once in spite of their locks: the same id in
        two openings, say. One of the two then gets an error of the database. Any other error is
        its caller's: where a connection broke in the commit, nobody knows what was committed.
        """
        try:
            self._do_in_one(jobs, about)
        except WiderWorkError:
            return False
        except DBAPIError as error:
            if not postgres.is_race(error):
                raise
            _LOG.warning("a write beside others failed, and is done alone: %s", error.orig)
            return False
        return True

    def must_answer(self) -> None:
        """Ask the database something.

        Errors: OSError or DBAPIError where it is down; TakenOverError where it is another's.
        """
        if self.engine.dialect.name == "sqlite":
            self.path.stat()  # an open file would still be read after it was taken away
        if self._server_lock:
            self._server_lock.must_hold()
        with self.read() as session:
            session.connection().exec_driver_sql("SELECT 1 FROM event LIMIT 1")
            if self._server_lock and not self.stamp.is_ours(session):
                self._must_share(session)

    def close(self) -> None:
        """Close every connection and let go of the database."""
        if self.listener:
            self.listener.stop()
        self.stamp.close()
        for lock in reversed(self._locks):
            lock.release()
        self.engine.dispose()
