"""Tries to sign in slow down, by account and by address; nobody is locked out for good."""

from threading import Lock

from app.core.errors import AppError
from app.core.quantity.messages import Plural

FORGET = 15 * 60  # seconds of quiet after which tries are forgotten
MOST_KEPT = 10_000


class TooManyError(AppError):
    """Too many tries: wait."""

    status = 429

    def __init__(self, seconds: int) -> None:
        words = Plural(
            "Too many tries. Wait {count} second, then try again.",
            "Too many tries. Wait {count} seconds, then try again.",
        ).of(seconds)
        super().__init__("too-many-tries", words, seconds=seconds)


class SlowDown:
    """Counts tries by a key. The first `free` cost nothing, then each doubles the wait.

    The wait never exceeds `longest` seconds. A try that is refused for being too early does not
    count: who waits can try again, unless others use the same key meanwhile. A wait that is longer
    than any was made under a clock that was ahead, and is over.
    """

    def __init__(self, free: int, longest: int) -> None:
        self.free = free
        self.longest = longest
        self._tries: dict[str, tuple[int, float]] = {}  # key -> (tries, when the wait is over)
        self._lock = Lock()

    def enter(self, key: str, now: float) -> None:
        """Count a try before it is made; raises TooManyError while its wait is not over."""
        with self._lock:
            count, until = self._tries.get(key, (0, 0.0))
            if until > now + self.longest:
                until = now
            if now < until:
                raise TooManyError(int(until - now) + 1)
            count = 0 if now - until > FORGET else count
            self._tries[key] = (count + 1, now + self._wait(count + 1))
            self._forget_old(now)

    def _wait(self, count: int) -> int:
        return min(2 ** min(count - self.free, 16), self.longest) if count > self.free else 0

    def _forget_old(self, now: float) -> None:
        if len(self._tries) > MOST_KEPT:
            recent = range(-self.longest, FORGET + 1)
            self._tries = {k: v for k, v in self._tries.items() if int(now - v[1]) in recent}

    def forget(self, key: str) -> None:
        """Forget the tries of a key, after one that was right."""
        with self._lock:
            self._tries.pop(key, None)


class SignInLimits:
    """The limits of signing in: an account's and an address's, where a whole crew may sit.

    known: a lane for each browser in which the account signed in before, each paired phone and
    each session, so that strangers who guess keep nobody out. invited: how often an address may
    try the codes of invitations.
    """

    def __init__(self) -> None:
        self.account = SlowDown(free=5, longest=60)
        self.address = SlowDown(free=30, longest=30)
        self.known = SlowDown(free=5, longest=60)
        self.invited = SlowDown(free=10, longest=60)

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
