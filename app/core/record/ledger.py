"""Which events are live: the part of the fold that knows no trade.

An event that says something about a slot (a place to be measured, a task, a part)
replaces an earlier one of the same slot only where it has seen it. Struck events
count for nothing. Everything here is alike for every order of arrival.
"""

from app.core.kinds import Callable, Json
from app.core.record import events as ev
from app.core.record.memory import Memory

ANY = "*"  # the source that every event changes


class Ledger:
    """The events of one opening, sorted by cause, by kind and by slot.

    What is worked out of them is remembered (`memory`). `add` takes one more event in, at a cost
    that does not grow with the history, and forgets what was worked out of what it changes; where
    that cannot be done exactly it says so, and a new ledger must be made.
    """

    def __init__(self, events: "list[Json]") -> None:
        self.events: list[Json] = []
        self.heads: dict[str, int] = {}
        self.lasts: dict[str, Json] = {}  # device -> its event with the greatest n
        self.unreadable: list[Json] = []
        self.unfit: list[Json] = []  # of our version, and not what their kind must be
        self.by_id: dict[str, Json] = {}
        self._unfit_ids: dict[str, bool] = {}
        ordered = ev.in_order(_each_once(events))
        for event in ordered:
            self._note(event)
        self.removed: dict[str, Json] = {}
        self.named: dict[str, bool] = {}  # ids that a strike or a setting aside speaks of
        self.slots: dict[str, list[Json]] = {}
        self.kinds: dict[str, list[Json]] = {}
        self.memory = Memory()
        self._topics_of: Callable[[Json], list[str]] = _no_topics
        self._remove()
        for event in ordered:
            if self.counts(event):
                self._place(event)

    def _note(self, event: Json) -> None:
        _put(self.events, event)
        self.by_id[event["id"]] = event
        if event["n"] > self.heads.get(event["device"], 0):
            self.heads[event["device"]] = event["n"]
            self.lasts[event["device"]] = event
        if not ev.is_readable(event):
            self.unreadable.append(event)
        elif not ev.is_fit(event):
            self.unfit.append(event)
            self._unfit_ids[event["id"]] = True

    def add(self, event: Json) -> bool:
        """Take one more event in; False, and nothing done, where only a new ledger is exact.

        It must come last in the order of causes, but for judgements: each of those is about one
        event, and matters to nothing that it comes before or behind. Nothing may be said of it
        already, and it may not set another aside: that would count from the beginning. One that is
        known is passed.
        """
        if event["id"] in self.by_id:
            return True
        late = event["kind"] != "judgement.given" and not self._comes_last(event)
        if late or event["id"] in self.named:
            return False
        if event["kind"] == "entry.set-aside":
            return False
        self._note(event)
        if event["kind"] == "entry.struck" and not ev.is_of_visit(event):
            self._strike(event)
            self._forget_what_rests_on(self.by_id.get(event["body"]["target"]))
        if self.counts(event):
            self._place(event)
            self._forget_what_rests_on(event)
        self.memory.forget(ANY)
        return True

    def _forget_what_rests_on(self, event: "Json | None") -> None:
        """Forget what was worked out of this event's kind, slots and topics."""
        if event is not None and self.is_shown(event):
            self.memory.forget(event["kind"])
            for name in slots_of(event) + self._topics_of(event):
                self.memory.forget(name)

    def file_by(self, kinds: "tuple[str, ...]", topics_of: "Callable[[Json], list[str]]") -> None:
        """File events of some kinds under more names, beside their slots: see `filed`."""
        self._topics_of = topics_of
        for kind in kinds:
            for event in self.kinds.get(kind, []):
                self._file(event)

    def _file(self, event: Json) -> None:
        for topic in self._topics_of(event):
            _put(self.slots.setdefault(topic, []), event)

    def _comes_last(self, event: Json) -> bool:
        """Return whether an event comes after all others but judgements."""
        for other in reversed(self.events):
            if other["kind"] != "judgement.given":
                return ev.order_position(event) > ev.order_position(other)
        return True

    def counts(self, event: Json) -> bool:
        """Return whether an event counts: readable, fit, said by who may say it, not set aside.

        What was said at a service visit counts there alone (visits.py).
        """
        if not ev.is_readable(event) or not self.is_shown(event) or ev.is_of_visit(event):
            return False
        if not ev.by_office(event) and ev.is_office_word(event):
            return False
        removal = self.removed.get(event["id"])
        return removal is None or removal["kind"] != "entry.set-aside"

    def is_shown(self, event: Json) -> bool:
        """Return whether what an event says can be shown: it has what its kind must have."""
        if event["id"] in self.by_id:
            return event["id"] not in self._unfit_ids
        return ev.is_fit(event)

    def _remove(self) -> None:
        """Note of each event that is struck or set aside the first that does so."""
        for event in self.events:
            fit = ev.is_readable(event) and self.is_shown(event)
            if event["kind"] == "entry.set-aside" and ev.by_office(event) and fit:
                self.removed[event["body"]["target"]] = event
                self.named[event["body"]["target"]] = True
        for event in self.events:
            if event["kind"] == "entry.struck" and ev.is_readable(event) and self.is_shown(event):
                self._strike(event)

    def _strike(self, event: Json) -> None:
        if ev.is_of_visit(event):
            return
        id = event["body"]["target"]
        self.named[id] = True
        target = self.by_id.get(id)
        if event["id"] in self.removed or target is None or id in self.removed:
            return
        if may_strike(target):
            self.removed[id] = event

    def _place(self, event: Json) -> None:
        _put(self.kinds.setdefault(event["kind"], []), event)
        for slot in slots_of(event):
            _put(self.slots.setdefault(slot, []), event)
        self._file(event)

    def is_struck(self, event: Json) -> bool:
        """Return whether an event was struck or set aside."""
        for name in slots_of(event) or [event["kind"]]:
            self.memory.note(name)
        return event["id"] in self.removed

    def of_kind(self, kind: str) -> "list[Json]":
        """Return the events of a kind that count and are not struck, causes first."""
        found: list[Json] = self.memory.answer("=kind|" + kind, self._standing, kind)
        return found

    def _standing(self, kind: str) -> "list[Json]":
        self.memory.note(kind)
        return [e for e in self.kinds.get(kind, []) if e["id"] not in self.removed]

    def filed(self, name: str) -> "list[Json]":
        """Return the events of a slot or topic, struck ones too, causes first."""
        self.memory.note(name)
        return self.slots.get(name, [])

    def unstruck(self, name: str) -> "list[Json]":
        """Return the events of a slot or topic that are not struck, causes first."""
        self.memory.note(name)
        return [e for e in self.slots.get(name, []) if e["id"] not in self.removed]

    def live(self, slot: str) -> "list[Json]":
        """Return the events of a slot that are not struck and that no later one has seen."""
        found: list[Json] = self.memory.answer("=live|" + slot, self.find_live, slot)
        return found

    def find_live(self, slot: str) -> "list[Json]":
        """Return the same, not remembered: for who remembers what comes of it."""
        here = self.unstruck(slot)
        seen: dict[str, int] = {}  # device -> the greatest n that any of these has seen
        for event in here:
            for device in event["seen"]:
                seen[device] = max(seen.get(device, 0), event["seen"][device])
        return [e for e in here if e["n"] > seen.get(e["device"], 0)]

    def next_event(self, draft: Json) -> Json:
        """Return the complete event for a draft, next in its device's chain: as ev.new_event."""
        last = self.lasts.get(draft["device"])
        turn = last["turn"] if last else 0
        for event in reversed(self.events):  # the greatest turns stand last
            if event["turn"] <= turn:
                break
            if event["device"] == draft["device"] or ev.has_seen(draft, event):
                turn = event["turn"]
        return ev.completed_event(draft, self.heads, last, turn)

    def last(self, slot: str) -> "Json | None":
        """Return the live event of a slot; of several that did not see each other, the last."""
        live = self.live(slot)
        return live[-1] if live else None

    def replaced_by(self, event: Json) -> "Json | None":
        """Return the first event of the same slot that has seen this one and is not struck."""
        for slot in slots_of(event):
            for other in self.unstruck(slot):
                if other is not event and ev.has_seen(other, event):
                    return other
        return None


