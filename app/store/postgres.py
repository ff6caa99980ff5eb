"""PostgreSQL in SQLite's place, where SILLBOOK_DATABASE names one.

Still one server a database and one writer: the number of an event is given and committed before
the next is given, by whatever process, so that no reader who asks "after which number" can pass
over one. SQLite's BEGIN IMMEDIATE does that by itself; here a lock does, from the beginning of
each transaction that writes to the end of its commit.
"""

from contextlib import suppress
from threading import Lock
from typing import Any

from sqlalchemy import Connection, Engine, Integer, create_engine, event, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, ResourceClosedError
from sqlalchemy.ext.compiler import compiles

from app.core.errors import AppError, RefusedError
from app.core.quantity.messages import Msg

WRITER, SERVER = 5131001, 5131002  # numbers of our advisory locks, like no other's we know of
MADE_WITH = "--template=template0 --encoding=UTF8 --locale=C"
_MADE_AS = text(
    "SELECT datcollate, pg_encoding_to_char(encoding) FROM pg_database"
    " WHERE datname = current_database()"
)


@compiles(Integer, "postgresql")
def _whole_number(_element: Any, _compiler: Any, **_: Any) -> str:
    return "BIGINT"  # as SQLite's: seconds since 1970 outgrow 32 bits in 2038


def make_engine(address: str) -> Engine:
    """Return an engine; a transaction sees one state of the database.

    Errors: RefusedError 'database-address'.
    """
    try:
        url = make_url(address)
    except ArgumentError:
        url = None
    if url is None or url.get_backend_name() != "postgresql":
        words = "SILLBOOK_DATABASE must be like postgresql://name@host/database."
        raise RefusedError("database-address", Msg(words))
    url = url.set(drivername="postgresql+psycopg")
    # what is bound to a statement may be a phone's secret: no error's text repeats it
    engine = create_engine(
        url, isolation_level="REPEATABLE READ", pool_pre_ping=True, hide_parameters=True
    )
    event.listen(engine, "begin", _begin_transaction)
    return engine


def for_writing(engine: Engine) -> Engine:
    """Return the engine whose transactions wait for the writer's lock, and see all before them."""
    return engine.execution_options(writes=True, isolation_level="READ COMMITTED")


def _begin_transaction(connection: Connection) -> None:
    if connection.get_execution_options().get("writes", False):
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({WRITER})")


class TakenOverError(AppError):
    """Another server has begun to write this database, while ours had lost it in a crash."""

    status = 503

    def __init__(self) -> None:
        words = Msg("Another Sillbook writes this database now. This one has to be stopped.")
        super().__init__("database-taken-over", words)


class ServerLock:
    """Held from making to release, by a connection of its own.

    The database drops it when that connection ends, as in a crash of the database's server.
    must_hold() takes it again, before another server does.

    Errors: RefusedError 'database-in-use'; 'database-order' where the database was not made
    with the locale C: lists are paged by keys, and must sort as their keys compare.
    """

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._one_at_a_time = Lock()
        self._is_held = False
        self._connection = self._connected()
        try:
            self._must_be_free()
            self._must_sort_plainly()
        except RefusedError:
            self.release()
            raise

    def _connected(self) -> Connection:
        return self._engine.connect().execution_options(isolation_level="AUTOCOMMIT")

    def must_hold(self) -> None:
        """See that the lock is still ours, taking it anew where its connection had ended.

        Errors: TakenOverError; DBAPIError where the database does not answer.
        """
        with self._one_at_a_time:
            if self._answers():
                return
            with suppress(DBAPIError):
                self._connection.invalidate()
                self._connection.close()
            self._connection = self._connected()
            try:
                self._must_be_free()
            except RefusedError as error:
                raise TakenOverError from error

    def _answers(self) -> bool:
        """Return whether we hold the lock, by a connection that still lives."""
        try:
            self._connection.exec_driver_sql("SELECT 1")
        except (DBAPIError, ResourceClosedError):
            self._is_held = False
        return self._is_held

    def _must_be_free(self) -> None:
        found = self._connection.exec_driver_sql(f"SELECT pg_try_advisory_lock({SERVER})")
        if not found.scalar_one():
            name = self._connection.engine.url.database
            words = Msg("Another Sillbook is using {path}. Stop it first.", path=str(name))
            raise RefusedError("database-in-use", words)
        self._is_held = True

    def _must_sort_plainly(self) -> None:
        order, encoding = self._connection.execute(_MADE_AS).one()
        if order not in ("C", "POSIX", "C.UTF-8") or encoding != "UTF8":
            words = "Make the database with: createdb {options} NAME"
            raise RefusedError("database-order", Msg(words, options=MADE_WITH))

    def release(self) -> None:
        """Let go; a second call does nothing.

        Unlocked before the connection ends: the server hears of that end only a little later.
        """
        if self._connection.closed:
            return
        with suppress(DBAPIError):  # a connection that is gone holds nothing
            self._connection.exec_driver_sql(f"SELECT pg_advisory_unlock({SERVER})")
        self._connection.invalidate()
        self._connection.close()
