"""Tries to sign in slow down, by account and by address; nobody is locked out for good."""

import hashlib
from collections.abc import Callable
from threading import Lock
from typing import Protocol

from sqlalchemy import Engine, text

from app.core.errors import AppError
from app.core.quantity.messages import Plural

FORGET = 15 * 60  # seconds of quiet after which tries are forgotten
LONGEST = 60  # seconds that anybody ever waits
MOST_KEPT = 10_000
MOST_A_MINUTE = 600  # requests of one API token


class TooManyError(AppError):
    """Too many tries: wait."""

    status = 429

    def __init__(self, seconds: int) -> None:
        words = Plural(
            "Too many tries. Wait {count} second, then try again.",
            "Too many tries. Wait {count} seconds, then try again.",
        ).of(seconds)
        super().__init__("too-many-tries", words, seconds=seconds)


# (tries, when the wait is over): of a key before a try, and after it
Count = tuple[int, float]
Step = Callable[[Count], Count]


class Counts(Protocol):
    """Where tries are counted."""

    def change(self, key: str, now: float, step: Step) -> None:
        """Put what `step` makes of a key's count in its place; nothing where that raises."""

    def forget(self, key: str) -> None:
        """Forget a key."""


class OwnCounts:
    """Counts of one process: they begin anew with it."""

    def __init__(self) -> None:
        self._kept: dict[str, Count] = {}
        self._lock = Lock()

    def change(self, key: str, now: float, step: Step) -> None:
        """Put what `step` makes of a key's count in its place; nothing where that raises."""
        with self._lock:
            self._kept[key] = step(self._kept.get(key, (0, 0.0)))
            if len(self._kept) > MOST_KEPT:
                recent = range(-LONGEST, FORGET + 1)
                self._kept = {k: v for k, v in self._kept.items() if int(now - v[1]) in recent}

    def forget(self, key: str) -> None:
        """Forget a key."""
        with self._lock:
            self._kept.pop(key, None)


class SharedCounts:
    """Counts that several servers share, in PostgreSQL. Keys are kept as hashes: who tried what,
    and from where, is in no copy of the database."""

    def __init__(self, engine: Engine) -> None:
        options = {"isolation_level": "READ COMMITTED"}
        self._engine = engine.execution_options(**options)
        self._changed = 0

    def change(self, key: str, now: float, step: Step) -> None:
        """Put what `step` makes of a key's count in its place; nothing where that raises."""
        self._changed += 1
        with self._engine.begin() as connection:
            connection.exec_driver_sql("SET LOCAL synchronous_commit = off")
            found = connection.execute(_HOLD, {"key": _hashed(key)}).one()
            tries, until = step((found.tries, found.until / 1000))
            values = {"key": _hashed(key), "tries": tries, "until": round(until * 1000)}
            connection.execute(_COUNT, values)
            if self._changed % 1000 == 0:
                connection.execute(_TIDY, {"old": round((now - FORGET - LONGEST) * 1000)})

    def forget(self, key: str) -> None:
        """Forget a key."""
        with self._engine.begin() as connection:
            connection.execute(_FORGET, {"key": _hashed(key)})


_HOLD = text(
    "INSERT INTO slow_down (key, tries, until) VALUES (:key, 0, 0)"
    " ON CONFLICT (key) DO UPDATE SET key = slow_down.key RETURNING tries, until"
)
_COUNT = text("UPDATE slow_down SET tries = :tries, until = :until WHERE key = :key")
_TIDY = text("DELETE FROM slow_down WHERE until < :old")
_FORGET = text("DELETE FROM slow_down WHERE key = :key")


def _hashed(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()


class SlowDown:
    """Counts tries by a key. The first `free` cost nothing, then each doubles the wait.

    The wait never exceeds `longest` seconds. A try that is refused for being too early does not
    count: who waits can try again, unless others use the same key meanwhile. A wait that is longer
    than any was made under a clock that was ahead, and is over. name: of what is tried, where
    `counts` counts other tries as well.
    """

    def __init__(
        self, free: int, longest: int, name: str = "", counts: Counts | None = None
    ) -> None:
        self.free = free
        self.longest = longest
        self._name = name
        self._counts = counts or OwnCounts()

    def enter(self, key: str, now: float) -> None:
        """Count a try before it is made; raises TooManyError while its wait is not over."""

        def step(before: Count) -> Count:
            count, until = before
            if until > now + self.longest:
                until = now
            if now < until:
                raise TooManyError(int(until - now) + 1)
            count = 0 if now - until > FORGET else count
            return count + 1, now + self._wait(count + 1)

        self._counts.change(f"{self._name} {key}", now, step)

    def _wait(self, count: int) -> int:
        return min(2 ** min(count - self.free, 16), self.longest) if count > self.free else 0

    def forget(self, key: str) -> None:
        """Forget the tries of a key, after one that was right."""
        self._counts.forget(f"{self._name} {key}")


class MinuteLimit:
    """Counts what a key asks in a minute of the clock, up to `most`. name, counts: see SlowDown."""

    def __init__(self, most: int, name: str, counts: Counts) -> None:
        self.most = most
        self._name = name
        self._counts = counts

    def enter(self, key: str, now: float) -> None:
        """Count a request; raises TooManyError until the minute is over."""
        end = (now // 60 + 1) * 60

        def step(before: Count) -> Count:
            count = before[0] if before[1] == end else 0
            if count >= self.most:
                raise TooManyError(int(end - now) + 1)
            return count + 1, end

        self._counts.change(f"{self._name} {key}", now, step)


class SignInLimits:
    """The limits of signing in: an account's and an address's, where a whole crew may sit.

    known: a lane for each browser in which the account signed in before, each paired phone and
    each session, so that strangers who guess keep nobody out. invited, paired: how often an
    address may try the codes of invitations, and of phones. linked: links and codes of records.
    asked: tokens of other programs that are wrong. token: requests of one that holds.
    """

    def __init__(self, counts: Counts | None = None) -> None:
        counts = counts or OwnCounts()
        self.account = SlowDown(5, LONGEST, "account", counts)
        self.address = SlowDown(30, 30, "address", counts)
        self.known = SlowDown(5, LONGEST, "known", counts)
        self.invited = SlowDown(10, LONGEST, "invited", counts)
        self.paired = SlowDown(10, LONGEST, "paired", counts)
        self.linked = SlowDown(20, 30, "linked", counts)
        self.asked = SlowDown(20, 30, "asked", counts)
        self.token = MinuteLimit(MOST_A_MINUTE, "token", counts)

    def enter(self, login: str, address: str, lane: str, now: float) -> None:
        """Count a try, in the lane of a known browser or else for both; raises TooManyError."""
        if lane:
            self.known.enter(lane, now)
        else:
            self.address.enter(address, now)
            self.account.enter(login, now)

    def succeeded(self, login: str, address: str, lane: str) -> None:
        """Forget what was counted, after a sign-in that was right."""
        if lane:
            self.known.forget(lane)
        else:
            self.account.forget(login)
            self.address.forget(address)
