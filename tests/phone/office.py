"""The office: a real server process over a folder of data, which can stop, die and be restored."""

import json
import shutil
import signal
import sqlite3
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

from app.core.kinds import Json
from app.core.record.canonical import digest
from app.store import news
from tests.browser.server import ROOT, Served, command, environment, told_address
from tests.phone.line import Line

SMALL_PAGE = 90  # entries: the demo has four such pages for Tobin's phone


class Office:
    """Serves through a line; the data outlive every process."""

    def __init__(self, data: Path, line: Line) -> None:
        self.data = data
        self.line = line
        self._served: Served | None = None
        self._process: subprocess.Popen[str] | None = None  # of another version's program

    def start(self, program: Path = ROOT, altered: Callable[[], None] | None = None) -> None:
        """Serve, with the program as it stands in this folder, or altered as Served does it."""
        if program == ROOT:
            self._served = Served(self.data, altered=altered)
            address = self._served.address
        else:
            address = self._start_other(program)
        self.line.server = int(address.rsplit(":", 1)[1])

    def _start_other(self, program: Path) -> str:
        complaints = self.data / "complaints.txt"
        with complaints.open("a", encoding="utf-8") as said:
            self._process = subprocess.Popen(
                command("serve", "--host", "127.0.0.1", "--port", "0"),
                cwd=program,
                env={**environment(self.data), "PYTHONPATH": str(program)},
                stdout=subprocess.PIPE,
                stderr=said,
                text=True,
            )
        return told_address(self._process, complaints)

    def stop(self, how: int = signal.SIGTERM) -> None:
        """Stop serving; with SIGKILL as a machine does that loses its power."""
        self.line.server = 0
        served, self._served = self._served, None
        if served is not None:
            served.stop(how)
        process, self._process = self._process, None
        if process is not None:
            process.send_signal(how)
            process.wait(timeout=30)
            if process.stdout is not None:
                process.stdout.close()

    @property
    def database(self) -> Path:
        """Where the events are."""
        return self.data / "sillbook.db"

    def rows(self, statement: str, *values: Any) -> list[tuple[Any, ...]]:
        """Ask the database, read-only, beside the running server."""
        with sqlite3.connect(f"file:{self.database}?mode=ro", uri=True, timeout=10) as database:
            found = database.execute(statement, values).fetchall()
        database.close()
        return found

    def change(self, statement: str) -> None:
        """Change the database while the server is stopped."""
        with sqlite3.connect(self.database, timeout=10) as database:
            database.execute(statement)
        database.close()

    def events(self, opening: str = "") -> list[Json]:
        """Return the log, as it was received."""
        where = "WHERE opening = ?" if opening else "WHERE ? = ''"
        return [
            json.loads(row[0])
            for row in self.rows(f"SELECT body FROM event {where} ORDER BY seq", opening)
        ]

    def epoch(self) -> str:
        """Return the epoch."""
        return str(self.rows("SELECT value FROM setting WHERE name = 'epoch'")[0][0])

    def backup(self, to: Path) -> None:
        """Copy the database as it stands (SQLite's own VACUUM INTO)."""
        with sqlite3.connect(self.database, timeout=10) as database:
            database.execute("VACUUM INTO ?", (str(to),))
        database.close()

    def restore(self, copy: Path) -> None:
        """Put a copy in the place of the database; the server must be stopped."""
        for path in self.data.glob("sillbook.db*"):
            path.unlink()
        shutil.copy(copy, self.database)


def newer_program(folder: Path) -> Path:
    """Return a copy of the program as a later version has it: one heading says something else."""
    for name in ("app", "templates", "static", "migrations", "seed_data"):
        shutil.copytree(ROOT / name, folder / name)  # what Python compiled too: it starts sooner
    page = folder / "templates" / "field" / "list.html"
    page.write_text(
        page.read_text("utf-8").replace("Openings to be set", "Doors to be set"), "utf-8"
    )
    return folder


def with_small_pages() -> None:
    """Let this process give phones their news in pages of SMALL_PAGE entries."""
    give = news.news_page
    assert give.__defaults__ == (news.PAGE, None)
    give.__defaults__ = (SMALL_PAGE, None)


def chains_hold(events: list[Json]) -> None:
    """Assert that every device's chain of every opening is whole, link by link, from 1."""
    lasts: dict[tuple[str, str], Json] = {}
    for event in sorted(events, key=lambda each: each["n"]):
        chain = (event["opening"], event["device"])
        before = lasts.get(chain)
        assert event["n"] == (before["n"] + 1 if before else 1), event
        assert event["prev"] == (digest(before) if before else ""), event
        lasts[chain] = event
