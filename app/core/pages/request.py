"""A request as the core sees it, and the answer that it gives."""

import binascii
import hashlib

from app.core.errors import AppError, InputError, MissingError, RefusedError
from app.core.kinds import Any, Json
from app.core.order import sort_by
from app.core.quantity.messages import Len, Msg, Qty
from app.core.quantity.speaker import Speaker
from app.core.record.events import VISIT_KINDS
from app.core.record.fold import carried_forward
from app.core.record.state import State


class Request:
    """One request: where to, what was typed, who asks, and the book it is asked of.

    trouble: after a form was refused, its name, the words, and what was typed, so that the
    page is shown again with everything kept.
    """

    def __init__(self, data: Json, speaker: "Speaker | None" = None) -> None:
        self.method: str = data["method"]
        self.path: str = data["path"]
        self.parts = [part for part in self.path.split("/") if part][1:]
        self.query: dict[str, str] = data.get("query", {})
        # where a form of this page leads back to: a page that shows all stays one
        self.address = self.path + ("?show=all" if self.query.get("show") == "all" else "")
        self.form = pressed_form(data.get("form", {}))
        self.now: str = data["now"]
        self.base_id: str = data["ids"][0]
        self.device: str = data["device"]
        self.person: Json = data["person"]
        self.people: dict[str, str] = data.get("people", {})
        self.book: Json = own_book(data["book"], self.person["id"])
        self.tabs: list[Json] = data.get("tabs", [])
        # what the phone says of itself; empty where the server answers
        self.phone: Json = data.get("phone", {})
        # photos that entries name and whose bytes are not where this page is made for all to see:
        # at the office those that have not come, on a phone those that it has not sent
        self.absent: list[str] = data.get("absent", [])
        # what the phone found of the PIN that was typed: {"person", "state", …}: pages/person.py
        self.pin: Json = data.get("pin") or {}
        # the device is in the owner's hands: {"opening", "lang"}, else empty: pages/owner.py
        self.lent: Json = data.get("lent") or {}
        # what the office gave by voice for this opening; on the office's pages alone
        self.voices: list[Json] = data.get("voices", [])
        # the opening that waits longest for a review: {"opening", "letter", "room", "count"}
        self.next_review: Json = data.get("next_review", {})
        # the opening's job is closed; on the office's pages alone
        self.job_closed: bool = data.get("job_closed", False)
        # when the office received each entry, by id; and those that came later than they should
        self.received: dict[str, str] = data.get("received", {})
        self.late: list[str] = data.get("late", [])
        self.speaker = speaker or Speaker(data.get("catalog"), self.person.get("units", "in"))
        self.truths: dict[str, bool] = data.get("truths", {})
        # kept by whoever asks, from one request to the next, while the book only grows
        self.folds: dict[str, State] = data.get("folds", {})
        # how openings stand, by id, where nothing came to them since: see pages/openings.py
        self.summaries: dict[str, Json] = data.get("summaries", {})
        self.trouble: Json | None = None
        self._states: dict[str, State] = {}

    def say(self, thing: Any) -> str:
        """Return the text of a Msg, Len or Qty for this person."""
        return self.speaker.say(thing)

    @property
    def units(self) -> str:
        """Return "in" or "mm": what a bare number means to this person."""
        return self.speaker.units

    def name(self, person: str) -> str:
        """Return a person's name; where it was erased, the words for that."""
        return self.people.get(person) or self.say(Msg("a person no longer listed"))

    def opening(self, id: str) -> Json:
        """Return an opening of the book; raises MissingError 'opening-unknown'.

        id: "OPENING~VISIT" is the opening at a service visit; so it is in paths.
        """
        own = own_opening(id)
        for opening in self.book["openings"]:
            if opening["id"] == own:
                found: Json = dict(opening)
                found["id"] = id
                return found
        raise MissingError("opening-unknown", Msg("There is no such opening on your list."))

    def state(self, id: str) -> State:
        """Return the state of an opening of the book; of "OPENING~VISIT" as the visit finds it."""
        if id not in self._states and VISIT in id:
            from app.core.record.visits import visited_state

            own, _, visit = id.partition(VISIT)
            self._states[id] = visited_state(self.state(own), visit)
        if id not in self._states:
            self.opening(id)
            events = self.book["events"].get(id, [])
            before = self.folds.pop(id, None)
            self.folds[id] = carried_forward(before, events, self.book["procedures"], self.truths)
            self._states[id] = self.folds[id]
        return self._states[id]

    def folded(self, id: str) -> "State | None":
        """Return the state of an opening that this request has asked for already, or None."""
        return self._states.get(id)

    def stored(self, id: str) -> "Json | None":
        """Return an event of the book by its id, or None."""
        for opening in self.book["events"]:
            try:
                found = self.state(opening).ledger.by_id.get(id)
            except AppError:  # not issued, or not on the list: there is no state to ask
                found = _with_id(self.book["events"][opening], id)
            if found is not None:
                return found
        return None

    def fresh(self, name: str) -> str:
        """Return a new event id for a form of this page: a UUID whose chance comes from outside.

        The time stays that of the id given with the request; the rest is its hash with the name,
        so that any number of forms on a page have ids of their own (RFC 9562 version 7).
        """
        if not name:
            return self.base_id
        seed = (self.base_id + "|" + self.path + "|" + name).encode("utf-8")
        chance = binascii.hexlify(hashlib.sha256(seed).digest()).decode()
        head = self.base_id.split("-")
        return "-".join([head[0], head[1], "7" + chance[:3], "8" + chance[3:6], chance[6:18]])

    def make_form(
        self,
        name: str,
        act: str,
        state: "State | None" = None,
        fields: "tuple[str, ...]" = (),
        **hidden: str,
    ) -> Json:
        """Return a form for a template: hidden fields, and what was typed where it was refused."""
        given = {"form": name, "act": act, "id": self.fresh(name)}
        if state is not None:
            given["seen"] = seen_text(state.heads)
        given.update(hidden)
        refused = self.trouble is not None and self.trouble["form"] == name
        typed = self.trouble["typed"] if self.trouble is not None and refused else {}
        names = sort_by([key for key in given], lambda key: key)
        return {
            "id": html_id(name),
            "action": self.address,
            "hidden": [{"name": key, "value": given[key]} for key in names],
            "error": self.trouble["error"] if self.trouble is not None and refused else "",
            "typed": {field: typed.get(field, "") for field in fields},
        }

    def typed(self, field: str, limit: int = 2000) -> str:
        """Return a field of the form, spaces off both ends; "" where it is absent.

        Errors: InputError 'too-long' beyond limit characters.
        """
        text = self.form.get(field, "").strip()
        if len(text) > limit:
            raise InputError(
                "too-long", Msg("At most {count} characters fit here.", count=limit), field=field
            )
        return text

    def required(self, field: str, words: Msg) -> str:
        """Return a field of the form; raises InputError 'empty' with these words."""
        text = self.typed(field)
        if not text:
            raise InputError("empty", words, field=field)
        return text


