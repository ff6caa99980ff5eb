"""Several servers on one PostgreSQL: who waits for whom, and what no reader may miss (fault 17).

The servers are opened in one process here; tests/sync/test_server_processes.py has real ones.
"""

import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from threading import Event as Signal
from threading import Thread
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as NoConnectionError
from sqlmodel import Session, select

from app.access.slowdown import MinuteLimit, SharedCounts, SlowDown, TooManyError
from app.core.errors import RefusedError
from app.core.kinds import Json
from app.core.record.state import State
from app.main import create_app
from app.settings import Settings
from app.store import listening, log, news
from app.store.database import Database
from app.store.folds import Folds
from app.store.news import Cursor
from app.store.tables import Assigned, Device, DevicePerson, Event, Person, Setting
from app.store.together import must_be_alone
from app.sync.check import DailyCheck
from tests.core.sample import PROCEDURES
from tests.store.conftest import fill
from tests.store.events import tick
from tests.store.test_postgres import kill_a_backend, own_address
from tests.sync.conftest import issue

__all__ = ["own_address"]
WAIT = 30


@pytest.fixture
def start(postgres_store: Settings) -> Iterator[Callable[[], FastAPI]]:
    """Start one more server; all are stopped at the end."""
    apps: list[FastAPI] = []

    def more() -> FastAPI:
        apps.append(create_app(postgres_store))
        return apps[-1]

    yield more
    for app in apps:
        app.state.server.database.close()


@pytest.fixture
def both(start: Callable[[], FastAPI]) -> tuple[Database, Database]:
    """Two servers; two openings, and a phone that may see both."""
    one, two = (start().state.server.database for _ in range(2))
    fill(one)
    with one.write() as session:
        session.add(Assigned(opening="op-2", person="inga"))
        phone = {"id": "phone-1", "name": "", "person": "inga", "key": "k", "made": 1}
        session.add(Device(**phone, key_hash="h", token_hash="t"))
        session.flush()
        session.add(DevicePerson(device="phone-1", person="inga", since=0))
    return one, two


def entry(opening: str, device: str = "web-a", **more: str) -> Json:
    return {**tick([]), "opening": opening, "device": device, **more}


class Slow:
    """A write that has numbered its events, and is committed when it is told to."""

    def __init__(self, database: Database, *events: Json, about: set[str] | None = None) -> None:
        self.numbered, self.commits = Signal(), Signal()
        self.error: Exception | None = None
        self._database, self._events = database, events
        self._about = about if about is not None else {event["opening"] for event in events}
        self._thread = Thread(target=self._run, daemon=True)
        self._thread.start()

    def _run(self) -> None:
        try:
            self._database.write_together(self._work, self._about)
        except Exception as error:  # noqa: BLE001  (the test looks at it)
            self.error = error

    def _work(self, session: Session) -> None:
        log.append_events(session, self._events)
        self.numbered.set()
        assert self.commits.wait(WAIT)

    def end(self) -> None:
        self.commits.set()
        self._thread.join(WAIT)
        assert not self._thread.is_alive()

    def succeed(self) -> None:
        self.end()
        assert self.error is None, self.error


def write(database: Database, *events: Json, about: set[str] | None = None) -> None:
    named = about if about is not None else {event["opening"] for event in events}
    database.write_together(lambda session: log.append_events(session, events), named)


def pull(database: Database, after: Cursor) -> news.NewsPage:
    upto = database.settled_number()
    with database.read() as session:
        return news.news_page(session, "phone-1", after, upto=upto)


def ids(page: news.NewsPage) -> list[str]:
    return [event["id"] for event in page.events]


def number_of(database: Database, event: Json) -> int:
    with database.read() as session:
        return session.get_one(Event, event["id"]).seq


def test_17_the_later_number_is_committed_first_and_no_pull_passes_the_other(
    both: tuple[Database, Database],
) -> None:
    """Two servers write at once, about two openings; a phone asks in between, of either."""
    one, two = both
    first, second = entry("op-1"), entry("op-2")
    slow = Slow(one, first)
    assert slow.numbered.wait(WAIT)
    write(two, second)
    between = [pull(database, Cursor()) for database in both]
    slow.succeed()
    assert number_of(one, first) < number_of(one, second)
    for page in between:
        assert ids(page) == []
        assert page.more  # something is here already: ask again at once
    after = pull(two, between[0].cursor)
    assert ids(after) == [first["id"], second["id"]]
    assert not after.more


