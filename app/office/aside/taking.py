"""Takes in what was set aside: the office enters it anew, with a reason; nothing is deleted."""

import json

from sqlmodel import Session

from app.core.errors import AppError, MissingError, RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record import taken
from app.core.record.events import check_body, new_event
from app.field.server import local_now
from app.store import log
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.tables import Aside, Person
from app.sync import reasons
from app.sync.chains import Chains
from app.sync.offer import offer


def row_of(session: Session, key: str) -> Aside:
    """Return what stands aside under a key; raises MissingError 'aside-unknown'."""
    found = session.get(Aside, key)
    if found is None:
        raise MissingError("aside-unknown", Msg("Nothing is set aside there."))
    return found


def fit_entry(session: Session, row: Aside) -> Json:
    """Return the entry that can be taken in.

    Errors: RefusedError, in words, where it cannot be: held, taken in before, unreadable, of an
    opening that is not here, of a kind that the office does not enter, or not fitting its kind.
    """
    if row.taken:
        raise RefusedError("aside-taken", Msg("This was taken in already."))
    if row.state == reasons.HELD:
        words = Msg("This is held, not set aside: it is taken by itself as soon as it can be.")
        raise RefusedError("aside-held", words)
    entry = offer(json.loads(row.text)).event
    if entry is None:
        words = Msg("This cannot be read as an entry. What it says can be entered by hand.")
        raise RefusedError("aside-unreadable", words)
    _must_fit(session, entry)
    return entry


def _must_fit(session: Session, entry: Json) -> None:
    taken.must_be_open(entry["kind"])
    door = Chains(session).door(entry["opening"])
    if door is None:
        words = Msg("The opening that this entry speaks of is not here, or is not issued.")
        raise RefusedError("aside-opening", words)
    try:
        check_body(entry["kind"], entry["body"])
        fits = door.has(entry)
    except (AppError, KeyError, TypeError, ValueError):
        fits = False
    if not fits:
        words = Msg("This entry does not fit the opening. What it says can be entered by hand.")
        raise RefusedError("aside-unfit", words)


def take_in(session: Session, row: Aside, person: Person, reason: str, id_: str) -> None:
    """Enter anew what was set aside, in the same transaction as its citation. Errors: fit_entry."""
    if row.taken == id_:
        return  # the same form once more
    entry = fit_entry(session, row)
    before = log.events_of(session, [entry["opening"]])[entry["opening"]]
    office = device_id(session, "office")
    ids = [id_, uuid7()]
    for draft in taken.taking_drafts(
        entry, before, office, person.id, local_now(), ids, row.why, reason
    ):
        before.append(new_event(before, draft))
    log.append_events(session, before[-2:])
    row.taken = id_
    session.add(row)
