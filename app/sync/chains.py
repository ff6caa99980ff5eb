"""What one transaction of sync works with: chains, doors, whose opening is whose."""

import json
from dataclasses import dataclass, field

from sqlalchemy import text
from sqlmodel import Session, col, select

from app.core.kinds import Json
from app.core.record.ledger import reading_slot
from app.store import aside, epoch, judging, log
from app.store.devices import KINDS
from app.store.devices import device_id as own_device
from app.store.folds import Fold, Folds
from app.store.tables import OFFICE_ROLES, Device, Event, Procedure
from app.sync.door import NamesOfOpening

Chain = tuple[str, str]  # opening, device
NAMING = ("opening.issued", "drawing.revised", "procedure.moved")
# One phone's in an opening: more than a whole door that waits for another phone's first entry.
MOST_HELD = 1000
MOST_LOST = 10_000  # entries of one opening that one restore can have lost

_RIGHT = text(
    "SELECT role, EXISTS (SELECT 1 FROM assigned"
    " WHERE opening = :opening AND person = :person) AS is_theirs,"
    " EXISTS (SELECT 1 FROM withdrawn"
    " WHERE opening = :opening AND person = :person) AS was_theirs"
    " FROM person WHERE id = :person AND EXISTS (SELECT 1 FROM opening WHERE id = :opening)"
)
_TURN = text(
    "SELECT turn FROM event WHERE opening = :opening AND device = :device AND n <= :n"
    " ORDER BY n DESC LIMIT 1"
)


