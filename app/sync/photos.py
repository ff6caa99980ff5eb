"""Photos in and out."""

import hashlib
from functools import partial
from typing import Annotated

from anyio import CapacityLimiter, to_thread
from fastapi import APIRouter, Depends
from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import Response

from app.access import devices
from app.access.devices import PairAgainError, bearer_of, need_device
from app.access.photo_answer import KIND, photo_answer
from app.access.server import Server, server_of
from app.access.who import need_person
from app.core.errors import InputError, MissingError, RefusedError
from app.core.quantity.messages import Msg
from app.core.record.events import is_hash
from app.store import log, news, photos
from app.store.openings import openings_of
from app.store.tables import Device, Photo
from app.sync.decoding import checked_size
from app.sync.messages import PhotoOut
from app.sync.reading import answer, body_of

router = APIRouter()
MOST_BYTES = 4 * 1024 * 1024
# Threads of their own for photos: a crew that comes home must not take the machine, and whoever
# waits for a turn holds no thread that a page could have.
_FEW = CapacityLimiter(2)
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Cross-Origin-Resource-Policy": "same-origin",
}


class PhotoUnknownError(MissingError):
    """No photo of that name, or none for this asker: the same answer."""

    def __init__(self) -> None:
        super().__init__("photo-unknown", Msg("There is no such photo."))


@router.put("/photos/{sha256}")
async def put(
    request: Request, sha256: str, device: Annotated[Device, Depends(need_device)]
) -> Response:
    """Keep a photo that an entry names; a second time changes nothing."""
    _must_be_name(sha256)
    data = await body_of(request, KIND, MOST_BYTES)
    work = partial(keep, server_of(request), device, sha256, data)
    return answer(await to_thread.run_sync(work, limiter=_FEW))


def _must_be_name(sha256: str) -> None:
    if not is_hash(sha256):
        raise PhotoUnknownError


def keep(server: Server, device: Device, sha256: str, data: bytes) -> PhotoOut:
    """Keep a photo of a phone, or refuse it; the same a second time changes nothing."""
    place = server.database.photos
    with server.database.read() as session:
        _must_be_named(session, device, sha256)
        known = session.get(Photo, sha256)
    if hashlib.sha256(data).hexdigest() != sha256:
        words = Msg(
            "This photo arrived damaged: its bytes are not those of its name. Send it again."
        )
        raise InputError("photo-damaged", words)
    if known is not None and place.has_photo(sha256):
        return PhotoOut(sha256=sha256, state="already", width=known.width, height=known.height)
    width, height = checked_size(data)
    place.keep_photo(sha256, data)
    row = Photo(
        sha256=sha256, size=len(data), width=width, height=height, received_at=log.received_now()
    )
    server.database.write_together(lambda session: _note(session, row), {sha256})
    return PhotoOut(sha256=sha256, state="stored", width=width, height=height)


def _note(session: Session, row: Photo) -> None:
    session.merge(row)
    session.flush()


def _must_be_named(session: Session, device: Device, sha256: str) -> None:
    """Nothing is kept that no entry of this phone's openings speaks of."""
    named = photos.openings_with(session, sha256) & set(news.openings_of_people(session, device.id))
    own = photos.is_named_by(session, device.id, sha256)
    if not named and not own and not photos.is_aside(session, device.id, sha256):
        words = Msg("No entry here names this photo yet. Send the entry first, then the photo.")
        raise RefusedError("photo-unnamed", words)


@router.get("/photos/{sha256}")
def get(request: Request, sha256: str) -> Response:
    """Show a photo to who may see an opening that names it."""
    _must_be_name(sha256)
    server = server_of(request)
    mine = _phone(request, server) if bearer_of(request) else _person(request, server)
    with server.database.read() as session:
        seen = mine & photos.openings_with(session, sha256)
        known = session.get(Photo, sha256) is not None
    named = {"Content-Disposition": f'inline; filename="photo-{sha256[:12]}.jpg"'}
    place = server.database.photos
    shown = photo_answer(place, sha256, HEADERS | named) if seen and known else None
    if shown is None:
        raise PhotoUnknownError
    return shown


def _phone(request: Request, server: Server) -> set[str]:
    with server.database.read() as session:
        device = devices.find_phone(session, bearer_of(request))
        if device is None:
            raise PairAgainError
        return set(news.openings_of_people(session, device.id))


def _person(request: Request, server: Server) -> set[str]:
    person = need_person(request)
    with server.database.read() as session:
        return {opening["id"] for opening in openings_of(session, person)}
