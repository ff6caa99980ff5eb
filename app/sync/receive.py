"""Takes a batch of events in one transaction: each is stored, held or set aside on its own."""

import json
from collections.abc import Iterable

from sqlalchemy import text
from sqlmodel import Session

from app.access import devices
from app.access.keys import Verifier, head_message
from app.core.quantity.speaker import Speaker
from app.store import aside, epoch, log
from app.store.tables import Aside, Device
from app.sync import reasons
from app.sync.chains import Chain, Chains
from app.sync.messages import Batch, BatchReceipts, ChainHead, Receipt
from app.sync.offer import Offer, offer
from app.sync.reasons import Reason
from app.sync.rules import Case, Sender, judge

STORED, ALREADY = "stored", "already"
_SAY = Speaker().say


def receive(
    session: Session, device: Device, batch: Batch, now: int, heard: bool = True
) -> BatchReceipts:
    """Return the receipts for a batch; the caller commits before it answers.

    heard: the phone itself sends it now; else the batch came in a file.
    """
    offers = [offer(raw, _signature(batch, raw)) for raw in batch.events]
    inbox = Inbox(session, sender_of(session, device))
    inbox.cover(offers, batch.heads)
    inbox.take(offers)
    inbox.keep_heads()
    receipts = [one.receipt for one in offers if one.receipt]
    if heard:
        left = max(0, batch.unsent - len(receipts))
        said = {"now": now, "unsent": left, "bundle": batch.bundle, "device": device.id}
        session.connection().execute(_NOTE_PHONE, said)
    return BatchReceipts(
        epoch=epoch.epoch_of(session),
        receipts=receipts,
        held=inbox.held(offers, batch.heads),
    )


def _signature(batch: Batch, raw: dict[str, object]) -> str:
    id_ = raw.get("id")
    return batch.signatures.get(id_, "") if isinstance(id_, str) else ""


_NOTE_PHONE = text(
    "UPDATE device SET last_seen = :now, unsent = :unsent, bundle = :bundle WHERE id = :device"
)
_KEEP_HEAD = text(
    "INSERT INTO head (opening, device, n, hash, signature)"
    " VALUES (:opening, :device, :n, :hash, :signature)"
    " ON CONFLICT (opening, device) DO UPDATE"
    " SET n = excluded.n, hash = excluded.hash, signature = excluded.signature"
)


def sender_of(session: Session, device: Device) -> Sender:
    """Return a phone as its events are judged by."""
    return Sender(
        device.id, Verifier(device.key), devices.ever_of(session, device.id), device.secret
    )


