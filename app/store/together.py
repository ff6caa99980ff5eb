"""Work that waits for the one writer, to be done and committed together."""

from collections.abc import Callable
from threading import Lock
from typing import Any

from sqlmodel import Session


class WriteJob:
    """One piece of work; result() gives what it returned, or raises what it raised."""

    def __init__(self, work: Callable[[Session], Any]) -> None:
        self._work = work
        self._result: Any = None
        self._error: BaseException | None = None
        self.done = False

    def run(self, session: Session) -> None:
        """Do the work in a savepoint: where it fails, the others' work stands."""
        self.done = True
        self._result = self._error = None  # done again, it begins anew
        try:
            with session.begin_nested():
                self._result = self._work(session)
        except Exception as error:  # noqa: BLE001  (whatever it is, its own caller gets it)
            self._error = error

    def fail(self, error: BaseException) -> None:
        """Nothing of it was committed."""
        self.done = True
        self._error = error

    def result(self) -> Any:
        """Return what the work returned; raises what it raised."""
        if self._error is not None:
            raise self._error
        return self._result


class WriteQueue:
    """Jobs that wait."""

    def __init__(self) -> None:
        self._jobs: list[WriteJob] = []
        self._lock = Lock()

    def put(self, job: WriteJob) -> None:
        """Add a job."""
        with self._lock:
            self._jobs.append(job)

    def take(self) -> list[WriteJob]:
        """Take all of them away, in the order they came."""
        with self._lock:
            jobs, self._jobs = self._jobs, []
        return jobs