def pressed_form(form: "dict[str, str]") -> "dict[str, str]":
    """Return a form with what the button that was pressed says of it.

    One form can hold many buttons, each for a thing of its own: `with` is then "task=a&done=yes".
    """
    out = dict(form)
    for pair in out.pop("with", "").split("&"):
        name, equals, value = pair.partition("=")
        if equals:
            out[name] = value
    return out


def _with_id(events: "list[Json]", id: str) -> "Json | None":
    for event in events:
        if event["id"] == id:
            return event
    return None


def own_book(book: Json, person: str) -> Json:
    """Return the book with a person's own openings alone: a shared phone holds others' as well."""
    out = dict(book)
    out["openings"] = [
        opening for opening in book["openings"] if person in opening.get("persons", [person])
    ]
    return out


class Page:
    """An answer: a template with its context, or a place to go to, and drafts of new events."""

    def __init__(
        self,
        template: str = "",
        context: "Json | None" = None,
        location: str = "",
        drafts: "list[Json] | None" = None,
        status: int = 200,
        person: str = "",
        lent: "Json | None" = None,
    ) -> None:
        """Keep the answer.

        person: who works on the phone from now on; "" where that stays. lent: in the owner's hands
        from now on ({"opening", "lang"}), taken back ({}), or None where that stays.
        """
        self.person = person
        self.lent = lent
        self.template = template
        self.context = context or {}
        self.location = location
        self.drafts = drafts or []
        self.status = status


