"""Pairing a phone: a code that serves once, for ten minutes; only its hash is kept."""

from typing import Protocol

from sqlmodel import Session, col, delete, select

from app.access import codes, devices, keys
from app.access.keys import Verifier
from app.core.errors import InputError, RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.store.ids import uuid7
from app.store.tables import Device, Pairing, Person

LASTS = 10 * 60
LENGTH = 16  # 80 bits


class CodeError(InputError):
    """One text for every cause, so that nobody learns which codes there are."""

    def __init__(self) -> None:
        words = Msg(
            "This code does not serve: it is wrong, was used, or is older than ten minutes."
        )
        super().__init__("code-unfit", words)


def make_code(session: Session, person: str, now: int) -> str:
    """Return a new code for a person; unused older ones of theirs end."""
    over = (col(Pairing.expires) <= now) | (col(Pairing.person) == person)
    session.execute(delete(Pairing).where(over))
    code = codes.new_code(LENGTH)
    kept = codes.code_hash(code)
    session.add(Pairing(code_hash=kept, person=person, expires=now + LASTS))
    session.flush()
    return code


def end_codes(session: Session, person: str) -> None:
    """End the unused codes of a person, as whoever else knows their old password may have made."""
    unused = (col(Pairing.person) == person) & col(Pairing.used).is_(None)
    session.execute(delete(Pairing).where(unused))


def code_as_read(code: str) -> str:
    """Return a code as it is read aloud. Example: code_as_read("ABCDEFGH") -> "ABCD-EFGH"."""
    return "-".join(code[at : at + 4] for at in range(0, len(code), 4))


def spend_code(session: Session, code: str, now: int) -> Person:
    """Return whose code it is, and end it; raises CodeError."""
    kept = session.get(Pairing, codes.code_hash(code))
    if kept is None or kept.used is not None or not now < kept.expires <= now + LASTS:
        raise CodeError
    person = session.get_one(Person, kept.person)
    if person.disabled:
        raise CodeError
    kept.used = now
    session.add(kept)
    return person


class PairingRequest(Protocol):
    """What a phone sends to be paired."""

    code: str
    name: str
    proof: str

    @property
    def jwk(self) -> Json:
        """Return its public key."""


def pair_phone(
    session: Session, person: Person, asked: PairingRequest, now: int
) -> tuple[Device, str]:
    """Return the phone of a key, new or known, with a new token; the person may enter on it.

    A phone whose key is known proves it by its signature of {"pair": code}: so a phone that
    lost its token, or gets another person, stays the same phone.
    Errors: KeyUnfitError; RefusedError 'key-unproven' or 'phone-revoked' for a known key.
    """
    key = keys.kept_key(asked.jwk)
    known = session.exec(select(Device).where(Device.key_hash == keys.key_thumbprint(key))).first()
    if known is not None:
        _must_serve(known, asked.proof, asked.code)
    device = known or _new_device(person, asked.name, key, now)
    token = devices.new_token(device)
    session.add(device)
    session.flush()
    devices.let_in(session, device.id, person.id)
    return device, token


def _new_device(person: Person, name: str, key: str, now: int) -> Device:
    return Device(
        id="phone-" + uuid7(),
        name=name,
        person=person.id,
        key=key,
        key_hash=keys.key_thumbprint(key),
        token_hash="",
        made=now,
    )


def _must_serve(known: Device, proof: str, code: str) -> None:
    if known.revoked is not None:
        words = Msg("This phone was revoked. Pair it anew, with a new key.")
        raise RefusedError("phone-revoked", words)
    if not Verifier(known.key).fits({"pair": code}, proof):
        raise RefusedError("key-unproven", Msg("This key is known and the phone did not prove it."))