def test_17_by_the_numbers_alone_a_pull_would_pass_it(both: tuple[Database, Database]) -> None:
    """The fault itself, so that the test above is known to look at it."""
    one, two = both
    first, second = entry("op-1"), entry("op-2")
    slow = Slow(one, first)
    assert slow.numbered.wait(WAIT)
    write(two, second)
    with two.read() as session:
        between = news.news_page(session, "phone-1", Cursor())
    slow.end()
    assert ids(between) == [second["id"]]
    assert ids(pull(two, between.cursor)) == []  # the first one never comes


def test_17_what_is_handed_over_meanwhile_waits_too(both: tuple[Database, Database]) -> None:
    """Openings handed to people are numbered in the same row, by a trigger."""
    one, two = both
    slow = Slow(one, entry("op-1"))
    assert slow.numbered.wait(WAIT)
    given = Thread(target=_hand_over, args=(two,), daemon=True)
    given.start()
    time.sleep(0.3)
    assert given.is_alive()  # it did not say what it is about: it waits for all others
    slow.end()
    given.join(WAIT)
    with one.read() as session:
        numbers = session.exec(select(Assigned.since)).all()
        assert max(numbers) > number_of(one, {"id": session.exec(select(Event.id)).one()})


def _hand_over(database: Database) -> None:
    with database.write() as session:
        session.add(Person(id="olga", name="Olga", role="installer", login="olga", password="none"))
        session.flush()
        session.add(Assigned(opening="op-2", person="olga"))


def test_about_one_opening_the_second_waits_for_the_first(both: tuple[Database, Database]) -> None:
    one, two = both
    first = entry("op-1")
    then = {**tick([first], device="web-a"), "opening": "op-1"}
    slow = Slow(one, first)
    assert slow.numbered.wait(WAIT)
    late = Slow(two, then)
    assert not late.numbered.wait(0.5)
    slow.end()
    assert late.numbered.wait(WAIT)
    late.end()
    assert (slow.error, late.error) == (None, None)
    assert number_of(one, first) < number_of(one, then)


def test_work_about_more_than_it_said_is_done_again_alone(both: tuple[Database, Database]) -> None:
    one, two = both
    slow = Slow(one, entry("op-1"))
    assert slow.numbered.wait(WAIT)
    wider = entry("op-2")
    late = Slow(two, wider, about={"op-9"})
    assert not late.numbered.wait(0.5)  # it waits for all others now
    slow.end()
    late.end()
    assert late.error is None
    assert number_of(one, wider)


def test_work_about_very_much_is_done_alone(both: tuple[Database, Database]) -> None:
    """A phone names what it likes: PostgreSQL has room for so many locks, and then for nobody's."""
    many = {"op-1", *(f"made-up-{number}" for number in range(400))}
    done: list[object] = []
    both[0].write_together(lambda session: done.append(session.info["about"]), many)
    assert done == [None]


def test_a_check_of_an_instrument_is_kept_alone(both: tuple[Database, Database]) -> None:
    """Other openings may have to hear of it: their writers are waited for."""
    one, two = both
    slow = Slow(one, entry("op-1"))
    assert slow.numbered.wait(WAIT)
    late = Slow(two, entry("op-2", kind="instrument.named", body={"instrument": "i-1"}))  # type: ignore[arg-type]
    assert not late.numbered.wait(0.5)
    slow.end()
    late.end()


def test_one_id_in_two_openings_at_once_is_an_error_of_the_second_alone(
    both: tuple[Database, Database],
) -> None:
    """A hostile phone: its other entries, and everybody else's, are kept."""
    one, two = both
    first = entry("op-1")
    twin = entry("op-2", id=first["id"])
    slow = Slow(one, first)
    assert slow.numbered.wait(WAIT)
    late = Slow(two, twin)
    slow.end()
    late.end()
    assert slow.error is None
    assert isinstance(late.error, RefusedError)
    assert late.error.code == "entry-already-used"
    write(two, entry("op-2"))


def test_an_error_that_is_no_race_is_its_caller_s_and_is_done_once(
    both: tuple[Database, Database],
) -> None:
    """Done again alone it would stop every other server, to fail once more."""
    done = []

    def work(session: Session) -> None:
        done.append(session.info["about"])
        session.connection().exec_driver_sql("SELECT 1 / 0")

    with pytest.raises(DBAPIError, match="division by zero"):
        both[0].write_together(work, {"op-1"})
    assert done == [frozenset({"op-1"})]
    write(both[0], entry("op-1"))


