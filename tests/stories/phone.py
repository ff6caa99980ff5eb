"""A crew's phone in a story: the field's pages, answered by the core over the phone's own book.

What is entered waits in the outbox. It reaches the office by the protocol, when the phone meets it.
"""

from dataclasses import dataclass, field
from urllib.parse import parse_qsl, urlsplit

from app.access import pairing
from app.access.pages import tabs_for
from app.core.entry import answer, needs
from app.core.kinds import Json
from app.core.quantity.speaker import Speaker
from app.core.record.state import State
from app.field.server import local_now
from app.store import people
from app.store.ids import uuid7
from app.store.tables import Person
from app.templating.templates import render_page
from tests.stories.house import House
from tests.sync.client import Phone


@dataclass
class Shown:
    """An answer of the phone, as a browser has it."""

    status_code: int
    text: str = ""
    headers: dict[str, str] = field(default_factory=dict)

    @property
    def content(self) -> bytes:
        return self.text.encode()


class PhoneBrowser:
    """Takes the place of a visitor's browser; only the field's pages are there."""

    def __init__(self, house: House, who: str) -> None:
        visitor = house.visitors[who]
        self.house = house
        self.phone = Phone(house.visitors["stranger"].browser)
        database = house.app.state.server.database
        with database.write() as session:
            code = pairing.make_code(session, visitor.id, int(house.app.state.server.clock()))
            person = session.get_one(Person, visitor.id)
            self.person = people.as_json(person)
            self.names = people.names_by_id(session)
            self.tabs = tabs_for(person, "web")
        self.phone.pair(code)
        self.meet()

    def meet(self) -> None:
        """Send what waits, and take what is new."""
        states = {receipt["state"] for receipt in self.phone.push()}
        assert states <= {"stored", "already"}, states
        self.phone.pull()

    def state(self, opening: str) -> State:
        """Return an opening as the phone has it."""
        return State(self.phone.events(opening), self.phone.procedures)

    def get(self, path: str, params: dict[str, str] | None = None) -> Shown:
        """Show a page."""
        return self._asked("GET", path, {}, params or {})

    def post(self, path: str, data: dict[str, str]) -> Shown:
        """Take a form; what it enters goes into the book and the outbox."""
        return self._asked("POST", path, data, {})

    def _asked(self, method: str, path: str, form: Json, params: dict[str, str]) -> Shown:
        parts = urlsplit(path)
        asked = {
            "method": method, "path": parts.path, "form": form,
            "query": {**dict(parse_qsl(parts.query)), **params},
            "now": local_now(), "ids": [uuid7() for _ in range(8)], "device": self.phone.device,
            "person": self.person, "people": self.names, "tabs": self.tabs,
        }  # fmt: skip
        wanted = needs(asked)
        held = list(self.phone.book) if wanted is None else wanted
        asked["book"] = {
            "openings": self.phone.openings,
            "events": {opening: self.phone.events(opening) for opening in held},
            "procedures": self.phone.procedures,
            "instruments": [],
        }
        got = answer(asked)
        for event in got["events"]:
            self.phone.book.setdefault(event["opening"], {})[event["id"]] = event
            self.phone.outbox.append(event["id"])
        if got["location"]:
            return Shown(303, headers={"location": got["location"]})
        html = render_page(got["template"], got["context"], Speaker(units=self.person["units"]))
        return Shown(got["status"], html, {"content-type": "text/html"})
