"""/record/ID for those signed in: as issued, an older revision, as PDF, as export; or as it is."""

from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import need_person
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record.events import is_hash
from app.field.server import FieldHost, core_request, page_response
from app.homeowner import pages, view
from app.store import photos
from app.store.openings import openings_of
from app.store.people import is_office
from app.store.records import revisions_of
from app.store.tables import Person

router = APIRouter(prefix="/record/{opening}")
Asker = Annotated[Person, Depends(need_person)]


def _must_see(session: Session, person: Person, opening: str) -> None:
    if opening not in [one["id"] for one in openings_of(session, person, [opening])]:
        raise pages.RecordUnknownError


def _revision_of(
    request: Request, person: Person, opening: str, number: int | None = None
) -> view.RecordRevision:
    with server_of(request).database.read() as session:
        _must_see(session, person, opening)
        return pages.revision_of(request, session, opening, number)


@router.api_route("", methods=["GET", "HEAD"])
def record_page(request: Request, opening: str, person: Asker) -> Response:
    """Show the record as issued; before that, or with ?now=yes, as it stands now."""
    with server_of(request).database.read() as session:
        issued = revisions_of(session, opening)
    if issued and request.query_params.get("now") != "yes":
        return _revision_response(request, person, opening, None)
    office: FieldHost = request.app.state.office
    return page_response(office.get(core_request(request, "GET", {}), person), person)


@router.get("/r/{number}")
def revision_page(request: Request, opening: str, number: int, person: Asker) -> Response:
    """Show one revision."""
    return _revision_response(request, person, opening, number)


def _revision_response(
    request: Request, person: Person, opening: str, number: int | None
) -> Response:
    found = _revision_of(request, person, opening, number)
    units = pages.units_of(request, person.units)
    path = f"/record/{opening}/r/{found.row.revision}"
    ways = _other_ways(request, person, found)
    return pages.shown(request, found, units, path, _photos_at(opening), ways)


def _photos_at(opening: str) -> str:
    return f"/record/{opening}/photos"


def _other_ways(request: Request, person: Person, found: view.RecordRevision) -> list[Json]:
    """Return the other revisions, the record as it stands now, and for the office the sharing."""
    say = speaker_of(request).say
    base = "/record/" + found.row.opening
    out = [
        {"href": f"{base}/r/{number}", "text": say(Msg("Revision {number}", number=number))}
        for number in range(1, found.newest + 1)
        if number != found.row.revision
    ]
    with server_of(request).database.read() as session:
        out += pages.sheet_ways(session, found.row.opening, base, speaker_of(request))
    out.append({"href": base + "?now=yes", "text": say(Msg("As it stands now, not issued"))})
    if is_office(person):
        href = f"/office/o/{found.row.opening}/share"
        out.append({"href": href, "text": say(Msg("Share with the homeowner"))})
    return out


@router.get("/r/{number}/export.json")
def export_file(request: Request, opening: str, number: int, person: Asker) -> Response:
    """Give a revision's export."""
    found = _revision_of(request, person, opening, number)
    with server_of(request).database.read() as session:
        return pages.exported(session, found)


@router.get("/r/{number}/{name}.pdf")
def pdf_file(request: Request, opening: str, number: int, name: str, person: Asker) -> Response:
    """Give a revision as a PDF."""
    return pages.pdf(request, _revision_of(request, person, opening, number), name)


@router.get("/service/{number}")
def service_page(request: Request, opening: str, number: int, person: Asker) -> Response:
    """Show the sheet of a service visit."""
    found = _sheet_of(request, person, opening, number)
    return pages.sheet_shown(
        request, found, pages.units_of(request, person.units), _photos_at(opening)
    )


@router.get("/service/{number}/{name}.pdf")
def service_file(request: Request, opening: str, number: int, name: str, person: Asker) -> Response:
    """Give the sheet of a service visit as a PDF."""
    return pages.sheet_pdf(request, _sheet_of(request, person, opening, number), name)


def _sheet_of(request: Request, person: Person, opening: str, number: int) -> view.RecordRevision:
    with server_of(request).database.read() as session:
        _must_see(session, person, opening)
        return pages.sheet_of(request, session, opening, number)


@router.get("/photos/{sha256}")
def photo_file(request: Request, opening: str, sha256: str, person: Asker) -> Response:
    """Give a photo of the opening."""
    with server_of(request).database.read() as session:
        _must_see(session, person, opening)
        known = is_hash(sha256) and opening in photos.openings_with(session, sha256)
    if not known:
        raise pages.RecordUnknownError
    return pages.photo_of(request, sha256)