@dataclass
class Chains:
    """A session with what was looked up in it; never used beyond its transaction."""

    session: Session
    _lasts: dict[Chain, aside.End] = field(default_factory=dict)
    _turns: dict[tuple[Chain, int], int] = field(default_factory=dict)
    _doors: dict[str, NamesOfOpening | None] = field(default_factory=dict)
    _fresh: dict[tuple[str, str, str], int] = field(default_factory=dict)
    _rights: dict[Chain, str | None] = field(default_factory=dict)
    _held: dict[Chain, int] = field(default_factory=dict)

    def last(self, chain: Chain) -> aside.End:
        """Return (n, hash) of a chain's last event, and its greatest turn; (0, "", 0) for none."""
        if chain not in self._lasts:
            self._lasts[chain], logged = aside.ends_of_chain(self.session, *chain)
            self._turns[chain, logged[0]] = logged[2]
        return self._lasts[chain]

    def hold_one_more(self, chain: Chain) -> bool:
        """Count one more that is held of a chain; False where there is room for no more."""
        if chain not in self._held:
            self._held[chain] = aside.count_held(self.session, *chain)
        self._held[chain] += 1
        return self._held[chain] <= MOST_HELD

    def place(self, event: Json, hash_: str) -> None:
        """Note that an event has its place in its chain."""
        turn = self.counted_turn(event)
        if event["kind"] in ("reading.taken", "reading.unreachable"):
            slot = reading_slot(*(str(event["body"].get(k)) for k in ("point", "panel", "place")))
            key = (event["opening"], event["device"], slot)
            self._fresh[key] = self._fresh.get(key, 0) + 1
        self._lasts[event["opening"], event["device"]] = (event["n"], hash_, turn)
        self._turns.clear()

    def readings_at(self, event: Json) -> int:
        """Return how many readings this phone has made at the place of one; 0 for other kinds."""
        if event["kind"] not in ("reading.taken", "reading.unreachable"):
            return 0
        fold = self._fold_of(event["opening"])
        slot = reading_slot(*(event["body"][name] for name in ("point", "panel", "place")))
        fresh = self._fresh.get((event["opening"], event["device"], slot), 0)
        if fold is None or fold.state is None:
            return fresh
        here = fold.state.ledger.slots.get(slot, [])
        return fresh + len([one for one in here if one["device"] == event["device"]])

    def right(self, opening: str, person: str) -> str | None:
        """Return "" where the opening is a person's, "withdrawn" where it was, else None."""
        if (opening, person) not in self._rights:
            self._rights[opening, person] = self._right(opening, person)
        return self._rights[opening, person]

    def _right(self, opening: str, person: str) -> str | None:
        asked = {"opening": opening, "person": person}
        known = self.session.connection().execute(_RIGHT, asked).first()
        if known is None:
            return None
        if known.role in OFFICE_ROLES or known.is_theirs:
            return ""
        return "withdrawn" if known.was_theirs else None

    def door(self, opening: str) -> NamesOfOpening | None:
        """Return what may be named in an opening; None where it has not been issued."""
        if opening not in self._doors:
            self._doors[opening] = self._door(opening)
        return self._doors[opening]

    def _door(self, opening: str) -> NamesOfOpening | None:
        fold = self._fold_of(opening)
        if fold is None or fold.state is None:
            wanted = select(Event.body).where(Event.opening == opening, col(Event.kind).in_(NAMING))
            bodies = self.session.exec(wanted.order_by(col(Event.seq)))
            return self._names([json.loads(body) for body in bodies])
        said = [event for kind in NAMING for event in fold.state.ledger.kinds.get(kind, [])]
        made_of = tuple(event["id"] for event in said)
        if fold.names is None or fold.names[0] != made_of:
            fold.names = (made_of, self._names(said))
        found: NamesOfOpening | None = fold.names[1]
        return found

    def _fold_of(self, opening: str) -> Fold | None:
        """Return what the writer has folded of an opening, up to the last commit."""
        folds: Folds | None = self.session.info.get("folds")
        return folds.get_heard(self.session, opening) if folds is not None else None

    def _names(self, said: list[Json]) -> NamesOfOpening | None:
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
        """Return the turn of a device's last event up to n: turns grow along a chain."""
        key = ((opening, device), n)
        if key not in self._turns:
            asked = {"opening": opening, "device": device, "n": n}
            self._turns[key] = self.session.connection().execute(_TURN, asked).scalar() or 0
        return self._turns[key]

    def turns_after(self, event: Json) -> tuple[int, int]:
        """Return the greatest turn of what an event had seen here, and how many it may add.

        One; and one more for each entry that it had seen and that a restore lost.
        """
        others = {device: n for device, n in event["seen"].items() if device != event["device"]}
        last = self.last((event["opening"], event["device"]))[2]
        before = max(last, self.greatest_turn(event["opening"], others))
        lost = sum(self.missing(event["opening"], others).values())
        return before, 1 + min(lost, MOST_LOST)

    def counted_turn(self, event: Json) -> int:
        """Return the turn from which a chain goes on: no more than explains it."""
        before, more = self.turns_after(event)
        last = self.last((event["opening"], event["device"]))[2]
        return max(last, min(int(event["turn"]), before + more))

    def missing(self, opening: str, seen: dict[str, int]) -> dict[str, int]:
        """Return how many events of each device are not here that an event says it has seen."""
        out = {device: n - self.last((opening, device))[0] for device, n in seen.items()}
        return {device: count for device, count in out.items() if count > 0}

    def is_awaited(self, device: str) -> bool:
        """Return whether what a device said and is not here may still come.

        Nothing is lost before the first restore. After it some never speak again: phones that
        were paired since the copy, phones that were ended, and our own devices of before.
        """
        if device in [own_device(self.session, kind) for kind in KINDS]:
            return True
        known = self.session.get(Device, device)
        if known is not None and known.revoked is None:
            return True
        return not epoch.has_gone_back(self.session)

    def name_aside(self, opening: str, targets: list[tuple[str, str]], person: str) -> None:
        """Say by the office's own device that these (id, why) are left out of every book."""
        office = own_device(self.session, "office")
        before = log.events_of(self.session, [opening])[opening]
        self._turns.clear()
        for target, why in targets:
            said = log.set_aside(before, office, opening, person, target, why)
            log.append_events(self.session, [said])
            before.append(said)