class Inbox:
    """Events of one phone on their way into the log, in one transaction."""

    def __init__(self, session: Session, sender: Sender, chains: Chains | None = None) -> None:
        """chains: what the transaction knows of them already."""
        self.session = session
        self.sender = sender
        self.chains = chains if chains is not None else Chains(session)
        self.before = Before(session)
        self._bad_heads: set[str] = set()
        self._good_heads: list[ChainHead] = []
        self._to_name: dict[str, list[tuple[str, str]]] = {}

    def cover(self, offers: list[Offer], heads: list[ChainHead]) -> None:
        """Mark the events that a good head covers: its own, and back from it link by link."""
        self._good_heads = [head for head in heads if self._is_good(head)]
        good = {(head.opening, head.n, head.hash) for head in self._good_heads}
        self._bad_heads = {h.opening for h in heads if (h.opening, h.n, h.hash) not in good}
        for one in sorted(offers, key=_place, reverse=True):
            event = one.event
            if event is not None and (event["opening"], event["n"], one.hash) in good:
                one.covered = True
                good.add((event["opening"], event["n"] - 1, event["prev"]))

    def keep_heads(self) -> None:
        """Keep the last head that the phone signed of each chain here: check.py goes by it."""
        for head in self._good_heads:
            chain = (head.opening, self.sender.device)
            if self.chains.last(chain)[:2] == (head.n, head.hash):
                row = {"device": self.sender.device, **head.model_dump()}
                self.session.connection().execute(_KEEP_HEAD, row)

    def _is_good(self, head: ChainHead) -> bool:
        message = head_message(self.sender.device, head.opening, head.n, head.hash)
        return self.sender.verifier.fits(message, head.signature)

    def take(self, offers: list[Offer]) -> None:
        """Give every offer its receipt, then take what had waited for one of them."""
        self.before.look_up(offers)
        for one in sorted(offers, key=_place):
            one.receipt = self._receipt(one)
        for opening in sorted({one.event["opening"] for one in offers if one.event}):
            self._settle_all(opening)
        self.name_aside()
        for one in offers:
            if one.receipt is not None and one.receipt.state == reasons.HELD:
                one.receipt = self._settled_receipt(one, one.receipt)

    def _settled_receipt(self, one: Offer, receipt: Receipt) -> Receipt:
        """Return what became of an event that was held first: what it waited for may be here."""
        if self.before.stored.get(one.id) == one.hash:
            return _receipt(one, STORED)
        row = self.session.get(Aside, one.key)
        return receipt if row is None else _receipt(one, row.state, reasons.BY_CODE[row.why])

    def _settle_all(self, opening: str) -> None:
        """Look again at what is held in an opening: one phone's entries may wait for another's."""
        waiting = aside.held_devices(self.session, opening)
        taken = len(waiting)
        while taken:
            taken = 0
            for device in waiting:
                inbox = self if device == self.sender.device else self._inbox_of(device)
                taken += inbox.settle((opening, device))
                if inbox is not self:
                    self.before.stored |= inbox.before.stored
                    inbox.name_aside()

    def _inbox_of(self, device: str) -> "Inbox":
        sender = sender_of(self.session, self.session.get_one(Device, device))
        return Inbox(self.session, sender, self.chains)

    def _receipt(self, one: Offer) -> Receipt:
        known = self._known(one)
        if known is not None:
            return known
        reason = self._reason(one)
        if reason is None:
            self._keep(one)
            return _receipt(one, STORED)
        if self._has_room(one, reason):
            self._put_aside(one, reason)
        return _receipt(one, reason.state, reason)

    def _has_room(self, one: Offer, reason: Reason) -> bool:
        """Return whether an event can be put aside. What is held without being kept is offered
        again, as every phone does with what stands neither in the log nor aside."""
        if reason.state != reasons.HELD or one.key in self.before.aside or one.event is None:
            return True
        return self.chains.hold_one_more((one.event["opening"], one.event["device"]))

    def _known(self, one: Offer) -> Receipt | None:
        """Return the receipt of an event that was here before, unless it is looked at again."""
        if one.hash and self.before.stored.get(one.id) == one.hash:
            return _receipt(one, ALREADY)
        row = self.before.aside.get(one.key)
        reason = reasons.BY_CODE[row.why] if row else None
        if row is None or reason is None or reason.again:
            return None
        return _receipt(one, row.state, reason)

    def _reason(self, one: Offer) -> Reason | None:
        if one.event is None:
            return reasons.UNREADABLE
        if one.id in self.before.stored or one.id in self.before.placed:
            return reasons.OTHER_CONTENT
        reason = judge(Case(one, one.event, self.sender, self.chains))
        if reason is reasons.NO_HEAD and one.event["opening"] in self._bad_heads:
            return reasons.BAD_HEAD
        return reason

    def _keep(self, one: Offer) -> None:
        event = one.event
        assert event is not None  # noqa: S101  (what is unreadable is never kept)
        flag = self.chains.right(event["opening"], event["person"])
        log.keep_event(
            self.session, event, one.hash, one.signature, flag or "", written=one.written
        )
        self.chains.place(event, one.hash)
        self.before.stored[one.id] = one.hash
        row = self.before.aside.pop(one.key, None)
        if row is not None:
            self.session.delete(row)
            self.session.flush()

    def _put_aside(self, one: Offer, reason: Reason) -> None:
        self.before.aside[one.key] = self.session.merge(self._row(one, reason))
        self.session.flush()
        if one.event is not None and reason.placed:
            self.chains.place(one.event, one.hash)
            self.before.placed.add(one.id)
        if one.event is not None and reason.named:
            named = self._to_name.setdefault(one.event["opening"], [])
            named.append((one.id, reason.code))

    def _row(self, one: Offer, reason: Reason) -> Aside:
        event = one.event or {}
        return Aside(
            key=one.key,
            id=one.id,
            device=self.sender.device,
            opening=event.get("opening", ""),
            n=event.get("n", 0),
            turn=self.chains.counted_turn(event) if reason.placed else 0,
            hash=one.hash,
            text=one.text,
            signature=one.signature,
            state=reason.state,
            why=reason.code,
            placed=reason.placed,
            received_at=log.received_now(),
        )

    def settle(self, chain: Chain) -> int:
        """Look again at what is held next in a chain, and so on; returns how many were taken."""
        taken = 0
        moved = True
        while moved:
            moved = False
            for row in aside.held_up_to(self.session, *chain, self.chains.last(chain)[0] + 1):
                was = row.why
                reason = self._look_again(row)
                taken += reason is None
                moved = moved or reason is None or reason.code != was
        return taken

    def _look_again(self, row: Aside) -> Reason | None:
        one = offer(json.loads(row.text), row.signature)
        self.before.look_up([one])
        one.covered = True  # nothing is held before its signature was found good
        reason = self._reason(one)
        if reason is None:
            self._keep(one)
        elif reason.code != row.why:
            self._put_aside(one, reason)
        return reason

    def name_aside(self) -> None:
        for opening, targets in self._to_name.items():
            self.chains.name_aside(opening, targets, min(self.sender.persons))
        self._to_name = {}

    def held(self, offers: list[Offer], heads: list[ChainHead]) -> dict[str, dict[str, int]]:
        """Return how far this phone's chain goes here, for each opening it spoke of."""
        spoken = {one.event["opening"] for one in offers if one.event}
        spoken |= {head.opening for head in heads}
        return {
            opening: {self.sender.device: self.chains.last((opening, self.sender.device))[0]}
            for opening in sorted(spoken)
            if self._may_have(opening)
        }

    def _may_have(self, opening: str) -> bool:
        rights = (self.chains.right(opening, person) for person in self.sender.persons)
        return any(right is not None for right in rights)


