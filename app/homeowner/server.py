"""Pages for whoever has the link or the paper: no account. Reading them changes nothing."""

import base64
import hashlib
import json

from anyio import CapacityLimiter, to_thread
from fastapi import APIRouter
from sqlmodel import Session
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access import qr
from app.access.forms import read_file
from app.access.pages import framed_page, speaker_of
from app.access.server import server_of
from app.core.errors import InputError, RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record.events import is_hash
from app.homeowner import (
    apart,
    code_photo,
    handing_on,
    issuing,
    links,
    pages,
    picture,
    snapshot,
    view,
)
from app.homeowner.private import PRIVATE, count_try
from app.homeowner.published_keys import published
from app.homeowner.wording import Teller
from app.store import callbacks, photos
from app.store.company import company_of
from app.store.company_keys import company_keys
from app.store.ids import uuid7
from app.store.records import Callback, Issued, Link, ServiceSheet, by_code, revisions_of, sheets_of

router = APIRouter()
_FEW = CapacityLimiter(2)  # strangers' files are looked at: each may take a processor, and memory
PEM = {"Content-Disposition": 'attachment; filename="company-keys.pem"'}


def _private(response: Response) -> Response:
    response.headers.update(PRIVATE)
    return response


def _opened(request: Request, session: Session, token: str) -> Link:
    """Return the link of a token; raises LinkUnknownError, after many tries TooManyError."""
    now = server_of(request).clock()
    found = links.find(session, token, int(now))
    if found is None:
        count_try(request)
        raise links.LinkUnknownError
    return found


@router.get("/mine/{token}")
def mine(request: Request, token: str) -> Response:
    """Show the record that a private link opens."""
    with server_of(request).database.read() as session:
        link = _opened(request, session, token)
        revision = pages.revision_of(request, session, link.opening)
        units = pages.units_of(request)
        path = "/mine/" + token
        more = pages.sheet_ways(session, link.opening, path, speaker_of(request))
        kept = Msg("The company has your message, and comes back to you.")
        said = speaker_of(request).say(kept) if request.query_params.get("sent") else ""
        form = _complaint_form(path, said)
        return _private(
            pages.shown(
                request, revision, units, path, path + "/photos", more, form, path + "/hand-on"
            )
        )


def _complaint_form(path: str, kept: str = "", error: str = "", typed: str = "") -> Json:
    action = path + "/complaint"
    return {
        "action": action,
        "id": uuid7(),
        "kept": kept,
        "error": error,
        "typed": typed,
        "open": bool(kept or error),
    }


@router.post("/mine/{token}/hand-on")
def hand_on(request: Request, token: str) -> Response:
    """Make the secret by which a new owner takes the record over, and show it: once."""
    server = server_of(request)
    secret = links.fresh_token()
    with server.database.write() as session:
        link = _opened(request, session, token)
        now = int(server.clock())
        handing_on.make_secret(session, link.opening, link.person, "hand-on", secret, now)
        about = issuing.about(session, link.opening)
    return _private(handing_on.secret_leaflet(request, about, secret, "hand-on"))


@router.post("/mine/{token}/complaint")
async def complain(request: Request, token: str) -> Response:
    """Keep an owner's complaint, with a photo where one came."""
    data, typed = await read_file(request, "photo", picture.MOST_BYTES, 3)
    given = {name: typed.get(name, "") for name in ("id", "words")}
    return await run_in_threadpool(_complain_from, request, token, given, data)


def _complain_from(request: Request, token: str, given: dict[str, str], data: bytes) -> Response:
    server = server_of(request)
    with server.database.read() as session:
        link = _opened(request, session, token)
        revision = pages.revision_of(request, session, link.opening)
    words = given["words"].strip()
    path = "/mine/" + token
    try:
        if not words or len(words) > callbacks.MOST_WORDS:
            long = Msg("At most {count} characters fit here.", count=callbacks.MOST_WORDS)
            raise InputError("empty", long if words else Msg("Say what is wrong with the door."))
        count_try(request)  # a decoder's process for each: not too many from one address
        sha256 = _kept_photo(request, data) if data else ""
        with server.database.write() as session:
            one = Callback(
                id=given["id"][:36] or uuid7(), opening=link.opening, at=int(server.clock()),
                words=words, photo=sha256, person="", closed="",
            )  # fmt: skip
            callbacks.keep(session, one)
    except (InputError, RefusedError, photos.PhotosAwayError) as error:
        said = speaker_of(request).say(error.message)
        units, form = pages.units_of(request), _complaint_form(path, "", said, words)
        page = pages.shown(request, revision, units, path, path + "/photos", [], form)
        page.status_code = error.status
        return _private(page)
    return _private(RedirectResponse(path + "?sent=yes#complain", 303))


def _kept_photo(request: Request, data: bytes) -> str:
    made, _width, _height = picture.clean_picture(data, "photo")
    sha256 = hashlib.sha256(made).hexdigest()
    server_of(request).database.photos.keep_photo(sha256, made)
    return sha256


