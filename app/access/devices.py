"""Phones: which one asks, who may enter on it, and the end of it."""

import secrets

from sqlalchemy import bindparam, or_, text
from sqlmodel import Session, col, select
from starlette.requests import Request

from app.access.server import server_of
from app.access.sessions import token_hash
from app.core.errors import AppError, MissingError
from app.core.quantity.messages import Msg
from app.store import push
from app.store.log import next_number
from app.store.people import is_office
from app.store.tables import Device, DevicePerson, Person

_SCHEME = "bearer "


class PairAgainError(AppError):
    """This phone is not known, was revoked, or nobody is left who may enter on it."""

    status = 401

    def __init__(self) -> None:
        words = Msg(
            "This phone is not paired. What it holds stays on it: pair it again, then send."
        )
        super().__init__("pair-again", words)


def bearer_of(request: Request) -> str:
    """Return the token that a phone shows, or ""."""
    given = request.headers.get("authorization", "")
    return given[len(_SCHEME) :].strip() if given[: len(_SCHEME)].lower() == _SCHEME else ""


def need_device(request: Request) -> Device:
    """Return the phone that asks; raises PairAgainError."""
    token = bearer_of(request)
    with server_of(request).database.read() as session:
        device = find_phone(session, token) if token else None
    if device is None:
        raise PairAgainError
    return device


def find_phone(session: Session, token: str) -> Device | None:
    """Return the living phone of a token, or None."""
    return session.exec(_LIVING, params={"hash": token_hash(token)}).first()


_ALLOWED = select(DevicePerson.person).join(Person, col(Person.id) == col(DevicePerson.person))
_LIVING = select(Device).where(
    Device.token_hash == bindparam("hash"),
    col(Device.revoked).is_(None),
    _ALLOWED.where(
        col(DevicePerson.device) == col(Device.id), col(Person.disabled).is_(False)
    ).exists(),
)  # put together once: it is asked at each request of a phone


def people_of(session: Session, device: str) -> list[Person]:
    """Return who may enter on a phone and is not disabled, who paired it first."""
    wanted = select(Person).join(DevicePerson, col(DevicePerson.person) == col(Person.id))
    wanted = wanted.where(DevicePerson.device == device, col(Person.disabled).is_(False))
    return list(session.exec(wanted.order_by(col(DevicePerson.since))))


def ever_of(session: Session, device: str) -> set[str]:
    """Return the ids of all who were ever let in on a phone, the disabled too."""
    return set(session.connection().execute(_EVER, {"device": device}).scalars())


_EVER = text("SELECT person FROM device_person WHERE device = :device")


def let_in(session: Session, device: str, person: str) -> None:
    """Let a person enter on a phone."""
    if session.get(DevicePerson, (device, person)) is None:
        row = DevicePerson(device=device, person=person, since=next_number(session))
        session.add(row)
        session.flush()


def new_token(device: Device) -> str:
    """Give a phone a new token; the one before is dead."""
    token = secrets.token_urlsafe(32)
    device.token_hash = token_hash(token)
    return token


def end_token(session: Session, device: str) -> None:
    """End a phone's token; it stays the same phone when it is paired again."""
    row = session.get_one(Device, device)
    new_token(row)
    session.add(row)
    session.flush()


def listed_phones(session: Session, person: Person) -> list[tuple[Device, Person]]:
    """Return the phones a person may see, with who paired each: a supervisor sees all."""
    wanted = select(Device, Person).join(Person, col(Person.id) == col(Device.person))
    if not is_office(person):
        own = select(DevicePerson.device).where(DevicePerson.person == person.id)
        wanted = wanted.where(or_(col(Device.person) == person.id, col(Device.id).in_(own)))
    return list(session.exec(wanted.order_by(col(Device.made).desc(), col(Device.id))).all())


def revoke_phone(session: Session, person: Person, id_: str, now: int) -> Device:
    """End a phone's pairing; what it sent before stands. Its key is kept for good.

    Errors: MissingError 'phone-unknown' where the person may not see it.
    """
    for device, _ in listed_phones(session, person):
        if device.id == id_:
            device.revoked = device.revoked if device.revoked is not None else now
            session.add(device)
            push.end_of_phone(session, id_)
            return device
    raise MissingError("phone-unknown", Msg("There is no such phone."))
