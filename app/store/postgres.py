"""PostgreSQL in SQLite's place, where SILLBOOK_DATABASE names one: for one server or for several.

Who writes. A transaction that says which openings it is about locks those, and shares the lock
WRITER with others of its kind: they write side by side, in one server each. A transaction
that does not say has WRITER alone, as the one writer of SQLite has the file.

Numbers. A sequence gives them, so a later one may be committed first, and a reader who asks
"after which number" could pass over the other. So whoever writes beside others holds a lock that
names the last number given before its own. `settled_number` is the least of those: up to
there all is committed, or never will be, and no cursor passes it.
"""

import hashlib
from collections.abc import Iterable
from contextlib import suppress
from threading import Lock
from time import monotonic, sleep
from typing import Any

from sqlalchemy import Connection, Engine, Integer, create_engine, event, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, ResourceClosedError
from sqlalchemy.ext.compiler import compiles

from app.core.errors import AppError, RefusedError
from app.core.quantity.messages import Msg

# numbers of our advisory locks, like no other's we know of
WRITER, SERVER, SUBJECTS = 5131001, 5131002, 5131003
NUMBERS = 0x5349  # the upper 16 bits of the locks that name numbers; the rest is the number
START_SECONDS = 60  # a server waits no longer for another one's start
MADE_WITH = "--template=template0 --encoding=UTF8 --locale=C"
_MADE_AS = text(
    "SELECT datcollate, pg_encoding_to_char(encoding) FROM pg_database"
    " WHERE datname = current_database()"
)
_LAST = "CASE WHEN is_called THEN last_value ELSE last_value - 1 END"
_GIVEN = text(f"SELECT {_LAST} FROM number_given")  # noqa: S608
_HOLD_NUMBER = text(
    f"SELECT pg_advisory_xact_lock_shared(({NUMBERS}::bigint << 48) | ({_LAST})) FROM number_given"  # noqa: S608
)
_OLDEST_HELD = text(
    "SELECT min(((classid::bigint & 65535) << 32) | objid::bigint) FROM pg_locks"
    " WHERE locktype = 'advisory' AND objsubid = 1"
    " AND classid::bigint >> 16 = :numbers AND database ="
    " (SELECT oid FROM pg_database WHERE datname = current_database())"
).bindparams(numbers=NUMBERS)
_LOCK_SUBJECTS = text(
    "SELECT pg_advisory_xact_lock(CAST(:kind AS integer), subject)"
    " FROM unnest(CAST(:subjects AS integer[])) AS subject"
).bindparams(kind=SUBJECTS)
# A machine that is gone lets go of its locks after half a minute, and one that hangs in the middle
# of its work after five.
_SAFEGUARDS = (
    "-c tcp_keepalives_idle=15 -c tcp_keepalives_interval=5 -c tcp_keepalives_count=3"
    " -c idle_in_transaction_session_timeout=300000"
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
    if "options" not in url.query:
        url = url.update_query_dict({"options": _SAFEGUARDS})
    # what is bound to a statement may be a phone's secret: no error's text repeats it
    engine = create_engine(
        url, isolation_level="REPEATABLE READ", pool_pre_ping=True, hide_parameters=True
    )
    event.listen(engine, "begin", _begin_transaction)
    return engine


def for_writing(engine: Engine) -> Engine:
    """Return the engine whose transactions wait for all other writers, and see all before them."""
    return engine.execution_options(writes=True, isolation_level="READ COMMITTED")


def _begin_transaction(connection: Connection) -> None:
    if connection.get_execution_options().get("writes", False):
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({WRITER})")


def beside_others(engine: Engine) -> Engine:
    """Return the engine whose transactions begin with lock_subjects()."""
    return engine.execution_options(isolation_level="READ COMMITTED")


def lock_subjects(connection: Connection, subjects: Iterable[str]) -> None:
    """Wait until nobody else writes about these, nor about everything; held until the commit.

    In one order everywhere, so that no two wait for each other. The number comes last: who only
    waits holds no reader back.
    """
    connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock_shared({WRITER})")
    keys = sorted({_key_of(subject) for subject in subjects})
    connection.execute(_LOCK_SUBJECTS, {"subjects": keys})
    connection.execute(_HOLD_NUMBER)


def _key_of(subject: str) -> int:
    """Return 32 bits for a subject; two that share them wait for each other needlessly.

    A phone may name an opening by half a character: its receipt says what is wrong with it.
    """
    made = hashlib.sha256(subject.encode("utf-8", "surrogatepass"))
    return int.from_bytes(made.digest()[:4], "big", signed=True)


def settled_number(engine: Engine) -> int:
    """Return the number up to which nothing more will be committed.

    Ask before the transaction that reads begins. The last number is asked first: whoever was given
    one of those before held his lock by then, and has ended since if he holds it no more.
    """
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        given = int(connection.execute(_GIVEN).scalar_one())
        held = connection.execute(_OLDEST_HELD).scalar_one()
    return given if held is None else min(given, int(held))


# SQLSTATE: two who wrote at once could not be put in an order; waited for each other; wrote one key
_RACES = ("40001", "40P01", "23505")


def is_race(error: DBAPIError) -> bool:
    """Return whether an error may come of two servers that wrote at once, and of nothing else.

    Source: PostgreSQL's manual, appendix "PostgreSQL Error Codes".
    """
    return getattr(error.orig, "sqlstate", None) in _RACES


class TakenOverError(AppError):
    """Another server has begun to write this database, while ours had lost it in a crash."""

    status = 503

    def __init__(self) -> None:
        words = Msg("Another Sillbook writes this database now. This one has to be stopped.")
        super().__init__("database-taken-over", words)


class ServerLock:
    """A share of the database, or the whole of it, held by a connection of its own.

    alone: for a command that allows no server beside it. Else one of several servers: it has the
    whole while it starts as the first (`is_first`), and shares it from `share` on.

    The database drops a lock when its connection ends, as in a crash of the database's server.
    must_hold() takes it again.

    Errors: RefusedError 'database-in-use'; 'database-order' where the database was not made
    with the locale C: lists are paged by keys, and must sort as their keys compare.
    """

    def __init__(self, engine: Engine, alone: bool = True) -> None:
        self._engine = engine
        self._one_at_a_time = Lock()
        self._is_held = False
        self._shares = False
        self._connection = self._connected()
        try:
            self.is_first = self._start(alone)
            self._must_sort_plainly()
        except RefusedError:
            self.release()
            raise

    def _start(self, alone: bool) -> bool:
        """Take the lock; returns whether nobody else had it."""
        late = monotonic() + (0 if alone else START_SECONDS)
        while not self._try("pg_try_advisory_lock"):
            if not alone and self._try("pg_try_advisory_lock_shared"):
                self._shares = True
                return False
            if monotonic() >= late:
                name = self._connection.engine.url.database
                words = Msg("Another Sillbook is using {path}. Stop it first.", path=str(name))
                raise RefusedError("database-in-use", words)
            sleep(0.1)
        return True

    def share(self) -> None:
        """Let other servers begin beside this one: what the first does at a start is done."""
        if not self._shares:
            self._try("pg_try_advisory_lock_shared")
            self._shares = True
            self._connection.exec_driver_sql(f"SELECT pg_advisory_unlock({SERVER})")

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
            kind = "_shared" if self._shares else ""
            if not self._try("pg_try_advisory_lock" + kind):
                raise TakenOverError

    def _answers(self) -> bool:
        """Return whether we hold the lock, by a connection that still lives."""
        try:
            self._connection.exec_driver_sql("SELECT 1")
        except (DBAPIError, ResourceClosedError):
            self._is_held = False
        return self._is_held

    def _try(self, function: str) -> bool:
        found = self._connection.exec_driver_sql(f"SELECT {function}({SERVER})")
        self._is_held = bool(found.scalar_one()) or self._is_held
        return self._is_held

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
            self._connection.exec_driver_sql("SELECT pg_advisory_unlock_all()")
        self._connection.invalidate()
        self._connection.close()
