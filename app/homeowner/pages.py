"""A record as it was issued, as a page, a PDF and an export: for those signed in and for a link."""

import base64
import ipaddress
from collections.abc import Mapping
from urllib.parse import urlsplit

from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from app.access.pages import framed_page, lang_of
from app.access.photo_answer import photo_answer
from app.access.server import server_of
from app.core.errors import MissingError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.homeowner import export, issuing, service, signed_pdf, view
from app.homeowner.language_tags import tagged_html
from app.homeowner.pdf import label, paper, service_paper
from app.homeowner.wording import UNITS
from app.signing.company_key import current_key
from app.store import people
from app.store.company import company_of
from app.store.photos import seems_here
from app.store.records import Issued, revisions_of, sheets_of
from app.words.catalogs import NAMES, catalog

LOGO = "/company/logo.png"
PAPERS = {"letter": Msg("Letter"), "a4": Msg("A4")}
UNIT_WORDS = {
    "in": Msg("inches"),
    "mm": Msg("millimetres"),
    "both": Msg("inches and millimetres"),
}


class RecordUnknownError(MissingError):
    """No such record, or none yet."""

    def __init__(self) -> None:
        super().__init__("record-unknown", Msg("There is no such record."))


def base_of(request: Request) -> str:
    """Return the address that is printed: what the settings say, else what was asked."""
    given: str = getattr(request.app.state, "address", "")
    return given or str(request.base_url).rstrip("/")


def public_base(request: Request) -> str:
    """Return the address that others reach, to be printed; "" where there is none.

    It is what the settings say. Where they say nothing it is what was asked, unless that is this
    machine or a name or number that only means something in its own network.
    """
    base = base_of(request)
    return base if _is_public(urlsplit(base).hostname or "") else ""


