"""Browsers and phones that are told at once, by a push service: one subscription each.

What a subscription holds opens nothing here. Whoever has it could send to that browser only with
the office's own key.
"""

import base64
import binascii
import hashlib
from urllib.parse import urlsplit

from sqlmodel import Field, Session, SQLModel, col, delete, select

from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.store.tables import OFFICE_ROLES, Assigned, Device, DevicePerson, Person

MOST_ENDPOINT = 1000
MOST_EACH = 10  # browsers of one person; the oldest goes
_POINT, _SECRET = 65, 16  # bytes: RFC 8291, 3.1 and 3.2


class PushSubscription(SQLModel, table=True):
    """Where one browser is told: of a person at the office, or of a paired phone.

    endpoint: of its push service. p256dh, auth: by which messages are encrypted for it alone.
    person, browser: whose it is, and the number of the browser, hashed; device: the phone.
    """

    __tablename__ = "push_subscription"

    id: str = Field(primary_key=True)  # of its endpoint: a browser has one
    endpoint: str
    p256dh: str
    auth: str
    person: str | None = Field(default=None, foreign_key="person.id", index=True)
    browser: str = ""
    device: str | None = Field(default=None, foreign_key="device.id", index=True)
    made: int


def hash_of(text: str) -> str:
    """Return what stands for a text that is not kept itself."""
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def subscription_of(endpoint: str, p256dh: str, auth: str, now: int) -> PushSubscription:
    """Return a subscription as a browser gives it (W3C Push API, PushSubscription).

    Errors: InputError 'push-unfit'.
    """
    try:
        parts = urlsplit(endpoint)
        fits = parts.scheme == "https" and bool(parts.hostname) and endpoint.isascii()
        fits = fits and endpoint.isprintable() and len(endpoint) <= MOST_ENDPOINT
        point, secret = _bytes_of(p256dh), _bytes_of(auth)
        fits = fits and len(point) == _POINT and point[0] == 4 and len(secret) == _SECRET
    except (ValueError, binascii.Error):
        fits = False
    if not fits:
        raise InputError("push-unfit", Msg("This browser gave no address for messages."))
    return PushSubscription(
        id=hash_of(endpoint), endpoint=endpoint, p256dh=p256dh, auth=auth, made=now
    )


def _bytes_of(text: str) -> bytes:
    if not text.isascii() or len(text) > 100:
        raise ValueError(text)
    return base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True)


def keep_subscription(session: Session, given: PushSubscription) -> None:
    """Keep a subscription in the place of what its browser, or phone, had before."""
    if given.device is not None:
        end_of_phone(session, given.device)
    else:
        assert given.person is not None  # noqa: S101  (one of the two)
        end_of_browser(session, given.person, given.browser)
        own = select(PushSubscription).where(PushSubscription.person == given.person)
        kept = session.exec(own.order_by(col(PushSubscription.made).desc())).all()
        for row in kept[MOST_EACH - 1 :]:
            session.delete(row)
    session.flush()
    session.merge(given)
    session.flush()


def end_subscription(session: Session, id: str) -> None:
    """End one: its push service knows it no more."""
    session.connection().execute(delete(PushSubscription).where(col(PushSubscription.id) == id))


def end_of_browser(session: Session, person: str, browser: str) -> None:
    """End a person's in one browser, as signing out does."""
    rows = (col(PushSubscription.person) == person) & (col(PushSubscription.browser) == browser)
    session.connection().execute(delete(PushSubscription).where(rows))


def end_of_person(session: Session, person: str) -> None:
    """End all of a person's browsers."""
    rows = col(PushSubscription.person) == person
    session.connection().execute(delete(PushSubscription).where(rows))


def end_of_phone(session: Session, device: str) -> None:
    """End a phone's."""
    rows = col(PushSubscription.device) == device
    session.connection().execute(delete(PushSubscription).where(rows))


def is_told(session: Session, device: str) -> bool:
    """Return whether a phone is told at once."""
    wanted = select(PushSubscription.id).where(PushSubscription.device == device)
    return session.exec(wanted).first() is not None


def office_subscriptions(session: Session) -> list[PushSubscription]:
    """Return those of people who are at the office now."""
    wanted = select(PushSubscription).join(Person, col(Person.id) == col(PushSubscription.person))
    wanted = wanted.where(col(Person.disabled).is_(False), col(Person.role).in_(OFFICE_ROLES))
    return list(session.exec(wanted.order_by(col(PushSubscription.id))))


def crew_subscriptions(session: Session, opening: str) -> list[PushSubscription]:
    """Return those of paired phones on which somebody of an opening's crew may enter."""
    wanted = (
        select(PushSubscription)
        .join(Device, col(Device.id) == col(PushSubscription.device))
        .join(DevicePerson, col(DevicePerson.device) == col(Device.id))
        .join(Person, col(Person.id) == col(DevicePerson.person))
        .join(Assigned, col(Assigned.person) == col(Person.id))
        .where(Assigned.opening == opening, col(Device.revoked).is_(None))
        .where(col(Person.disabled).is_(False), Person.role == "installer")
    )
    return list(session.exec(wanted.distinct().order_by(col(PushSubscription.id))))


def living_subscription(session: Session, id: str) -> tuple[PushSubscription, Person] | None:
    """Return a subscription that still holds, with the person whose language it speaks."""
    row = session.get(PushSubscription, id)
    if row is None:
        return None
    if row.person is not None:
        person = session.get_one(Person, row.person)
        return None if person.disabled or person.role not in OFFICE_ROLES else (row, person)
    device = session.get_one(Device, row.device)
    wanted = select(Person).join(DevicePerson, col(DevicePerson.person) == col(Person.id))
    wanted = wanted.where(DevicePerson.device == device.id, col(Person.disabled).is_(False))
    first = session.exec(wanted.order_by(col(DevicePerson.since))).first()
    return None if device.revoked is not None or first is None else (row, first)
