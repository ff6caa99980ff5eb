"""/office/company: name, telephone, address and logo as records print them; depth of openings."""

import base64
import logging
from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.forms import read_file
from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_administrator
from app.core.quantity.messages import Msg
from app.core.where.places import DEPTHS, SHORT
from app.homeowner import picture
from app.office.issue.work import depth_choices
from app.office.pages import Form, form_field, form_of, office_page, show_form
from app.store import company as kept_in
from app.store.tables import Person

router = APIRouter(prefix="/office/company")
Asker = Annotated[Person, Depends(need_administrator)]
_LOG = logging.getLogger("sillbook.access")
_FIELDS = (
    ("name", Msg("Name of the company"), kept_in.MOST_NAME),
    ("telephone", Msg("Telephone that homeowners are to call"), kept_in.MOST_TELEPHONE),
    ("address", Msg("Address of the company"), kept_in.MOST_ADDRESS),
)
_FORM = Form(
    Msg("Company details"),
    Msg("Keep the company"),
    Msg(
        "Completion records that are issued from now on say this. Records that were issued "
        "before stay as they are."
    ),
)


@router.get("")
def company_page(request: Request, _: Asker, kept: str = "") -> Response:
    """Show the company as it is kept, to be changed."""
    with server_of(request).database.read() as session:
        ours = kept_in.company_of(session)
    kept_now = {name: getattr(ours, name) for name, _, _ in _FIELDS}
    kept_now["depth"] = ours.depth or SHORT
    return _company_response(request, kept_now, {}, kept == "yes")


def _company_response(
    request: Request, typed: dict[str, str], errors: dict[str, Msg], kept: bool = False
) -> Response:
    say = speaker_of(request).say
    fields = [
        form_field(name, say(label), typed[name], error=say(errors[name]) if name in errors else "")
        for name, label, _ in _FIELDS
    ]
    wrong = say(errors["depth"]) if "depth" in errors else ""
    label = say(Msg("How much is measured on new openings, where the job does not say"))
    choices = depth_choices(say, typed["depth"])
    fields.append(form_field("depth", label, kind="select", error=wrong, choices=choices))
    return show_form(request, _FORM, form_of("/office/company"), fields, kept=kept)


@router.post("")
def keep_company(request: Request, asker: Asker, form: FormFields) -> Response:
    """Keep what was typed."""
    typed = {name: form.get(name, "").strip() for name, _, _ in _FIELDS}
    errors = {
        name: Msg("At most {count} characters fit here.", count=most)
        for name, _, most in _FIELDS
        if len(typed[name]) > most
    }
    if not typed["name"]:
        errors["name"] = Msg("Give the name of the company.")
    typed["depth"] = form.get("depth", "")
    if typed["depth"] not in ("", *DEPTHS):
        errors["depth"] = Msg("Choose one.")
    if errors:
        return _company_response(request, typed, errors)
    with server_of(request).database.write() as session:
        kept_in.name_company(
            session, typed["name"], typed["telephone"], typed["depth"], typed["address"]
        )
    _LOG.info("company named %r by %r", typed["name"], asker.id)
    return RedirectResponse("/office/company?kept=yes", 303)


@router.get("/logo")
def logo_page(request: Request, _: Asker) -> Response:
    """Show the logo that records carry, with the form that puts another in its place."""
    return _logo_response(request)


def _logo_response(request: Request, wrong: str = "") -> Response:
    with server_of(request).database.read() as session:
        there = bool(kept_in.company_of(session).logo)
    context = {"there": there, "form": form_of("/office/company/logo", wrong)}
    status = 422 if wrong else 200
    return office_page(request, "office/logo.html", Msg("Logo"), context, status)


@router.post("/logo")
async def keep_logo(request: Request, asker: Asker) -> Response:
    """Keep a picture as the logo, drawn anew; none takes the logo away."""
    data, _ = await read_file(request, "logo", picture.MOST_BYTES, 3)
    return await run_in_threadpool(_keep_logo_from, request, asker, data)


def _keep_logo_from(request: Request, asker: Person, data: bytes) -> Response:
    try:
        made = picture.clean_picture(data, "logo")[0] if data else b""
    except picture.PictureUnfitError as error:
        return _logo_response(request, speaker_of(request).say(error.message))
    with server_of(request).database.write() as session:
        ours = kept_in.company_of(session)
        ours.logo = base64.b64encode(made).decode()
        session.add(ours)
    _LOG.info("logo of %d bytes by %r", len(made), asker.id)
    return RedirectResponse("/office/company/logo", 303)
