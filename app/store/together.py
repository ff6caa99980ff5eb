"""Work that waits for the one writer, to be done and committed together."""

from collections.abc import Callable, Collection
from threading import Lock
from typing import Any

from sqlalchemy.exc import DBAPIError
from sqlmodel import Session

from app.store.postgres import is_race


class WiderWorkError(BaseException):
    """The work is about more than it said: nobody else may write meanwhile.

    No fault, so no Exception: who keeps a fault at one opening from the others' entries does not
    keep this.
    """


def must_be_about(session: Session, subject: str) -> None:
    """Raise WiderWorkError where this transaction writes beside others, about something else."""
    about = session.info.get("about")
    if about is not None and subject not in about:
        raise WiderWorkError(subject)


def must_be_alone(session: Session) -> None:
    """Raise WiderWorkError where other servers may write meanwhile."""
    if session.info.get("about") is not None:
        raise WiderWorkError


class WriteJob:
    """One piece of work; result() gives what it returned, or raises what it raised.

    about: see Database.write_together().
    """

    def __init__(
        self, work: Callable[[Session], Any], about: Collection[str] | None = None
    ) -> None:
        self._work = work
        self.about = about
        self._result: Any = None
        self._error: BaseException | None = None
        self.done = False

    def run(self, session: Session, alone: bool = False) -> None:
        """Do the work in a savepoint: where it fails, the others' work stands.

        alone: there are no others; then an error is the transaction's. Errors: WiderWorkError;
        DBAPIError where another server wrote the same: it is to be done alone.
        """
        self.done = True
        self._result = self._error = None  # done again, it begins anew
        if alone:
            self._result = self._work(session)
            return
        try:
            with session.begin_nested():
                self._result = self._work(session)
        except Exception as error:  # whatever it is, its own caller gets it
            beside = session.info.get("about") is not None
            if beside and isinstance(error, DBAPIError) and is_race(error):
                raise
            self._error = error
            if "folds" in session.info:  # what was folded of its entries, which were taken back
                session.info["folds"].drop(session.info.get("touched", ()))

    def fail(self, error: BaseException) -> None:
        """Nothing of it was committed."""
        self.done = True
        self._error = error

    def result(self) -> Any:
        """Return what the work returned; raises what it raised."""
        if self._error is not None:
            raise self._error
        return self._result


# PostgreSQL has room for some 6,400 locks: 64 for each of 100 sessions (its manual, 20.12)
MOST_SUBJECTS = 300


def subjects_of(jobs: list[WriteJob]) -> frozenset[str] | None:
    """Return all that some jobs are about; None where one does not say, or that is too much."""
    subjects: set[str] = set()
    for job in jobs:
        if job.about is None:
            return None
        subjects.update(job.about)
    return frozenset(subjects) if len(subjects) <= MOST_SUBJECTS else None


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