def _is_public(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_global
    except ValueError:
        return "." in host and not host.endswith((".local", ".localhost", ".internal", ".lan"))


def revision_of(
    request: Request, session: Session, opening: str, number: int | None = None
) -> view.RecordRevision:
    """Return a revision of an opening's record, the newest for None; raises RecordUnknownError."""
    kept = revisions_of(session, opening)
    wanted = [row for row in kept if number in (None, row.revision)]
    if not wanted:
        raise RecordUnknownError
    known, spoken = issuing.names_for(session, opening), people.languages_by_id(session)
    return view.RecordRevision(wanted[-1], kept[-1].revision, known, public_base(request), spoken)


def units_of(request: Request, usual: str = "in") -> str:
    """Return the units that a page is asked for."""
    asked = request.query_params.get("units", "")
    return asked if asked in UNITS else usual


def lang_asked(request: Request) -> str:
    """Return the language that a page is asked for."""
    asked = request.query_params.get("lang", "")
    return asked if asked in NAMES else lang_of(request)


def shown(
    request: Request,
    revision: view.RecordRevision,
    units: str,
    path: str,
    photos: str,
    more: list[Json],
    complain: Json | None = None,
    hand_on: str = "",
) -> Response:
    """Return a revision as a page. path: where its PDFs are, photos: where those; more: ways on.

    complain: the form by which its owner says that something is wrong, or None. hand_on: where the
    owner's form leads that hands the record on, or "".
    """
    lang = lang_asked(request)
    speaker = Speaker(catalog(lang))
    context = view.contents(revision, lang, units)
    _lead_to(request, photos, [one for part in context["sections"] for one in part["photos"]])
    with server_of(request).database.read() as session:
        context["company"]["logo"] = LOGO if company_of(session).logo else ""
    first, *others = _downloads(speaker, lang, units, path)
    context |= {
        "number": revision.kept["number"],
        "running": f"{view.where(revision.kept)} · {revision.kept['about']['address']}",
        "stamp": view.stamp(revision, context["issued"], speaker),
        "draft": "",
        "switches": _switches(speaker, lang, units, request.url.path),
        "download": first,
        "downloads": [*others, *more],
        "complain": complain,
        "hand_on": hand_on,
    }
    title = Msg("Completion record · {where}", where=view.where(revision.kept))
    practice = context["stamp"]["practice"]
    return _tagged_page(
        framed_page(request, "record/record.html", title, context, lang=lang, practice=practice)
    )


def _tagged_page(page: Response) -> Response:
    """Return a page in which what is in another language says so."""
    html = tagged_html(bytes(page.body).decode())
    return HTMLResponse(html, page.status_code)


def _lead_to(request: Request, base: str, photos: list[Json]) -> None:
    """Say of photos that have reached the office where they are shown."""
    place = server_of(request).database.photos
    for photo in photos:
        here = seems_here(place, photo["sha256"])
        photo["href"] = f"{base}/{photo['sha256']}" if here else ""


def _switches(speaker: Speaker, lang: str, units: str, path: str) -> list[Json]:
    """Return the links that show the same record in another language or in other units."""
    languages = [
        {"href": f"{path}?lang={other}&units={units}", "text": NAMES[other], "lang": other,
         "here": other == lang}
        for other in sorted(NAMES)
    ]  # fmt: skip
    return languages + [
        {"href": f"{path}?lang={lang}&units={other}", "text": speaker.say(UNIT_WORDS[other]),
         "lang": lang, "here": other == units}
        for other in UNITS
    ]  # fmt: skip


def _downloads(speaker: Speaker, lang: str, units: str, path: str) -> list[Json]:
    """Return the PDFs as the page is shown, the usual paper of its units first; then the export."""
    say = speaker.say
    papers = ("a4", "letter") if units == "mm" else ("letter", "a4")
    asked = f"?units={units}&lang={lang}"
    out = [
        {
            "href": f"{path}/{name}.pdf{asked}",
            "text": say(Msg("PDF to keep, {paper}", paper=PAPERS[name])),
        }
        for name in papers
    ]
    out += [
        {"href": f"{path}/{name}.pdf?lang={lang}", "text": say(words)}
        for name, (_width, _height, words) in label.SIZES.items()
    ]
    out.append({"href": f"{path}/export.json", "text": say(Msg("File to check without a server"))})
    return out


def pdf(request: Request, revision: view.RecordRevision, name: str) -> Response:
    """Return a revision as a signed PDF, or its label; raises RecordUnknownError for neither."""
    if name in label.SIZES:
        return _label_pdf(request, revision, name)
    if name not in PAPERS:
        raise RecordUnknownError
    units = units_of(request)
    with server_of(request).database.read() as session:
        key = current_key(session)
        proof = export.proof_of(session, revision.row)
        logo = base64.b64decode(company_of(session).logo)
    lang = lang_asked(request)
    plain = paper.make(revision, name, lang, units, server_of(request).database.photos, proof, logo)
    made = signed_pdf.signed(plain, revision, key, Speaker(catalog(lang)))
    file = f"record-{revision.row.code}-{name}-{units}.pdf"
    headers = {"Content-Disposition": f'attachment; filename="{file}"'}
    return Response(made, media_type="application/pdf", headers=headers)


def _label_pdf(request: Request, revision: view.RecordRevision, name: str) -> Response:
    """Return a label for the frame. It is no record, so nobody signs it."""
    made = label.make(revision, name, lang_asked(request))
    headers = {"Content-Disposition": f'attachment; filename="{name}-{revision.row.code}.pdf"'}
    return Response(made, media_type="application/pdf", headers=headers)


def exported(session: Session, revision: view.RecordRevision, entries: bool = True) -> Response:
    """Return a revision to be checked by anyone. entries: with all of them, or the facts alone."""
    if not isinstance(revision.row, Issued):
        raise RecordUnknownError
    file = f"record-{revision.row.code}.json"
    headers = {"Content-Disposition": f'attachment; filename="{file}"'}
    make = export.make if entries else export.proof_of
    made = make(session, revision.row)
    return Response(made, media_type="application/json", headers=headers)


def sheet_of(request: Request, session: Session, opening: str, number: int) -> view.RecordRevision:
    """Return the sheet of a service visit by its number; raises RecordUnknownError."""
    for row in sheets_of(session, opening):
        if row.revision == number:
            known, spoken = issuing.names_for(session, opening), people.languages_by_id(session)
            return view.RecordRevision(row, number, known, public_base(request), spoken)
    raise RecordUnknownError


def sheet_ways(session: Session, opening: str, base: str, speaker: Speaker) -> list[Json]:
    """Return the way to each service sheet of an opening. base: of the record's page."""
    return [
        {
            "href": f"{base}/service/{row.revision}",
            "text": speaker.say(Msg("Service sheet {number}", number=row.revision)),
        }
        for row in sheets_of(session, opening)
    ]


def sheet_shown(
    request: Request, revision: view.RecordRevision, units: str, photos: str
) -> Response:
    """Return the sheet of a service visit as a page. photos: where those are."""
    lang, path = lang_asked(request), request.url.path
    speaker = Speaker(catalog(lang))
    context = service.contents(revision, lang, units)
    _lead_to(request, photos, context["photos"])
    context["stamp"] = view.stamp(revision, context["issued"], speaker)
    context["switches"] = _switches(speaker, lang, units, path)
    context["downloads"] = _downloads(speaker, lang, units, path)[: len(PAPERS)]
    title = Msg("Service sheet · {where}", where=view.where(revision.kept))
    practice = context["stamp"]["practice"]
    return _tagged_page(
        framed_page(request, "record/service.html", title, context, lang=lang, practice=practice)
    )


def sheet_pdf(request: Request, revision: view.RecordRevision, name: str) -> Response:
    """Return the sheet of a service visit as a signed PDF; raises RecordUnknownError."""
    if name not in PAPERS:
        raise RecordUnknownError
    units, lang = units_of(request), lang_asked(request)
    with server_of(request).database.read() as session:
        key = current_key(session)
        proof = export.proof_of(session, revision.row)
    place = server_of(request).database.photos
    plain = service_paper.make(revision, name, lang, units, place, proof)
    made = signed_pdf.signed(plain, revision, key, Speaker(catalog(lang)))
    file = f"service-{revision.row.code}-{name}-{units}.pdf"
    headers = {"Content-Disposition": f'attachment; filename="{file}"'}
    return Response(made, media_type="application/pdf", headers=headers)


def photo_of(request: Request, sha256: str, headers: Mapping[str, str] | None = None) -> Response:
    """Return a photo that the asker may see; raises RecordUnknownError where it is not here."""
    answer = photo_answer(server_of(request).database.photos, sha256, headers)
    if answer is None:
        raise RecordUnknownError
    return answer
