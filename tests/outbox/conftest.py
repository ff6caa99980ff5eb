"""The demo company whose openings wait for review, with a worker that is called by the test."""

import shutil
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.main import create_app
from app.outbox.worker import OutboxWorker
from app.settings import Settings
from app.store import outbox
from app.store.database import Database
from app.store.outbox import Outgoing
from tests.demo.conftest import enter
from tests.office.conftest import fields
from tests.outbox.receivers import MailBox, Received, mail_server, webhook_receiver


class Clock:
    """The wall clock, and what a test moves it on."""

    def __init__(self) -> None:
        self.ahead = 0.0

    def __call__(self) -> float:
        return time.time() + self.ahead


@dataclass
class Company:
    """A Sillbook with a mail box and a receiver of webhooks. work: what is due is sent."""

    app: FastAPI
    database: Database
    office: TestClient
    keeper: TestClient
    crew: TestClient
    box: MailBox
    hook: Received
    clock: Clock
    worker: OutboxWorker
    settings: Settings

    def work(self) -> None:
        """Send all that is due."""
        while self.worker.work_once():
            pass

    def sign_in_again(self) -> None:
        """Begin new sessions, once the clock has gone on beyond their end."""
        roles = ("supervisor", "administrator", "installer")
        self.office, self.keeper, self.crew = (enter(self.app, role) for role in roles)

    def rows(self, **wanted: str) -> list[Outgoing]:
        """Return the rows of the outbox, oldest first."""
        with self.database.read() as session:
            found = outbox.newest_rows(session, 1000)
        fits = [r for r in found if all(getattr(r, k) == v for k, v in wanted.items())]
        return sorted(fits, key=lambda row: row.made)

    def choose(self, how: str = "at-once", mail: str = "nadia@example.org", *kinds: str) -> str:
        """Choose as the supervisor what to be told; without kinds all of them."""
        path = "/office/notices"
        given = fields(self.office.get(path).text, path)
        if kinds:
            given = {k: v for k, v in given.items() if not k.startswith("kind.")}
            given |= {f"kind.{kind}": "yes" for kind in kinds}
        return self.office.post(path, data={**given, "mail": mail, "how": how}).text

    def add_webhook(self, url: str = "") -> tuple[str, str]:
        """Make a webhook as the administrator; returns its id and its secret."""
        path = "/office/webhooks"
        given = fields(self.keeper.get(path).text, path)
        answer = self.keeper.post(path, data={**given, "url": url or self.hook.url})
        secret = answer.text.partition("<strong>whsec_")[2].partition("<")[0]
        assert secret, answer.text[-2000:]
        made = answer.text.partition('action="/office/webhooks/')[2].partition('"')[0]
        return made, "whsec_" + secret

    def ask(self, words: str = "drawing says 96", opening: str = "marrow-lane-b") -> None:
        """Raise a query as the crew does."""
        path = f"/field/o/{opening}/queries"
        given = fields(self.crew.get(path).text, path)
        sent = self.crew.post(path, data={**given, "what": words, "bars.B1": "yes"})
        assert sent.status_code == 200


@pytest.fixture
def company(waiting: Path, tmp_path: Path) -> Iterator[Company]:
    shutil.copytree(waiting, tmp_path / "data")
    with mail_server() as (box, smtp), webhook_receiver() as hook:
        settings = Settings(
            tmp_path / "data",
            "https://book.example.org",
            smtp=smtp,
            mail_from="Sillbook <book@example.org>",
            webhook_host=f"127.0.0.1:{hook.port}",
        )
        clock = Clock()
        app = create_app(settings, clock=clock)
        # not entered: the application's own worker does not run, so that a test says when
        browsers = [enter(app, role) for role in ("supervisor", "administrator", "installer")]
        database = app.state.server.database
        worker = OutboxWorker(database, settings, clock)
        yield Company(app, database, *browsers, box, hook, clock, worker, settings)
        database.close()
