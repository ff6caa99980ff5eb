"""A real Sillbook for browser tests: the command line in a process of its own."""

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
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


def load_demo(data: Path) -> None:
    """Make the demo company in an empty folder."""
    subprocess.run(
        command("demo"),
        cwd=ROOT,
        env=environment(data),
        check=True,
        capture_output=True,
        timeout=PATIENCE,
    )


@contextmanager
def serving(data: Path) -> Iterator[Sillbook]:
    """Serve a folder's data on a free port; the process is gone at the end, whatever happens."""
    complaints = data / "complaints.txt"
    with complaints.open("w", encoding="utf-8") as said:
        process = subprocess.Popen(
            command("serve", "--host", "127.0.0.1", "--port", "0"),
            cwd=ROOT,
            env=environment(data),
            stdout=subprocess.PIPE,
            stderr=said,
            text=True,
        )
        try:
            yield Sillbook(_address(process, complaints), complaints)
        finally:
            _stop(process)


def _address(process: "subprocess.Popen[str]", complaints: Path) -> str:
    """Return where it serves, as it says itself; it is killed when it says nothing for long."""
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


def _stop(process: "subprocess.Popen[str]") -> None:
    process.terminate()
    try:
        process.wait(timeout=10)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
    if process.stdout is not None:
        process.stdout.close()