class Before:
    """What is known of the ids and contents that are offered, looked up for many at once."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.stored: dict[str, str] = {}  # id -> hash
        self.aside: dict[str, Aside] = {}  # key -> row
        self.placed: set[str] = set()  # ids of events set aside that have their place in a chain

    def look_up(self, offers: list[Offer]) -> None:
        """Look up some offers."""
        ids = [one.id for one in offers if one.id]
        stored, known, placed = aside.find_known(self.session, [one.key for one in offers], ids)
        self.stored |= stored
        self.aside |= known
        self.placed |= placed


def _place(one: Offer) -> tuple[str, int]:
    return (one.event["opening"], one.event["n"]) if one.event else ("", 0)


def _receipt(one: Offer, state: str, reason: Reason | None = None) -> Receipt:
    words = _SAY(reason.words) if reason else ""
    return Receipt(id=one.id, state=state, why=reason.code if reason else "", words=words)


def take_held(session: Session, chains: Iterable[Chain] | None = None) -> int:
    """Look again at all that is held: newer code may read it now. Returns how many were taken."""
    taken = 0
    for opening, device_id in aside.held_chains(session) if chains is None else chains:
        device = session.get_one(Device, device_id)
        inbox = Inbox(session, sender_of(session, device))
        taken += inbox.settle((opening, device_id))
        inbox.name_aside()
    return taken
