"""The house of a story: a served Sillbook with a small company, and its people at their browsers.

Whatever a page answers goes through Visitor.shown: it holds what must hold after every act.
"""

import atexit
import re
import shutil
import sqlite3
import tempfile
from collections.abc import Callable
from contextlib import ExitStack
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

from anyio.from_thread import BlockingPortal, start_blocking_portal
from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx2 import Response

from app.access import cookie, sessions
from app.core.record.state import State
from app.main import create_app
from app.settings import Settings
from app.store import company, log, procedures
from app.store.tables import Person
from tests.stories.page import Field, Form, Page

OURS = {"Sec-Fetch-Site": "same-origin"}
PEOPLE = {  # who: id, role, units, language
    "supervisor": ("nadia", "supervisor", "in", "en"),
    "installer": ("tobin", "installer", "in", "en"),
    "second": ("ines", "installer", "mm", "es"),
    "administrator": ("oda", "administrator", "in", "en"),
}
CREW = ("installer", "second")
MOST_HOPS = 4
FOLLOWED = 0.2  # of the links of a shape that is new in a story
_ID = re.compile(r"[0-9a-f]{8}-[0-9a-f-]{27}|[0-9a-f]{16,}|\?.*")
# what a browser saves, or what is no page: it must answer, and is not read
FILES = (".csv", ".json", ".pdf", "/sign-out", ".zip", ".svg", ".js", ".css", ".yaml")


class Fault(AssertionError):
    """Something that must hold after every act did not."""


