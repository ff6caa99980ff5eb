"""The page of a spoken concession: what the installer reads out goes in, a code comes out."""

import logging
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.errors import InputError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.record import spoken
from app.core.record.judge import Result
from app.core.record.state import State, Step
from app.field.server import local_now
from app.office.issue.jobs import is_id
from app.office.pages import Form, form_field, form_of, office_page, show_form
from app.office.voice import giving
from app.store.ids import uuid7
from app.store.tables import Opening, Person, Voice

router = APIRouter(prefix="/office/o/{opening}/voice")
Asker = Annotated[Person, Depends(need_supervisor)]
_LOG = logging.getLogger("sillbook.access")
_TITLE = Msg("Spoken concession")
_FORM = Form(
    _TITLE,
    Msg("Make the code"),
    Msg(
        "For a crew with a voice line and no data. The phone shows a number for the check with its "
        "readings; with it you get a code to read out. The gate then opens provisionally: confirm "
        "or refuse it here, in writing, when the phone has sent its entries."
    ),
    "office/voice.html",
)


def _procedure_cache(request: Request) -> dict[str, Json]:
    found: dict[str, Json] = request.app.state.office.procedures
    return found


@router.get("")
def ask_code_page(request: Request, _: Asker, opening: str) -> Response:
    """Show the form."""
    return _ask_code_response(request, opening, {"id": uuid7()}, {})


def _ask_code_response(
    request: Request, opening: str, typed: dict[str, str], errors: dict[str, str]
) -> Response:
    speaker = speaker_of(request)
    with server_of(request).database.read() as session:
        giving.must_be_known(session, opening)
        state = giving.state_of(session, opening, _procedure_cache(request))
        fields = _code_fields(speaker, session, state, opening, typed, errors)
        place = session.get_one(Opening, opening)
    form = form_of(f"/office/o/{opening}/voice", id=typed.get("id", ""))
    phones = any(one["choices"] for one in fields if one["name"] == "phone")
    where, back = f"{place.letter} {place.room}", "/office/o/" + opening
    return show_form(request, _FORM, form, fields, where=where, back=back, phones=phones)


def _code_fields(
    speaker: Speaker,
    session: Session,
    state: State,
    opening: str,
    typed: dict[str, str],
    errors: dict[str, str],
) -> list[Json]:
    say = speaker.say

    def one(name: str, label: Msg, **more: object) -> Json:
        given = {"value": typed.get(name, ""), "error": errors.get(name, ""), **more}
        return form_field(name, say(label), **given)  # type: ignore[arg-type]

    checks = [
        _choice_option(
            giving.key_of(step, result), say(_check_title(step, result)), typed.get("check")
        )
        for step, result in giving.checks_of(state)
    ]
    phones = [
        _choice_option(device.id, f"{', '.join(names)}: {device.name}", typed.get("phone"))
        for device, names in giving.phones_for(session, opening)
    ]
    hint = say(Msg("only where the limit is the author's or the engineer's: who, when, what"))
    return [
        one("check", Msg("Check"), kind="select", choices=checks),
        one("phone", Msg("Whose phone asks"), kind="select", choices=phones),
        one("number", Msg("The number that the installer reads out"), hint=say(Msg("9 digits"))),
        one("reason", Msg("Reason, as it will stand in the record"), kind="area"),
        one("answer", Msg("The written answer of the drawing's author"), kind="area", hint=hint),
    ]


def _choice_option(value: str, text: str, now: str | None) -> Json:
    return {"value": value, "text": text, "chosen": value == now}


def _check_title(step: Step, result: Result) -> Msg:
    words = Msg("{step} · {check}: {state}")
    state = Msg("OUT, as the office knows it") if result.verdict == "out" else Msg("not out here")
    return Msg(words.template, step=step.key, check=Msg(result.check["title"]), state=state)


@router.post("")
def give_code_page(request: Request, asker: Asker, opening: str, form: FormFields) -> Response:
    """Show the code, to be read out."""
    if not is_id(form.get("id", "")):
        raise InputError("form-damaged", Msg("This form arrived damaged. Load the page again."))
    try:
        with server_of(request).database.write() as session:
            context = _code_response(request, session, asker, opening, form)
    except giving.CodeFieldError as error:
        words = speaker_of(request).say(error.message)
        return _ask_code_response(request, opening, form, {str(error.details["field"]): words})
    _LOG.warning("spoken concession of %r given by %r", opening, asker.id)
    return office_page(request, "office/voice_code.html", _TITLE, context)


def _code_response(
    request: Request, session: Session, asker: Person, opening: str, form: dict[str, str]
) -> Json:
    giving.must_be_known(session, opening)
    state = giving.state_of(session, opening, _procedure_cache(request))
    step, result = giving.chosen_check(state, form.get("check", ""))
    device = giving.phone_of(session, opening, form.get("phone", ""))
    number = giving.fit_number(form.get("number", ""))
    said = giving.fit_words(form, result.check["rank"])
    now = local_now()
    voice = Voice(
        id=form["id"], opening=opening, check_id=result.check["id"], panel=step.panel,
        number=number, device=device.id, day=now[:10], person=asker.id, at=now, **said,
    )  # fmt: skip
    code = giving.give_code(session, voice, device.secret)
    here = Msg("The office holds the very readings that this number stands for.")
    not_here = Msg("The office does not hold these readings yet: it goes by what was said.")
    speaker = speaker_of(request)
    return {
        "code": spoken.grouped_digits(code),
        "check": speaker.say(Msg(result.check["title"])),
        "step": step.key,
        "number": spoken.grouped_digits(number),
        "known": speaker.say(here if giving.same_readings(state, result, number) else not_here),
        "back": "/office/o/" + opening,
    }
