"""Which events are live: the part of the fold that knows no trade.

An event that says something about a slot (a place to be measured, a task, a part)
replaces an earlier one of the same slot only where it has seen it. Struck events
count for nothing. Everything here is alike for every order of arrival.
"""

from app.core.kinds import Json
from app.core.record import events as ev


class Ledger:
    """The events of one opening, sorted by cause and by slot."""

    def __init__(self, events: "list[Json]") -> None:
        self.events = ev.in_order(_each_once(events))
        self.heads = ev.heads(self.events)
        self.from_newer = [event for event in self.events if event["v"] > ev.VERSION]
        self.by_id = {event["id"]: event for event in self.events}
        self.removed = self._removals()
        self.slots: dict[str, list[Json]] = {}
        self.kinds: dict[str, list[Json]] = {}
        for event in self.events:
            if self.counts(event):
                self._place(event)

    def counts(self, event: Json) -> bool:
        """Return whether an event counts: readable, said by who may say it, not set aside."""
        if event["v"] > ev.VERSION or event["kind"] not in ev.KINDS:
            return False
        if event["kind"] in ev.OFFICE_KINDS and not ev.by_office(event):
            return False
        removal = self.removed.get(event["id"])
        return removal is None or removal["kind"] != "entry.set-aside"

    def _removals(self) -> "dict[str, Json]":
        """Return target id -> the first event that strikes it or sets it aside."""
        out: dict[str, Json] = {}
        for event in self.events:
            if event["kind"] == "entry.set-aside" and ev.by_office(event):
                out[event["body"]["target"]] = event
        for event in self.events:
            if event["kind"] == "entry.struck" and event["id"] not in out:
                target = self.by_id.get(event["body"]["target"])
                if target is not None and may_strike(target) and target["id"] not in out:
                    out[target["id"]] = event
        return out

    def _place(self, event: Json) -> None:
        self.kinds.setdefault(event["kind"], []).append(event)
        slot = slot_of(event)
        if slot:
            self.slots.setdefault(slot, []).append(event)

    def of_kind(self, kind: str) -> "list[Json]":
        """Return the events of a kind that count and are not struck, causes first."""
        return [e for e in self.kinds.get(kind, []) if e["id"] not in self.removed]

    def live(self, slot: str) -> "list[Json]":
        """Return the events of a slot that are not struck and that no later one has seen."""
        here = [e for e in self.slots.get(slot, []) if e["id"] not in self.removed]
        return [
            event
            for event in here
            if not any([ev.has_seen(other, event) for other in here if other is not event])
        ]

    def last(self, slot: str) -> "Json | None":
        """Return the live event of a slot; of several that did not see each other, the last."""
        live = self.live(slot)
        return live[-1] if live else None

    def replaced_by(self, event: Json) -> "Json | None":
        """Return the first event of the same slot that has seen this one and is not struck."""
        for other in self.slots.get(slot_of(event), []):
            if other is not event and other["id"] not in self.removed and ev.has_seen(other, event):
                return other
        return None


def slot_of(event: Json) -> str:
    """Return the slot that an event speaks about; "" where each stands for itself."""
    body = event["body"]
    kind = event["kind"]
    if kind == "reading.taken" and body.get("info"):
        return ""
    if kind in ("reading.taken", "reading.unreachable"):
        return reading_slot(body["point"], body["unit"], body["place"])
    fields = _SLOT_FIELDS.get(kind)
    if fields is None:
        return ""
    return "|".join([fields[0]] + [body[field] for field in fields[1:]])


def reading_slot(point: str, unit: str, place: str) -> str:
    """Return the slot of a place to be measured."""
    return "reading|" + point + "|" + unit + "|" + place


_SLOT_FIELDS = {
    "opening.issued": ("drawing",),
    "drawing.revised": ("drawing",),
    "procedure.moved": ("procedure",),
    "instrument.named": ("instrument", "instrument"),
    "task.ticked": ("task", "step", "task"),
    "decision.made": ("decision", "step", "decision"),
    "how.chosen": ("how", "point", "unit"),
    "part.stated": ("part", "mark"),
    "query.answered": ("answer", "query"),
    "close.settled": ("settled", "check", "unit"),
    "concession.given": ("concession", "check", "unit"),
    "concession.withdrawn": ("concession", "check", "unit"),
    "step.signed": ("sign", "step"),
    "opening.reviewed": ("review",),
    "handover.signed": ("handover",),
    "sheet.signed": ("sheet", "step", "decision"),
}


def may_strike(event: Json) -> bool:
    """Return whether an entry may be struck: what was measured or done, nothing that was signed."""
    return event["kind"] in (
        "reading.taken",
        "reading.unreachable",
        "correction.made",
        "adjustment.made",
        "close.settled",
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