def test_what_broke_off_before_its_commit_was_heard_of_is_not_done_again(
    both: tuple[Database, Database], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody knows what was committed: whoever sent it asks again, by the same ids."""
    one, two = both
    done = []

    def work(session: Session) -> None:
        done.append(session.info["about"])
        log.append_events(session, [entry("op-1")])

    def cut(session: Session) -> None:
        number = session.connection().exec_driver_sql("SELECT pg_backend_pid()").scalar_one()
        with two.engine.connect() as other:
            other.exec_driver_sql(f"SELECT pg_terminate_backend({number})")
        time.sleep(0.3)

    with monkeypatch.context() as patch:
        patch.setattr(one, "before_commit", cut)
        with pytest.raises(DBAPIError):
            one.write_together(work, {"op-1"})
    assert done == [frozenset({"op-1"})]
    write(one, entry("op-1"))


def test_who_keeps_faults_from_others_does_not_keep_wider_work_from_being_done(
    both: tuple[Database, Database],
) -> None:
    """As where the office issues a sheet of itself: a fault there is logged, the entry kept."""
    done = []

    def forgiving(session: Session) -> None:
        done.append(session.info["about"])
        with suppress(Exception):
            must_be_alone(session)

    both[0].before_commit = forgiving
    write(both[0], entry("op-1"))
    assert done == [frozenset({"op-1"}), None]


def test_what_was_taken_back_is_not_carried_forward(both: tuple[Database, Database]) -> None:
    """Work that failed after it had kept an entry, and had asked what is folded with it."""
    one = both[0]
    first = entry("op-1")
    write(one, first)
    spoiled, kept = ({**tick([first], device="web-a"), "opening": "op-1"} for _ in range(2))

    def work(session: Session) -> None:
        log.append_events(session, [spoiled])
        assert session.info["folds"].get_heard(session, "op-1").events[-1] == spoiled
        raise LookupError

    with pytest.raises(LookupError):
        one.write_together(work, {"op-1"})
    write(one, kept)
    fold = one.summaries.folds.get("op-1")
    assert fold is not None
    assert [event["id"] for event in fold.events] == [first["id"], kept["id"]]


def test_a_fault_in_what_another_server_kept_is_no_error_of_the_next_batch(
    both: tuple[Database, Database], monkeypatch: pytest.MonkeyPatch
) -> None:
    one, _ = both
    write(one, entry("op-1"))
    folds = one.summaries.folds
    with Session(one.engine, info={"several": True}) as session:
        known = folds.get("op-1")
        assert known is not None
        known.state = State([issue("office-1", "op-1")], PROCEDURES)
        monkeypatch.setattr(Folds, "state_of", lambda *_: {}["a fault of the program"])
        assert folds.get_heard(session, "op-1") is None  # it is read anew


def test_what_a_server_carries_forward_hears_the_other_ones(
    both: tuple[Database, Database],
) -> None:
    one, two = both
    events = [entry("op-1")]
    write(one, events[0])
    for turn in range(6):
        events.append({**tick(events, device="web-a"), "opening": "op-1"})
        write((two, one)[turn % 2], events[-1])
    for database in both:
        info: dict[str, Any] = {"several": True}
        with Session(database.engine, info=info) as session:
            fold = database.summaries.folds.get_heard(session, "op-1")
        assert fold is not None
        assert [event["id"] for event in fold.events] == [event["id"] for event in events]


def test_a_server_with_another_folder_is_refused(
    both: tuple[Database, Database], postgres_store: Settings, tmp_path: Path
) -> None:
    """Its photos and its signing key would be others'."""
    with pytest.raises(RefusedError) as refused:
        create_app(Settings(tmp_path / "elsewhere", postgres=postgres_store.postgres))
    assert refused.value.code == "folder-differs"


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE setting SET value = 'other' WHERE name = 'summaries'",
        "UPDATE alembic_version SET version_num = 'older'",
    ],
)
def test_a_server_of_another_version_is_refused_while_others_run(
    change: str, both: tuple[Database, Database], postgres_store: Settings
) -> None:
    with both[0].write() as session:
        session.connection().exec_driver_sql(change)
    with pytest.raises(RefusedError) as refused:
        create_app(postgres_store)
    assert refused.value.code == "database-version"


def test_a_command_that_must_be_alone_is_refused_while_servers_run(
    both: tuple[Database, Database], postgres_store: Settings
) -> None:
    with pytest.raises(RefusedError) as refused:
        Database(postgres_store.database, postgres_store.postgres)
    assert refused.value.code == "database-in-use"


def test_the_epoch_goes_on_whoever_starts_and_ends(
    postgres_store: Settings, start: Callable[[], FastAPI]
) -> None:
    one = start()
    epoch = _setting(one, "epoch")
    two = start()
    one.state.server.database.close()
    assert _setting(two, "epoch") == epoch
    three = start()
    two.state.server.database.close()
    three.state.server.database.close()
    assert _setting(start(), "epoch") == epoch