@router.get("/mine/{token}/service/{number}")
def mine_service(request: Request, token: str, number: int) -> Response:
    """Show the sheet of a service visit."""
    found = _sheet_opened(request, token, number)
    photos_at = f"/mine/{token}/photos"
    return _private(pages.sheet_shown(request, found, pages.units_of(request), photos_at))


@router.get("/mine/{token}/service/{number}/{name}.pdf")
def mine_service_pdf(request: Request, token: str, number: int, name: str) -> Response:
    """Give the sheet of a service visit as a PDF."""
    return _private(pages.sheet_pdf(request, _sheet_opened(request, token, number), name))


def _sheet_opened(request: Request, token: str, number: int) -> view.RecordRevision:
    with server_of(request).database.read() as session:
        link = _opened(request, session, token)
        return pages.sheet_of(request, session, link.opening, number)


@router.get("/mine/{token}/export.json")
def mine_export(request: Request, token: str) -> Response:
    """Give the file that can be checked without a server: the facts that the PDF carries too."""
    with server_of(request).database.read() as session:
        link = _opened(request, session, token)
        revision = pages.revision_of(request, session, link.opening)
        return _private(pages.exported(session, revision, entries=False))


@router.get("/mine/{token}/{name}.pdf")
def mine_pdf(request: Request, token: str, name: str) -> Response:
    """Give the record as a PDF."""
    with server_of(request).database.read() as session:
        link = _opened(request, session, token)
        revision = pages.revision_of(request, session, link.opening)
    return _private(pages.pdf(request, revision, name))


@router.get("/mine/{token}/photos/{sha256}")
def mine_photo(request: Request, token: str, sha256: str) -> Response:
    """Give a photo that the record or a service sheet names."""
    with server_of(request).database.read() as session:
        link = _opened(request, session, token)
        revision = pages.revision_of(request, session, link.opening)
        known = is_hash(sha256) and link.opening in photos.openings_with(session, sha256)
        shown = [revision.row.text, *(sheet.text for sheet in sheets_of(session, link.opening))]
    if not known or not any(f'"{sha256}"' in text for text in shown):
        raise pages.RecordUnknownError
    return pages.photo_of(request, sha256, PRIVATE)


@router.get("/verify")
def ask(request: Request, code: str = "") -> Response:
    """Ask for the code of a record, or answer one that was typed."""
    return verify(request, code) if code.strip() else _page(request, "", None, None)


@router.post("/verify/file")
async def verify_file(request: Request) -> Response:
    """Say of a PDF, an export or a photo of a code whether that is as issued.

    It is looked at in a process apart, and not kept.
    """
    await run_in_threadpool(count_try, request)  # each costs a process: not too many of an address
    data, _ = await read_file(request, "file", apart.MOST_BYTES)
    return await to_thread.run_sync(_verify_data, request, data, limiter=_FEW)


def _verify_data(request: Request, data: bytes) -> Response:
    if not data:
        words = Msg("Choose a file first.")
        return _page(request, "", None, None, speaker_of(request).say(words))
    report = apart.check_apart(data)
    if "photo" in report:
        return _verify_photo(request, report["photo"])
    with server_of(request).database.read() as session:
        found = _issued(session, report["digest"]) if report["digest"] else None
        newest = _newest(session, found)
        ours = {key.fingerprint for key in company_keys(session)}
    teller = Teller(speaker_of(request), {})
    practised = teller.say(view.PRACTICE) + " " if report["practice"] else ""
    if report["faults"]:
        first = teller.say(Msg("This file is not as it was issued."))
        wrong = " ".join([first, *map(teller.say, report["faults"])])
        return _page(request, "", None, None, practised + wrong)
    if not ours & set(report["signers"]):
        words = Msg("The file is whole, but it is not signed with a key of this company.")
        return _page(request, "", None, None, practised + teller.say(words))
    return _page(request, report["code"], found, newest, "", FILE_WHOLE)


def _verify_photo(request: Request, texts: list[str]) -> Response:
    """Say of the QR codes in a photo whether one is of a record of ours."""
    speaker = speaker_of(request)
    code, base = code_photo.record_code(texts)
    if not code:
        words = CODE_OF_NO_RECORD if texts else NO_CODE_SEEN
        return _page(request, "", None, None, speaker.say(words))
    with server_of(request).database.read() as session:
        found = _issued(session, code)
        newest = _newest(session, found)
    read = Msg("The code in the picture is {code}.", code=code)
    if base != pages.base_of(request):
        other = Msg("It leads to {address}, not to this office: go by what is said here.",
                    address=base)  # fmt: skip
        read = Msg("{one} {other}", one=read, other=other)
    return _page(request, code, found, newest, "", read)


