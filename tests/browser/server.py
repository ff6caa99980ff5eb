"""A real Sillbook for browser tests: the program in a process of its own."""

import multiprocessing
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing.context import ForkServerProcess
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Timer

ROOT = Path(__file__).resolve().parents[2]
PATIENCE = 120  # seconds; a loaded machine is slow to start
TOLD = re.compile(r"Sillbook is at (http://\S+)")


class NotServing(Exception):
    """The server did not come up; the text is what it said."""


@dataclass(frozen=True)
class Sillbook:
    """A running server: its address, and the file with what it complained of."""

    address: str
    complaints: Path

    def url(self, path: str) -> str:
        """Return the whole address of a path."""
        return self.address + path


def command(*words: str) -> list[str]:
    """Return the command line, under the Python that runs the tests."""
    return [sys.executable, "-m", "app.cli", *words]


def environment(data: Path) -> dict[str, str]:
    """Return the environment with the data kept in this folder."""
    return {**os.environ, "SILLBOOK_DATA": str(data), "PYTHONUNBUFFERED": "1"}


class Served:
    """A server process over a folder's data, forked from one that has loaded the program.

    Real in all but its start: the command line's own `serve`, in a process that can be killed.
    tests/tooling/test_cli.py starts the command as people do.
    """

    def __init__(self, data: Path, *words: str, altered: Callable[[], None] | None = None) -> None:
        """altered: what is done to the program in its process before it serves."""
        self.complaints = data / "complaints.txt"
        self._said = data / "said.txt"
        self._said.unlink(missing_ok=True)
        words = ("serve", "--port", "0", *words)
        self._process = _forked(data, words, self._said, self.complaints, altered=altered)
        try:
            self.address = self._address()
        except BaseException:
            self.stop(signal.SIGKILL)
            raise

    def _address(self) -> str:
        """Return where it serves, as it says itself."""
        late = time.monotonic() + PATIENCE
        while time.monotonic() < late and self._process.is_alive():
            found = TOLD.search(self.said())
            if found:
                return found[1]
            time.sleep(0.02)
        raise NotServing(self.complaints.read_text(encoding="utf-8"))

    def said(self) -> str:
        """Return what it printed until now."""
        return self._said.read_text(encoding="utf-8") if self._said.exists() else ""

    def stop(self, how: int = signal.SIGTERM) -> None:
        """Stop it; it is gone afterwards, whatever happens."""
        if self._process.pid is not None and self._process.is_alive():
            os.kill(self._process.pid, how)
        self._process.join(timeout=10)
        if self._process.is_alive():
            self._process.kill()
            self._process.join()


_FORKS = multiprocessing.get_context("forkserver")
_FORKS.set_forkserver_preload(["app.cli", "tests.browser.warm"])


def _forked(
    data: Path,
    words: tuple[str, ...],
    said: Path,
    complaints: Path,
    given: str = os.devnull,
    altered: Callable[[], None] | None = None,
) -> ForkServerProcess:
    """Start the command line with these words, in a fork of a process that has loaded it."""
    arguments = (environment(data), words, str(said), str(complaints), given, altered)
    process = _FORKS.Process(target=_become_command, args=arguments, daemon=True)
    process.start()
    return process


def _become_command(
    surroundings: dict[str, str],
    words: tuple[str, ...],
    said: str,
    complaints: str,
    given: str,
    altered: Callable[[], None] | None,
) -> None:
    """Be the command line: what it reads, says and complains of are files."""
    from app import cli

    os.chdir(ROOT)
    os.environ.clear()
    os.environ.update(surroundings)
    for name, number, mode in ((given, 0, "rb"), (said, 1, "wb"), (complaints, 2, "ab")):
        with Path(name).open(mode) as file:
            os.dup2(file.fileno(), number)
    sys.stdin = os.fdopen(0, encoding="utf-8", closefd=False)
    if altered:
        altered()
    sys.exit(cli.main(list(words)))


def run_command(data: Path, *words: str, given: bytes = b"") -> "subprocess.CompletedProcess[str]":
    """Run the command line to its end in such a fork; returns its status and what it said.

    given: what it finds on standard input.
    """
    with TemporaryDirectory() as folder:
        said, complaints, asked = (Path(folder, name) for name in ("said", "complaints", "given"))
        asked.write_bytes(given)
        process = _forked(data, words, said, complaints, str(asked))
        process.join(PATIENCE)
        if process.exitcode is None:
            process.kill()
            raise subprocess.TimeoutExpired(words, PATIENCE)
        texts = (said.read_text(encoding="utf-8"), complaints.read_text(encoding="utf-8"))
        return subprocess.CompletedProcess(words, process.exitcode, *texts)


@contextmanager
def serving(data: Path) -> Iterator[Sillbook]:
    """Serve a folder's data on a free port; the process is gone at the end, whatever happens."""
    served = Served(data)
    try:
        yield Sillbook(served.address, served.complaints)
    finally:
        served.stop()


def told_address(process: "subprocess.Popen[str]", complaints: Path) -> str:
    """Return where a server that was started serves, as it says itself.

    It is killed when it says nothing for long.
    """
    assert process.stdout is not None
    late = Timer(PATIENCE, process.kill)
    late.start()
    try:
        for line in process.stdout:
            found = TOLD.search(line)
            if found:
                return found[1]
    finally:
        late.cancel()
    raise NotServing(complaints.read_text(encoding="utf-8"))