def _put(events: "list[Json]", event: Json) -> None:
    """Put an event in its place among others in the order of causes: mostly it is the last."""
    at = len(events)
    while at and ev.order_position(events[at - 1]) > ev.order_position(event):
        at -= 1
    events.insert(at, event)


def _no_topics(_event: Json) -> "list[str]":
    return []


def slots_of(event: Json) -> "list[str]":
    """Return the slots that an event speaks about; none where each stands for itself."""
    body = event["body"]
    kind = event["kind"]
    if kind == "reading.taken" and body.get("info"):
        return []
    if kind in ("reading.taken", "reading.unreachable"):
        return [reading_slot(body["point"], body["panel"], body["place"])]
    if kind == "tasks.ticked":
        return ["task|" + body["step"] + "|" + task for task in _each_text_once(body["tasks"])]
    if kind == "parts.stated":
        return ["part|" + mark for mark in _each_text_once(body["marks"])]
    fields = _SLOT_FIELDS.get(kind)
    if fields is None:
        return []
    return ["|".join([fields[0]] + [body[field] for field in fields[1:]])]


def _each_text_once(texts: "list[str]") -> "list[str]":
    out = []
    known: dict[str, bool] = {}
    for each in texts:
        if each not in known:
            known[each] = True
            out.append(each)
    return out


def reading_slot(point: str, panel: str, place: str) -> str:
    """Return the slot of a place to be measured."""
    return "reading|" + point + "|" + panel + "|" + place


_SLOT_FIELDS = {
    "opening.issued": ("drawing",),
    "drawing.revised": ("drawing",),
    "procedure.moved": ("procedure",),
    "instrument.named": ("instrument", "instrument"),
    "task.ticked": ("task", "step", "task"),
    "decision.made": ("decision", "step", "decision"),
    "how.chosen": ("how", "point", "panel"),
    "part.stated": ("part", "mark"),
    "query.answered": ("answer", "query"),
    "close.settled": ("settled", "check", "panel"),
    "concession.given": ("concession", "check", "panel"),
    "concession.withdrawn": ("concession", "check", "panel"),
    "concession.spoken": ("spoken", "check", "panel"),
    "step.signed": ("sign", "step"),
    "opening.reviewed": ("review",),
    "opening.closed": ("closed",),
    "opening.reopened": ("closed",),
    "opening.planned": ("plan",),
    "judgement.given": ("judgement", "target"),
    "handover.signed": ("handover",),
    "sheet.signed": ("sheet", "step", "decision"),
    "visit.signed": ("visit", "visit"),
    "service.issued": ("service", "visit"),
}


def may_strike(event: Json) -> bool:
    """Return whether an entry may be struck: what was measured or done, nothing that was signed."""
    return event["kind"] in (
        "reading.taken",
        "reading.unreachable",
        "correction.made",
        "adjustment.made",
        "close.settled",
        "tasks.ticked",
        "parts.stated",
        "setup.tied",
        "query.raised",
        "instrument.checked",
    )


def _each_once(events: "list[Json]") -> "list[Json]":
    out = []
    ids: dict[str, bool] = {}
    for event in events:
        if event["id"] not in ids:
            ids[event["id"]] = True
            out.append(event)
    return out