@cache
def base_folder() -> tuple[Path, dict[str, str]]:
    """Return a folder of data with the company and its people signed in, and their tokens."""
    folder = Path(tempfile.mkdtemp(prefix="stories"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    app = create_app(Settings(folder))
    database = app.state.server.database
    tokens = {}
    with database.write() as session:
        company.name_company(session, "Quillfen Door Setters", "555-0142")
        for who, (id_, role, units, lang) in PEOPLE.items():
            session.add(
                Person(
                    id=id_, name=id_.title() + " Example", role=role, login=id_, password="none",
                    units=units, lang=lang,
                )
            )  # fmt: skip
            session.flush()
            tokens[who] = sessions.start_session(session, id_, int(app.state.server.clock()))
    database.close()
    return folder, tokens


@cache
def _portal() -> BlockingPortal:
    """Return one event loop for all browsers of this process: a new one each request costs more."""
    stack = ExitStack()
    made = stack.enter_context(start_blocking_portal())
    atexit.register(stack.close)
    return made


class House:
    """A Sillbook of its own, made from the base, with everybody at their browser."""

    def __init__(self, seed: int, wrap: Callable[[FastAPI], None] | None = None) -> None:
        """wrap: what is done to the application before anybody asks it anything."""
        self.seed = seed
        self.tried: set[str] = set()  # shapes of links that were followed, or left to other seeds
        base, tokens = base_folder()
        self.folder = Path(tempfile.mkdtemp(prefix="story"))
        shutil.copytree(base, self.folder, dirs_exist_ok=True)
        self.app = create_app(Settings(self.folder))
        self._look = sqlite3.connect(self.folder / "sillbook.db", check_same_thread=False)
        self._states: dict[str, tuple[int, State]] = {}  # by opening, at a version of the data
        if wrap is not None:
            wrap(self.app)
        self.trail: list[str] = []
        self.visitors = {who: Visitor(self, who, tokens[who]) for who in PEOPLE}
        self.visitors["stranger"] = Visitor(self, "stranger", "")

    def close(self) -> None:
        """End it; nothing of it is left."""
        self._look.close()
        self.app.state.server.database.close()
        shutil.rmtree(self.folder, ignore_errors=True)

    def state(self, opening: str) -> State:
        """Return the state of an opening as the log has it; folded anew once something was kept.

        SQLite's data_version changes when another connection has committed.
        """
        ((version,),) = self._look.execute("PRAGMA data_version")
        known = self._states.get(opening)
        if known is None or known[0] != version:
            with self.app.state.server.database.read() as session:
                events = log.events_of(session, [opening])[opening]
                known = version, State(events, procedures.all_of(session, {}))
            self._states[opening] = known
        return known[1]


class Visitor:
    """One person at one browser."""

    def __init__(self, house: House, who: str, token: str) -> None:
        self.house = house
        self.who = who
        self.id = PEOPLE[who][0] if who in PEOPLE else ""
        self.units = PEOPLE[who][2] if who in PEOPLE else "in"
        self.browser: Any = TestClient(
            house.app, headers=OURS, raise_server_exceptions=False, follow_redirects=False
        )
        self.browser.portal = _portal()
        if token:
            self.browser.cookies.set(cookie.PLAIN, token)
        self.page: Page | None = None

    def go(self, path: str, by: str = "") -> Page:
        """Open a path; by: the page whose link leads there, then it must be there."""
        return self.shown(self.browser.get(path), path, by)

    def send(self, form: Form, values: dict[str, str], kept: bool = False) -> Page:
        """Send a form with these values. kept: it was filled in so that it must be taken."""
        sent = {**form.values(), **values}
        if form.files:
            answer = self.browser.post(
                form.action, files={name: (None, value) for name, value in sent.items()}
            )
        elif form.method == "get":
            answer = self.browser.get(form.action, params=sent)
        else:
            answer = self.browser.post(form.action, data=sent)
        told = f"{form.method} {form.action} {form.act}"
        page = self.shown(answer, told, "", kept)
        if answer.status_code in (409, 413, 422) and page.path:
            self._must_keep(form, sent, page, told)
        return page

    def shown(self, answer: Response, path: str, by: str, kept: bool = False) -> Page:
        """Hold what must hold of every answer; return the page that it leads to."""
        self.house.trail.append(f"{self.who}: {path} -> {answer.status_code}")
        where = path
        for _ in range(MOST_HOPS):
            if answer.status_code not in (302, 303, 307):
                break
            if answer.status_code >= 500:
                break
            where = answer.headers["location"]
            answer = self.browser.get(where)
            self.house.trail.append(f"{self.who}:   {where} -> {answer.status_code}")
            if answer.status_code >= 400:
                raise Fault(f"{path} leads {self.who} to {where}: {answer.status_code}")
        if answer.status_code >= 500:
            raise Fault(f"{answer.status_code} at {where} for {self.who}")
        if by and answer.status_code >= 400:
            raise Fault(f"a link of {by} leads {self.who} to {where}: {answer.status_code}")
        if kept and answer.status_code >= 400:
            words = Page(where, answer.text).words if "html" in _kind(answer) else answer.text
            raise Fault(f"refused with {answer.status_code}: {path}: {words[:1500]}")
        if "html" not in _kind(answer) or not answer.content:
            return Page("", "<p></p>")
        self.page = Page(str(where).partition("#")[0], answer.text)
        self._must_lead_on(self.page)
        self._try_links(self.page)
        return self.page

    def _try_links(self, page: Page) -> None:
        """Follow some links of shapes that this house has not shown before."""
        for link in page.links:
            path = link.partition("#")[0]
            shape = f"{self.who} {_ID.sub('*', path)}"
            if not path.startswith("/") or shape in self.house.tried:
                continue
            self.house.tried.add(shape)
            chance = Random(f"{self.house.seed}|{shape}").random()
            if chance < FOLLOWED and not path.endswith(FILES):
                status = self.browser.get(path).status_code
                self.house.trail.append(f"{self.who}: tries {path} -> {status}")
                if status >= 400:
                    raise Fault(f"a link of {page.path} leads {self.who} to {path}: {status}")

    def _must_lead_on(self, page: Page) -> None:
        inside = [link[1:] for link in page.links if link.startswith("#") and link != "#"]
        lost = [name for name in inside if name not in page.ids]
        if lost:
            raise Fault(f"{page.path} has no {lost} that its own links lead to")
        away = [link for link in page.links if not link.startswith("#") and link != page.path]
        forms = [form for form in page.forms if form.action != "/sign-out"]
        if not away and not forms:
            raise Fault(f"{page.path} has no way on")

    def _must_keep(self, form: Form, sent: dict[str, str], page: Page, told: str) -> None:
        """After a form is refused all that was typed is still there to be mended or copied."""
        for one in form.typed:
            text = sent.get(one.name, "").strip()
            if one.kind not in ("text", "area") or not text or not text.isprintable():
                continue
            if not page.holds(text):
                raise Fault(f"{told} was refused, and {one.name} = {text[:60]!r} is gone")

    def link(self, ending: str) -> str:
        """Return the link of the page at hand that ends so; it must be there."""
        assert self.page is not None
        for link in self.page.links:
            if link.partition("#")[0].endswith(ending):
                return link
        raise Fault(f"{self.page.path} shows {self.who} no link to {ending}")


def _kind(answer: Response) -> str:
    return str(answer.headers.get("content-type", ""))


def filled(form: Form, chance: Random, taste: Callable[[Field], str]) -> dict[str, str]:
    """Return values for the fields of a form: choices among what is offered, texts by taste."""
    out: dict[str, str] = {}
    for one in form.typed:
        if one.kind in ("radio", "select"):
            out[one.name] = chance.choice(one.options) if one.options else ""
        elif one.kind == "check":
            if one.needed or chance.random() < 0.5:
                out[one.name] = one.options[0]
        elif one.kind in ("text", "area", "password"):
            out[one.name] = taste(one)
    if form.buttons:
        button = chance.choice(form.buttons)
        out[button.name] = button.value
    return out
