"""/office/notices: what a person at the office wants to be told by e-mail, and how often."""

import logging
from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.office.pages import Form, form_field, form_of, show_form
from app.outbox.mail import is_mail
from app.outbox.wording import KIND_WORDS
from app.store import notices, outbox
from app.store.notices import NoticeChoice
from app.store.push_keys import public_push_key
from app.store.tables import Person

router = APIRouter(prefix="/office/notices")
Asker = Annotated[Person, Depends(need_supervisor)]
HOW_WORDS = (
    (notices.AT_ONCE, Msg("At once")),
    (notices.DAILY, Msg("Once a day, at six in the morning")),
    ("never", Msg("Not by e-mail")),
)
_FORM = Form(Msg("Notices"), Msg("Keep"), template="office/notices.html")
_LOG = logging.getLogger("sillbook.access")


@router.get("")
def notices_page(request: Request, person: Asker, kept: str = "", tested: str = "") -> Response:
    """Show what the asker wants to be told."""
    with server_of(request).database.read() as session:
        choice = session.get(NoticeChoice, person.id)
    typed = {"mail": "", "how": "never", **{"kind." + kind: "yes" for kind in notices.KINDS}}
    if choice is not None:
        known = choice.kinds.split()
        typed = {"mail": choice.mail, "how": choice.how or "never"}
        typed |= {"kind." + kind: "yes" for kind in known}
    return _notices_response(request, typed, {}, kept == "yes", tested == "yes")


def _notices_response(
    request: Request,
    typed: dict[str, str],
    errors: dict[str, Msg],
    kept: bool = False,
    tested: bool = False,
) -> Response:
    say = speaker_of(request).say
    settings = request.app.state.settings
    said = {name: say(words) for name, words in errors.items()}
    choices = [{"value": value, "text": say(words), "chosen": value == typed["how"]}
               for value, words in HOW_WORDS]  # fmt: skip
    fields = [
        form_field("mail", say(Msg("E-mail address")), typed["mail"], error=said.get("mail", "")),
        form_field("how", say(Msg("When I am told")), kind="select", choices=choices,
                   error=said.get("how", "")),
    ]  # fmt: skip
    return show_form(
        request,
        _FORM,
        form_of("/office/notices", act="keep"),
        fields,
        kept=kept,
        tested=tested,
        test=form_of("/office/notices", act="test"),
        kinds=kind_fields(request, typed),
        can_test=bool(typed["mail"]) and not errors,
        push=public_push_key(settings.push_key),
        no_server=not (settings.smtp and settings.mail_from),
    )


def kind_fields(request: Request, typed: dict[str, str]) -> list[Json]:
    """Return a box to tick for each kind of notice."""
    say = speaker_of(request).say
    return [
        form_field("kind." + kind, say(words), typed.get("kind." + kind, ""), kind="check")
        for kind, words in KIND_WORDS.items()
    ]


def kinds_in(form: dict[str, str]) -> str:
    """Return the kinds that a form has ticked, as they are kept."""
    return " ".join(kind for kind in notices.KINDS if form.get("kind." + kind) == "yes")


@router.post("")
def keep_notices(request: Request, asker: Asker, form: FormFields) -> Response:
    """Keep what the asker wants to be told, or send a test."""
    database = server_of(request).database
    if form.get("act") == "test":
        with database.write() as session:
            if session.get(NoticeChoice, asker.id) is not None:
                notices.post_test(session, outbox.MAIL, asker.id)
        return RedirectResponse("/office/notices?tested=yes", 303)
    typed = {name: value.strip() for name, value in form.items()}
    typed = {"mail": "", "how": "", **typed}
    errors = {}
    if typed["mail"] and not is_mail(typed["mail"]):
        errors["mail"] = Msg("Give one address, as name@example.org.")
    if typed["how"] not in (how for how, _ in HOW_WORDS):
        errors["how"] = Msg("Choose one.")
    elif typed["how"] != "never" and not typed["mail"]:
        errors["mail"] = Msg("Give the address that notices go to.")
    if errors:
        return _notices_response(request, typed, errors)
    how = notices.NEVER if typed["how"] == "never" else typed["how"]
    with database.write() as session:
        choice = NoticeChoice(person=asker.id, mail=typed["mail"], how=how, kinds=kinds_in(form))
        session.merge(choice)
    _LOG.info("notices of %r: %s, %s", asker.id, how or "never", choice.kinds)
    return RedirectResponse("/office/notices?kept=yes", 303)
