"""Whether an event can be taken into the log: one rule a function, each with its reason.

They are asked in order; the first that has something against the event decides.
"""

from collections.abc import Callable
from dataclasses import dataclass

from app.access.keys import Verifier, signing_message
from app.core.errors import AppError
from app.core.kinds import Json
from app.core.record import spoken
from app.core.record.events import SIGNED_KINDS, check_body, check_time, is_office_word, is_readable
from app.sync import reasons
from app.sync.chains import Chains
from app.sync.offer import MOST_BYTES, Offer
from app.sync.reasons import Reason

# A whole door takes some 600 entries; a place that is fought over is measured a few dozen times.
MOST_OF_CHAIN = 5000
MOST_AT_PLACE = 200


@dataclass
class Sender:
    """The phone that made an event: its id, its key, who was ever let in on it."""

    device: str
    verifier: Verifier
    persons: set[str]
    secret: str = ""


@dataclass
class Case:
    """An offer with a readable event, and what it is judged by."""

    offer: Offer
    event: Json
    sender: Sender
    chains: Chains

    @property
    def chain(self) -> tuple[str, str]:
        """Return whose chain it stands in: (opening, device)."""
        return self.event["opening"], self.event["device"]


def judge(case: Case) -> Reason | None:
    """Return what an event is held or set aside for; None where it can be taken."""
    for rule in RULES:
        reason = rule(case)
        if reason is not None:
            return reason
    return None


def _device(case: Case) -> Reason | None:
    if case.event["device"] == case.sender.device:
        return None
    lost = case.chains.is_own_judgement(case.event)
    return reasons.BROUGHT_BACK if lost else reasons.FOREIGN_DEVICE


def _opening(case: Case) -> Reason | None:
    """Somebody of the phone must have, or have had, the opening."""
    rights = (case.chains.right(case.event["opening"], person) for person in case.sender.persons)
    return None if any(right is not None for right in rights) else reasons.FOREIGN_OPENING


def _head(case: Case) -> Reason | None:
    return None if case.offer.covered else reasons.NO_HEAD


def _chain(case: Case) -> Reason | None:
    n, hash_, _ = case.chains.last(case.chain)
    if case.event["n"] > n + 1:
        return reasons.GAP
    if (case.event["n"], case.event["prev"]) != (n + 1, hash_):
        return reasons.FORK
    return None


def _size(case: Case) -> Reason | None:
    return reasons.TOO_LARGE if case.offer.size > MOST_BYTES else None


def _version(case: Case) -> Reason | None:
    return None if is_readable(case.event) else reasons.UNKNOWN_VERSION


def _person(case: Case) -> Reason | None:
    if case.event["person"] not in case.sender.persons:
        return reasons.FOREIGN_PERSON
    right = case.chains.right(case.event["opening"], case.event["person"])
    return reasons.NOT_THEIRS if right is None else None


def _kind(case: Case) -> Reason | None:
    return reasons.OFFICE_ONLY if is_office_word(case.event) else None


def _body(case: Case) -> Reason | None:
    try:
        check_body(case.event["kind"], case.event["body"])
        check_time(case.event["at"])
    except AppError:
        return reasons.UNFIT
    return None


def _parts(case: Case) -> Reason | None:
    door = case.chains.door(case.event["opening"])
    return None if door is not None and door.has(case.event) else reasons.UNKNOWN_PART


def _order(case: Case) -> Reason | None:
    """Next after all that it has seen, once that is here; held until then.

    Only a restore lets the office lack what a phone has seen. Who can no longer speak is not
    waited for: then the turn may be later by as many entries as were lost.
    """
    event = case.event
    if event["seen"].get(event["device"], 0) >= event["n"]:
        return reasons.BAD_ORDER
    others = {device: n for device, n in event["seen"].items() if device != event["device"]}
    missing = case.chains.missing(event["opening"], others)
    if any(case.chains.is_awaited(device) for device in missing):
        return reasons.UNSEEN
    before, more = case.chains.turns_after(event)
    return None if before < event["turn"] <= before + more else reasons.BAD_ORDER


def _quota(case: Case) -> Reason | None:
    """So many entries of one phone in an opening, and at one place, as no work asks for."""
    many = case.event["n"] > MOST_OF_CHAIN or case.chains.readings_at(case.event) >= MOST_AT_PLACE
    return reasons.TOO_MANY if many else None


def _signature(case: Case) -> Reason | None:
    if case.event["kind"] not in SIGNED_KINDS:
        return None
    if not case.offer.signature:
        return reasons.NO_SIGNATURE
    message = signing_message(case.event["id"], case.offer.hash)
    fits = case.sender.verifier.fits(message, case.offer.signature)
    return None if fits else reasons.BAD_SIGNATURE


def _spoken(case: Case) -> Reason | None:
    """A spoken concession carries a code that this phone's secret gives for its day and number."""
    if case.event["kind"] != "concession.spoken":
        return None
    body = case.event["body"]
    days = spoken.days_about(body["day"])
    about = (case.event["opening"], body["check"], body["panel"], body["number"])
    fits = days and body["code"] == spoken.code_of(case.sender.secret, body["day"], *about)
    return None if fits else reasons.SPOKEN


RULES: tuple[Callable[[Case], Reason | None], ...] = (
    _device,
    _opening,
    _head,
    _chain,
    _size,
    _version,
    _order,
    _person,
    _kind,
    _body,
    _parts,
    _quota,
    _signature,
    _spoken,
)