def event_draft(request: Request, opening: str, kind: str, body: Json, name: str = "") -> Json:
    """Return the draft of the event that a form of this request asks for.

    name: "" for the form's own id; another text for a further event of the same form.
    """
    id = request.form.get("id", "") or request.base_id
    if name:
        id = _second_id(id, name)
    opening, _, visit = opening.partition(VISIT)
    if visit and kind in VISIT_KINDS:
        body = dict(body)
        body["visit"] = visit
        if request.state(opening).ledger.by_id.get(id) is None:
            _must_go_on(request.state(opening), visit)
    return {
        "id": id,
        "device": request.device,
        "opening": opening,
        "seen": seen_from(request.form.get("seen", "")),
        "at": request.now,
        "person": request.person["id"],
        "kind": kind,
        "body": body,
    }


def _must_go_on(state: State, visit: str) -> None:
    """Refuse an entry of a visit that was signed."""
    if state.ledger.last("visit|" + visit) is not None:
        words = Msg("This service visit is signed. Begin another one for what comes after it.")
        raise RefusedError("visit-signed", words)


VISIT = "~"  # between an opening's id and a visit's, in paths


def own_opening(id: str) -> str:
    """Return the opening's own id of one that may be at a visit."""
    return id.partition(VISIT)[0]


def _second_id(id: str, name: str) -> str:
    chance = binascii.hexlify(hashlib.sha256((id + "|" + name).encode("utf-8")).digest()).decode()
    return id[:15] + chance[:3] + "-8" + chance[3:6] + "-" + chance[6:18]


def seen_text(heads: "dict[str, int]") -> str:
    """Return heads as text for a hidden field: "device:n device:n"."""
    names = sort_by([name for name in heads], lambda name: name)
    return " ".join([name + ":" + str(heads[name]) for name in names])


def seen_from(text: str) -> "dict[str, int]":
    """Return the heads that a hidden field holds; raises InputError 'form-damaged'."""
    out: dict[str, int] = {}
    for pair in text.split(" "):
        device, colon, count = pair.partition(":")
        if not pair:
            continue
        if not device or not colon or not count or len(count) > 9 or not are_digits(count):
            raise InputError("form-damaged", Msg("This form arrived damaged. Load the page again."))
        out[device] = int(count)
    return out


def are_digits(text: str) -> bool:
    return all([char in "0123456789" for char in text])


# spelled out: the two interpreters do not agree on what a letter is
ID_SIGNS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_"


def html_id(name: str) -> str:
    """Return a name made fit for an HTML id."""
    return "".join([char if char in ID_SIGNS else "-" for char in name])


def size_text(request: Request, nm: "int | None") -> str:
    """Return a length as this person reads it; "" for None."""
    return "" if nm is None else request.say(Len(nm))


def amount_text(request: Request, quantity: str, value: int) -> str:
    """Return a value of any quantity as this person reads it."""
    return request.say(amount_of(quantity, value))


def amount_of(quantity: str, value: int) -> "Len | Qty":
    """Return a value of any quantity, in its base unit, to be said."""
    return Len(value) if quantity == "length" else Qty(quantity, value)
