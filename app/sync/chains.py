"""What one transaction of sync works with: chains, doors, whose opening is whose."""

import json
from dataclasses import dataclass, field

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.core.kinds import Json
from app.store import aside, judging, log
from app.store.devices import device_id as own_device
from app.store.people import is_office
from app.store.tables import Assigned, Event, Opening, Person, Procedure, Withdrawn
from app.sync.door import NamesOfOpening

Chain = tuple[str, str]  # opening, device


@dataclass
class Chains:
    """A session with what was looked up in it; never used beyond its transaction."""

    session: Session
    _lasts: dict[Chain, tuple[int, str, int]] = field(default_factory=dict)
    _doors: dict[str, NamesOfOpening | None] = field(default_factory=dict)
    _rights: dict[Chain, str | None] = field(default_factory=dict)

    def last(self, chain: Chain) -> tuple[int, str, int]:
        """Return (n, hash, turn) of a chain's last event; (0, "", 0) before the first."""
        if chain not in self._lasts:
            self._lasts[chain] = aside.last_of_chain(self.session, *chain)
        return self._lasts[chain]

    def place(self, event: Json, hash_: str) -> None:
        """Note that an event has its place in its chain."""
        self._lasts[event["opening"], event["device"]] = (event["n"], hash_, event["turn"])

    def right(self, opening: str, person: str) -> str | None:
        """Return "" where the opening is a person's, "withdrawn" where it was, else None."""
        if (opening, person) not in self._rights:
            self._rights[opening, person] = self._right(opening, person)
        return self._rights[opening, person]

    def _right(self, opening: str, person: str) -> str | None:
        known = self.session.get(Person, person)
        if known is None or self.session.get(Opening, opening) is None:
            return None
        if is_office(known):
            return ""
        if self.session.get(Assigned, (opening, person)) is not None:
            return ""
        return "withdrawn" if self.session.get(Withdrawn, (opening, person)) else None

    def door(self, opening: str) -> NamesOfOpening | None:
        """Return what may be named in an opening; None where it has not been issued."""
        if opening not in self._doors:
            self._doors[opening] = self._door(opening)
        return self._doors[opening]

    def _door(self, opening: str) -> NamesOfOpening | None:
        kinds = ("opening.issued", "drawing.revised", "procedure.moved")
        wanted = select(Event.body).where(Event.opening == opening, col(Event.kind).in_(kinds))
        said = [json.loads(body) for body in self.session.exec(wanted.order_by(col(Event.seq)))]
        under = [e["body"] for e in said if e["kind"] != "drawing.revised"]
        if not any(event["kind"] == "opening.issued" for event in said):
            return None
        keys = dict.fromkeys((body["procedure"], body["version"]) for body in under)
        known = [json.loads(self.session.get_one(Procedure, key).text) for key in keys]
        return NamesOfOpening(
            known, [e["body"]["drawing"] for e in said if e["kind"] != "procedure.moved"]
        )

    def is_own_judgement(self, event: Json) -> bool:
        """Return whether this is a judgement of our own that we may have lost in a restore."""
        return judging.is_own(self.session, event)

    def greatest_turn(self, opening: str, seen: dict[str, int]) -> int:
        """Return the greatest turn of those events here that an event has seen; 0 for none."""
        turns = [self._turn(opening, device, n) for device, n in seen.items()]
        return max(turns, default=0)

    def _turn(self, opening: str, device: str, n: int) -> int:
        wanted = select(func.max(Event.turn)).where(Event.opening == opening)
        found = self.session.exec(wanted.where(Event.device == device, Event.n <= n)).one()
        return found or 0

    def name_aside(self, opening: str, targets: list[tuple[str, str]], person: str) -> None:
        """Say by the office's own device that these (id, why) are left out of every book."""
        office = own_device(self.session, "office")
        before = log.events_of(self.session, [opening])[opening]
        for target, why in targets:
            said = log.set_aside(before, office, opening, person, target, why)
            log.append_events(self.session, [said])
            before.append(said)
