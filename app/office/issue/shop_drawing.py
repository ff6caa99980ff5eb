"""/office/shop/ID: the maker's shop drawing of an opening, for the crew to look at."""

import hashlib
import logging
from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.forms import read_file
from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.quantity.messages import Msg
from app.office.issue import work
from app.office.pages import form_of, office_page
from app.store import log
from app.store.photos import PhotosAwayError, drop_unnamed
from app.store.shop_drawings import ShopPage, keep_pages, pages_of
from app.store.tables import Person, Photo
from app.sync.shop_pages import (
    MOST_BYTES,
    PagePicture,
    ShopUnfitError,
    page_pictures,
)

router = APIRouter(prefix="/office/shop")
Asker = Annotated[Person, Depends(need_supervisor)]
_LOG = logging.getLogger("sillbook.access")


@router.get("/{opening}")
def shop_page(request: Request, _: Asker, opening: str) -> Response:
    """Show the shop drawing as the crew has it, with the form that puts another in its place."""
    return _shop_response(request, opening)


def _shop_response(request: Request, opening: str, wrong: str = "") -> Response:
    with server_of(request).database.read() as session:
        found = work.opening_of(session, opening)
        job = work.job_of(session, found.job)
        kept = pages_of(session, opening)
    say = speaker_of(request).say
    path = f"/office/shop/{opening}"
    context = {
        "heading": say(Msg("Shop drawing of opening {letter}", letter=found.letter)),
        "job": {"title": job.title, "href": f"/office/jobs/{job.id}"},
        "pages": [
            {"src": f"/photos/{one.sha256}", "width": one.width, "height": one.height,
             "text": say(Msg("Page {n} of {count}", n=one.n, count=len(kept)))}
            for one in kept
        ],
        "form": form_of(path, wrong, act="keep"),
        "remove": form_of(path, act="remove") if kept else None,
    }  # fmt: skip
    status = 422 if wrong else 200
    return office_page(request, "office/shop.html", Msg("Shop drawing"), context, status)


@router.post("/{opening}")
async def keep_shop_drawing(request: Request, asker: Asker, opening: str) -> Response:
    """Keep a file as the shop drawing (act: keep), or take it away (act: remove)."""
    data, form = await read_file(request, "file", MOST_BYTES, 6)
    return await run_in_threadpool(_keep_from, request, asker, opening, data, form)


def _keep_from(
    request: Request, asker: Person, opening: str, data: bytes, form: dict[str, str]
) -> Response:
    server = server_of(request)
    with server.database.read() as session:
        work.opening_of(session, opening)
    pictures: list[PagePicture] = []
    if form.get("act") != "remove":
        say = speaker_of(request).say
        if not data:
            return _shop_response(request, opening, say(Msg("Choose a file.")))
        try:
            pictures = page_pictures(data)
        except ShopUnfitError as error:
            return _shop_response(request, opening, say(error.message))
    rows, place = [], server.database.photos
    for n, one in enumerate(pictures, 1):
        sha256 = hashlib.sha256(one.data).hexdigest()
        place.keep_photo(sha256, one.data)
        rows.append(
            ShopPage(opening=opening, n=n, sha256=sha256, width=one.width, height=one.height,
                     person=asker.id, made=int(server.clock()))
        )  # fmt: skip
    with server.database.write() as session:
        before = [one.sha256 for one in pages_of(session, opening)]
        for row, one in zip(rows, pictures, strict=True):
            session.merge(
                Photo(sha256=row.sha256, size=len(one.data), width=row.width, height=row.height,
                      received_at=log.received_now())
            )  # fmt: skip
        session.flush()
        keep_pages(session, opening, rows)
    for row, one in zip(rows, pictures, strict=True):
        place.keep_photo(row.sha256, one.data)  # again: somebody may just have taken it away
    try:
        with server.database.write() as session:
            drop_unnamed(session, place, before)
    except PhotosAwayError as error:  # the new drawing is kept; what is left over harms nobody
        _LOG.warning("pages of %r that were replaced stay where they are: %s", opening, error)
    _LOG.info("shop drawing of %r: %d pages by %r", opening, len(rows), asker.id)
    return RedirectResponse(f"/office/shop/{opening}", 303)