NO_CODE_SEEN = Msg(
    "No code can be read in this picture. Take it from near, straight and in good light, or type "
    "the code."
)
CODE_OF_NO_RECORD = Msg("The code in this picture is not that of a record.")
FILE_WHOLE = Msg("The file is whole: its signature covers every byte, and the facts in it fit.")


@router.get("/company/logo.png")
def logo(request: Request) -> Response:
    """Give the company's logo, as it was drawn anew."""
    with server_of(request).database.read() as session:
        data = base64.b64decode(company_of(session).logo)
    if not data:
        raise pages.RecordUnknownError
    policy = {"Content-Security-Policy": "default-src 'none'; sandbox"}
    return Response(data, media_type="image/png", headers=policy)


@router.get("/verify/keys.pem")
def certificates(request: Request) -> Response:
    """Give the certificates of the company's signing keys, the one that signs now first."""
    with server_of(request).database.read() as session:
        text = "".join(key.certificate for key in reversed(company_keys(session)))
    return Response(text, media_type="application/x-pem-file", headers=PEM)


@router.get("/verify/{code}/qr.svg")
def code_picture(request: Request, code: str) -> Response:
    """Give the QR code that leads to a record's check."""
    known = snapshot.read_code(code)
    base = pages.public_base(request)
    if not known or not base:
        raise pages.RecordUnknownError
    drawn = qr.svg(f"{base}/verify/{known}")
    headers = {"Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'"}
    return Response(drawn, media_type="image/svg+xml", headers=headers)


@router.get("/verify/{code}")
def verify(request: Request, code: str) -> Response:
    """Say of a code or a whole digest: as issued, superseded, or not ours."""
    typed = code.strip()[:100]
    with server_of(request).database.read() as session:
        found = _issued(session, typed)
        newest = _newest(session, found)
    if found is None:
        count_try(request)
    return _page(request, typed, found, newest)


def _newest(session: Session, found: Issued | ServiceSheet | None) -> Issued | ServiceSheet | None:
    """Return what counts of what was found: a record's newest revision, a sheet by itself."""
    return revisions_of(session, found.opening)[-1] if isinstance(found, Issued) else found


def _issued(session: Session, typed: str) -> Issued | ServiceSheet | None:
    """Return the revision, or the service sheet, that a code or a digest of 64 digits is of."""
    digest = typed.lower()
    code = snapshot.code_of(digest) if is_hash(digest) else snapshot.read_code(typed)
    fits = [row for row in by_code(session, code) if not is_hash(digest) or row.digest == digest]
    return fits[0] if fits else None


def _page(
    request: Request,
    typed: str,
    found: Issued | ServiceSheet | None,
    newest: Issued | ServiceSheet | None,
    wrong: str = "",
    whole: Msg | None = None,
) -> Response:
    """Return the page of checks.

    wrong: what is wrong with a file. whole: what is said first of what was uploaded.
    """
    speaker = speaker_of(request)
    verdict, facts, practised = wrong, [], False
    if found is not None and newest is not None:
        same = found.revision == newest.revision
        words = (
            Msg("As issued: this is the newest revision of a record of ours.")
            if same
            else Msg(
                "Superseded: it was issued by us, and revision {newest} has replaced it.",
                newest=newest.revision,
            )
        )
        if isinstance(found, ServiceSheet):
            words = Msg("As issued: this is a service sheet of ours.")
        said = [whole, words] if whole else [words]
        practised = bool(json.loads(found.text)["facts"].get("practice"))
        said = [view.PRACTICE, *said] if practised else said
        verdict, facts = " ".join(map(speaker.say, said)), _facts(request, found)
    elif typed:
        words = Msg("Not ours: no record with this code was issued here.")
        verdict = " ".join(map(speaker.say, [whole, words] if whole else [words]))
    with server_of(request).database.read() as session:
        keys = company_keys(session)
    context: Json = {
        "keys": published(keys, speaker),
        "typed": typed,
        "verdict": verdict,
        "good": found is not None
        and newest is not None
        and found.revision == newest.revision
        and not practised,
        "facts": facts,
    }
    status = 404 if typed and found is None else 200
    made = framed_page(
        request, "record/verify.html", Msg("Check a completion record"), context, status
    )
    made.headers["X-Robots-Tag"] = PRIVATE["X-Robots-Tag"]
    return made


def _facts(request: Request, found: Issued | ServiceSheet) -> list[Json]:
    """Return what can be compared with the paper; nothing of the house or its people."""
    say = speaker_of(request).say
    return [
        {
            "label": say(Msg("Sheet") if isinstance(found, ServiceSheet) else Msg("Revision")),
            "words": str(found.revision),
        },
        {"label": say(Msg("Issued, as the office's clock says")), "words": found.at},
        {"label": say(Msg("Code")), "words": found.code},
        {"label": say(Msg("Digest, printed on every sheet")), "words": found.digest},
        {"label": say(Msg("Signed with the key")), "words": found.key or "–"},
    ]
