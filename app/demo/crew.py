"""A crew at work: what a demo record says they entered, sent through the forms of the field pages.

Nothing is put into the log past the core: each entry is the form that a person
would have sent, at the time they would have sent it, and is refused like theirs.
"""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta

from sqlmodel import Session

from app.core import entry
from app.core.errors import AppError
from app.core.kinds import Json
from app.core.pages.common import path_of, point_path, step_path
from app.core.pages.request import seen_text
from app.core.quantity.messages import Msg
from app.core.record import gate
from app.core.record.state import State
from app.store import log, procedures
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.openings import openings_of
from app.store.people import as_json, names_by_id
from app.store.tables import Person

PACE = timedelta(seconds=20)  # from one entry to the next
Form = tuple[str, dict[str, str]]  # path, fields


class RecordError(AppError):
    """An entry of a demo record is refused."""

    def __init__(self, what: Json, why: str) -> None:
        words = Msg("The demo's entry {what} is refused: {why}", what=str(what), why=why)
        super().__init__("record-refused", words)


class DemoCrew:
    """Sends the entries of one opening's record, oldest first."""

    def __init__(self, session: Session, opening: str) -> None:
        self.session = session
        self.opening = opening
        self.events: list[Json] = log.events_of(session, [opening])[opening]
        self.procedures = procedures.all_of(session, {})

    def work(self, record: Json) -> None:
        """Enter a whole record; raises RecordError at the first entry that is refused."""
        for shift in record["sessions"]:
            person = self.session.get_one(Person, shift["by"])
            at = datetime.fromisoformat(shift["at"])
            for what in shift["entries"]:
                for path, form in FORMS[what["do"]](self, what):
                    self._send(person, at, what, path, form)
                    at += PACE

    def state(self) -> State:
        """Return the opening as it stands now."""
        return State(self.events, self.procedures)

    def _send(
        self, person: Person, at: datetime, what: Json, path: str, form: dict[str, str]
    ) -> None:
        answer = entry.answer(self._request(person, at, path, form))
        if not answer["location"]:
            raise RecordError(what, _refusal_words(answer["context"]))
        log.append_events(self.session, answer["events"])
        self.events.extend(answer["events"])

    def _request(self, person: Person, at: datetime, path: str, form: dict[str, str]) -> Json:
        seen = seen_text(self.state().heads)
        return {
            "method": "POST",
            "path": path,
            "form": {"form": "demo", "id": uuid7(), "seen": seen, **form},
            "now": at.isoformat(timespec="seconds"),
            "ids": [uuid7()],
            "device": device_id(self.session, "web"),
            "person": as_json(person),
            "people": names_by_id(self.session),
            "book": {
                "openings": openings_of(self.session, person),
                "events": {self.opening: self.events},
                "procedures": self.procedures,
            },
        }

    def tick(self, what: Json) -> Iterator[Form]:
        """Tick tasks of a step; of a photo, say why there is none."""
        state = self.state()
        step = state.step(what["step"])
        for task in state.tasks(step):
            if what["tasks"] == "all" or task["id"] in what["tasks"]:
                form = {"act": "tick", "done": "yes"}
                if task["kind"] == "photo":
                    form = {"act": "no-photo", "words": what.get("no_photo", "")}
                yield step_path(self.opening, step), {"task": task["id"], **form}

    def part(self, what: Json) -> Iterator[Form]:
        """Say how parts are."""
        every = [part["mark"] for part, _ in self.state().parts()]
        for mark in every if what["marks"] == "all" else what["marks"]:
            said = {"act": "state", "mark": mark, "state": what["state"]}
            yield path_of(self.opening, "parts"), {**said, "words": what.get("words", "")}

    def decide(self, what: Json) -> Iterator[Form]:
        """Make a decision."""
        fields = ("decision", "choice", "name", "words")
        yield self._at_step(what, "decide", {field: what.get(field, "") for field in fields})

    def how(self, what: Json) -> Iterator[Form]:
        """Choose how points are read."""
        for point in what["points"]:
            path = point_path(self.opening, point, what.get("panel", ""))
            yield path, {"act": "way", "way": what["how"]}

    def read(self, what: Json) -> Iterator[Form]:
        """Enter readings, in the order of the places or at one place."""
        panel = what.get("panel", "")
        places = [place.id for place in self.state().places(what["point"], panel)]
        texts = what.get("texts", [])
        if texts and len(texts) != len(places):
            raise RecordError(what, f"{len(texts)} readings for {len(places)} places")
        pairs = zip(places, texts, strict=True) if texts else [(what["place"], what["text"])]
        for place, text in pairs:
            path = point_path(self.opening, what["point"], panel)
            sure = {"sure": "yes"} if what.get("sure") else {}  # an odd reading is asked back
            yield path, {"act": "keep", "place": place, "value": text, **sure}

    def cannot(self, what: Json) -> Iterator[Form]:
        """Say that a place cannot be reached."""
        path = point_path(self.opening, what["point"], what.get("panel", ""))
        yield path, {"act": "unreachable", "place": what["place"], "words": what["why"]}

    def strike(self, what: Json) -> Iterator[Form]:
        """Strike the last reading at a place."""
        taken = self.state().readings(what["point"], what.get("panel", ""), what["place"])
        path = path_of(self.opening, "reading", taken[-1].id)
        yield path, {"act": "strike", "words": what["why"]}

    def correct(self, what: Json) -> Iterator[Form]:
        """Say what was done about a check."""
        yield self._at_step(what, "correct", {"check": what["check"], "words": what["words"]})

    def adjust(self, what: Json) -> Iterator[Form]:
        """Say that something was moved."""
        yield self._at_step(what, "adjust", {"adjustment": what["adjustment"]})

    def sign(self, what: Json) -> Iterator[Form]:
        """Sign a step off."""
        state = self.state()
        digest = str(gate.cover_of(state, state.step(what["step"]))["digest"])
        yield self._at_step(what, "sign", {"confirm": "yes", "digest": digest})

    def _at_step(self, what: Json, act: str, fields: dict[str, str]) -> Form:
        step = self.state().step(what["step"])
        return step_path(self.opening, step), {"act": act, **fields}


FORMS: dict[str, Callable[[DemoCrew, Json], Iterator[Form]]] = {
    "tick": DemoCrew.tick,
    "part": DemoCrew.part,
    "decide": DemoCrew.decide,
    "how": DemoCrew.how,
    "read": DemoCrew.read,
    "cannot": DemoCrew.cannot,
    "strike": DemoCrew.strike,
    "correct": DemoCrew.correct,
    "adjust": DemoCrew.adjust,
    "sign": DemoCrew.sign,
}


def _refusal_words(context: Json) -> str:
    """Return the reasons of a refusal, wherever its page has them."""
    reasons = [reason["text"] for reason in context.get("reasons", [])]
    notices = [notice["text"] for notice in context["page"]["notices"]]
    found = [context.get("title", ""), *reasons, *notices, *_error_texts(context)]
    return " ".join(text for text in found if text)


def _error_texts(thing: object) -> list[str]:
    if isinstance(thing, dict):
        own = [thing["error"]] if thing.get("error") else []
        return own + [text for value in thing.values() for text in _error_texts(value)]
    if isinstance(thing, list):
        return [text for value in thing for text in _error_texts(value)]
    return []
