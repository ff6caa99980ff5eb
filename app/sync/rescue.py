"""Takes in a file of unsent entries that a phone made for the day when it can reach nobody.

    {"kind": "sillbook-unsent", "v": 1, "device", "at", "part", "parts",
     "batches": [as POST /sync], "photos": [{"sha256", "event", "jpeg": base64}]}

Each batch goes the way of POST /sync: same checks, same receipts; taken in twice it changes
nothing, and what the phone sends later is there already. Its signed heads say that the phone
made it: who carried the file does not matter.
"""

import base64
import binascii
import hashlib
import json
from contextlib import nullcontext
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import Field
from sqlmodel import Session

from app.access.server import Server
from app.core.errors import AppError, InputError
from app.core.quantity.messages import Msg
from app.store import log
from app.store import photos as kept_photos
from app.store.tables import Device
from app.sync import reasons
from app.sync.messages import Batch, Hash, Id, Receipt, StrictMessage
from app.sync.photos import keep
from app.sync.reading import message
from app.sync.receive import receive

KIND, VERSION = "sillbook-unsent", 1
MOST_BYTES = 160 * 1024 * 1024  # forty photos at their largest, and the entries
# Receipts that no signature of the phone stands behind.
UNVOUCHED = {
    reason.code
    for reason in (
        reasons.UNREADABLE,
        reasons.FOREIGN_DEVICE,
        reasons.FOREIGN_OPENING,
        reasons.NO_HEAD,
        reasons.BAD_HEAD,
    )
}


class Picture(StrictMessage):
    """A photo with its bytes; event: the entry that names it."""

    sha256: Hash
    event: Id
    jpeg: str

    @property
    def data(self) -> bytes | None:
        """Return the bytes, or None where they are not those of the name."""
        try:
            data = base64.b64decode(self.jpeg, validate=True)
        except (binascii.Error, ValueError):
            return None
        return data if hashlib.sha256(data).hexdigest() == self.sha256 else None


class Unsent(StrictMessage):
    """The file. Of a phone with many photos there are several: the first has the entries."""

    kind: Annotated[str, Field(pattern=f"^{KIND}$")]
    v: Annotated[int, Field(ge=1, le=VERSION)]
    device: Id
    at: Annotated[str, Field(max_length=64)]
    part: Annotated[int, Field(ge=1, le=1000)]
    parts: Annotated[int, Field(ge=1, le=1000)]
    batches: Annotated[list[Batch], Field(max_length=1000)]
    photos: Annotated[list[Picture], Field(max_length=200)]


def read(data: bytes) -> Unsent:
    """Return what a file holds. Errors: InputError 'rescue-newer', 'rescue-unreadable'."""
    try:
        return message(Unsent, data)
    except InputError as error:
        raise _unreadable(data) from error


def _unreadable(data: bytes) -> InputError:
    try:
        version = json.loads(data)["v"]
    except (ValueError, KeyError, TypeError, RecursionError):
        version = VERSION
    if isinstance(version, int) and version > VERSION:
        words = Msg("This file is from a newer version of Sillbook. Update the office first.")
        return InputError("rescue-newer", words)
    words = Msg(
        "This is no file of unsent entries, or it was cut or changed on its way. "
        "Save it on the phone once more, and bring it as it is."
    )
    return InputError("rescue-unreadable", words)


@dataclass(frozen=True)
class PhotoReceipt:
    """What became of a photo, or would: state ready, stored, already or refused; why in words."""

    sha256: str
    state: str
    why: Msg | None = None


@dataclass(frozen=True)
class RescueOutcome:
    """Receipts in the order of the file's entries, and what became of its photos."""

    receipts: list[Receipt]
    photos: list[PhotoReceipt]


def phone_of(session: Session, unsent: Unsent) -> Device:
    """Return the phone that made a file; raises InputError 'rescue-foreign'."""
    device = session.get(Device, unsent.device)
    if device is None:
        words = Msg("The phone that made this file was never paired with this office.")
        raise InputError("rescue-foreign", words)
    return device


class _OnlyLooked(Exception):
    """Raised to leave everything as it was."""


def look(server: Server, unsent: Unsent) -> RescueOutcome:
    """Return what taking a file in would give; nothing is changed.

    Errors: InputError 'rescue-foreign', 'rescue-altered' where no entry is the phone's own word.
    """
    receipts: list[Receipt] = []
    try:
        with server.database.write() as session:
            receipts = _receive(session, unsent, server)
            raise _OnlyLooked
    except _OnlyLooked:
        pass
    if receipts and all(receipt.why in UNVOUCHED for receipt in receipts):
        words = Msg(
            "No signature of the phone covers these entries: the file was changed, "
            "or another phone made it. Nothing was imported."
        )
        raise InputError("rescue-altered", words)
    return RescueOutcome(receipts, [_look_at(server, one) for one in unsent.photos])


def _receive(session: Session, unsent: Unsent, server: Server) -> list[Receipt]:
    device = phone_of(session, unsent)
    now = int(server.clock())
    late = log.after_end(session) if device.revoked is not None else nullcontext()
    with late:
        answers = [receive(session, device, batch, now, heard=False) for batch in unsent.batches]
    return [receipt for answer in answers for receipt in answer.receipts]


def _look_at(server: Server, picture: Picture) -> PhotoReceipt:
    with server.database.read() as session:
        known = kept_photos.known_photo(session, server.database.photos, picture.sha256)
    if known is not None:
        return PhotoReceipt(picture.sha256, "already")
    return PhotoReceipt(picture.sha256, "ready") if picture.data is not None else _damaged(picture)


def _damaged(picture: Picture) -> PhotoReceipt:
    words = Msg("This photo was changed on the way. It is still on the phone.")
    return PhotoReceipt(picture.sha256, "refused", words)


def take(server: Server, unsent: Unsent) -> RescueOutcome:
    """Take a file in: its entries in one transaction, then its photos one by one."""
    receipts = server.database.write_together(lambda session: _receive(session, unsent, server))
    return RescueOutcome(receipts, [_take_photo(server, unsent, one) for one in unsent.photos])


def _take_photo(server: Server, unsent: Unsent, picture: Picture) -> PhotoReceipt:
    data = picture.data
    if data is None:
        return _damaged(picture)
    with server.database.read() as session:
        device = phone_of(session, unsent)
    try:
        made = keep(server, device, picture.sha256, data)
    except AppError as error:
        return PhotoReceipt(picture.sha256, "refused", error.message)
    return PhotoReceipt(picture.sha256, made.state)


def entries_of(unsent: Unsent) -> list[dict[str, Any]]:
    """Return all entries of a file as they stand in it."""
    return [event for batch in unsent.batches for event in batch.events]