def _setting(app: FastAPI, name: str) -> str:
    with app.state.server.database.read() as session:
        return str(session.get_one(Setting, name).value)


def test_limits_are_counted_together(both: tuple[Database, Database]) -> None:
    """Twelve tries are twelve, whichever servers they are made at."""
    slows = [SlowDown(4, 60, "account", SharedCounts(one.engine)) for one in both]
    for turn in range(5):
        slows[turn % 2].enter("inga", 1000.0)
    for slow in slows:
        with pytest.raises(TooManyError) as refused:
            slow.enter("inga", 1000.0)
        assert refused.value.details["seconds"] == 3
    slows[0].enter("otto", 1000.0)
    slows[0].forget("inga")
    slows[1].enter("inga", 1000.0)
    with both[0].read() as session:  # nobody's name is kept
        kept = session.connection().exec_driver_sql("SELECT key FROM slow_down").scalars().all()
    assert len(kept) == 2
    assert not any("inga" in key or "otto" in key for key in kept)


@pytest.mark.control(41)
def test_a_token_s_requests_are_counted_by_all_servers_together(
    both: tuple[Database, Database],
) -> None:
    limits = [MinuteLimit(10, "token", SharedCounts(one.engine)) for one in both]
    for turn in range(10):
        limits[turn % 2].enter("t", 120.0 + turn)
    for limit in limits:
        with pytest.raises(TooManyError):
            limit.enter("t", 179.0)
        limit.enter("other", 179.0)
    limits[0].enter("t", 180.0)  # another minute


def test_of_several_servers_one_looks_at_all_each_day(both: tuple[Database, Database]) -> None:
    checks = [DailyCheck(one, seconds=3600) for one in both]
    assert [check._is_ours() for check in checks] == [True, False]


class Deaf:
    """A database that gives no connection to listen by: its pool is used up, say."""

    changes = 0

    class engine:  # noqa: N801
        @staticmethod
        def connect() -> None:
            raise NoConnectionError

    def settled_number(self) -> int:
        return self.changes + 1


def test_a_server_that_has_no_connection_to_listen_by_asks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(listening, "POLL_SECONDS", 0.01)
    deaf = Deaf()
    listener = listening.Listener(deaf)  # type: ignore[arg-type]
    listener.start()
    late = time.monotonic() + WAIT
    while deaf.changes < 3 and listener.is_alive():
        assert time.monotonic() < late
        time.sleep(0.01)
    listener.stop()
    assert deaf.changes >= 3


def heard(database: Database, before: int) -> bool:
    late = time.monotonic() + WAIT
    while time.monotonic() < late:
        if database.changes != before:
            return True
        time.sleep(0.02)
    return False


@pytest.mark.parametrize("way", ["listening", "asking"])
def test_every_server_hears_of_a_commit(
    both: tuple[Database, Database], way: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """asking: where a connection to listen cannot be had, or breaks."""
    if way == "asking":
        monkeypatch.setattr(listening, "CHANNEL", "no channel;")
        monkeypatch.setattr(listening, "POLL_SECONDS", 0.1)
    else:
        monkeypatch.setattr(listening, "POLL_SECONDS", 60.0)
    for database in both:
        assert database.listener is not None
        database.listener.start()
        assert heard(database, 0)  # it has begun
    time.sleep(0.3)
    for turn in range(3):
        before = [database.changes for database in both]
        write(both[turn % 2], entry("op-1", device=f"web-{turn}"))
        assert all(heard(*each) for each in zip(both, before, strict=True))
    began = time.monotonic()
    for database in both:  # a minute until each would look whether it has ended
        database.close()
        assert database.listener is not None
        assert not database.listener.is_alive()
    assert time.monotonic() - began < WAIT


def test_after_a_crash_of_postgresql_servers_go_on_beside_each_other(
    own_address: str, tmp_path: Path
) -> None:
    """One starts as the first meanwhile, before the other has its share of the lock again."""
    settings = Settings(tmp_path, postgres=own_address)
    app = create_app(settings)
    kill_a_backend(own_address)
    second = create_app(settings)
    assert TestClient(app).get("/health").text == "ok"
    for one, name in ((app, "one"), (second, "two"), (app, "three")):
        with one.state.server.database.write() as session:
            session.merge(Setting(name=name, value="x"))
    assert _setting(second, "three") == "x"
    for one in (app, second):
        one.state.server.database.close()
