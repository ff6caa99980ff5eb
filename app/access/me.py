"""/me: the language and the units of whoever is signed in. They hold from the next page on."""

import logging
from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access import cookie, known_browser, pairing, passwords, sessions
from app.access.pages import framed_page, speaker_of
from app.access.server import server_of
from app.access.sign_in import home_of
from app.access.slowdown import TooManyError
from app.access.who import FormFields, need_person
from app.core.errors import InputError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.store.tables import Person
from app.words.catalogs import NAMES

router = APIRouter()
_LOG = logging.getLogger("sillbook.access")
Asker = Annotated[Person, Depends(need_person)]
UNITS = {
    "in": Msg("Feet and inches, °F, lb"),
    "mm": Msg("Millimetres, °C, kg"),
}


@router.get("/me")
def settings_page(request: Request, person: Asker, kept: str = "", welcome: str = "") -> Response:
    """Show the settings; kept: changed just now; welcome: the first time here."""
    return _settings_response(request, person, kept=kept == "yes", welcome=welcome == "yes")


@router.post("/me")
def keep_settings(request: Request, person: Asker, form: FormFields) -> Response:
    """Keep the settings; where they make no sense, show the form again."""
    lang, units = form.get("lang", ""), form.get("units", "")
    if lang not in NAMES or units not in UNITS:
        wrong = speaker_of(request).say(Msg("Choose a language and the units."))
        return _settings_response(request, person, wrong)
    with server_of(request).database.write() as session:
        stored = session.get_one(Person, person.id)
        stored.lang, stored.units = lang, units
    return RedirectResponse("/me?kept=yes", 303)


@router.get("/me/password")
def ask_password(request: Request, _: Asker) -> Response:
    """Show the form for another password."""
    return _password_page(request)


def _password_page(request: Request, error: str = "", status: int = 200) -> Response:
    form = {"id": "pw", "action": "/me/password", "hidden": [], "error": error, "typed": {}}
    return framed_page(
        request, "office/password.html", Msg("Another password"), {"form": form}, status
    )


@router.post("/me/password")
def keep_password(request: Request, person: Asker, form: FormFields) -> Response:
    """Keep another password: every other session of the person ends."""
    try:
        token, known = _change_password(request, person, form)
    except (InputError, TooManyError) as error:
        return _password_page(request, speaker_of(request).say(error.message), error.status)
    answer = RedirectResponse("/me?kept=yes", 303)
    cookie.give_cookie(request, answer, token)
    known_browser.give_cookie(request, answer, known)
    return answer


def _change_password(request: Request, person: Person, form: dict[str, str]) -> tuple[str, str]:
    """Return the tokens of the new session and of the browser."""
    server = server_of(request)
    server.limits.known.enter("session of " + person.id, server.clock())
    if not passwords.password_fits(person.password, form.get("current", "")):
        raise InputError("password-wrong", Msg("That is not the password you have now."))
    server.limits.known.forget("session of " + person.id)
    new = form.get("password", "")
    if new != form.get("again", ""):
        raise InputError("password-differs", Msg("The two passwords are not the same."))
    passwords.must_be_fit(new, person.login, person.name)
    with server.database.write() as session:
        session.get_one(Person, person.id).password = passwords.hash_password(new)
        sessions.end_all(session, person.id)
        pairing.end_codes(session, person.id)
        _LOG.info("password changed by %r", person.id)
        token = sessions.start_session(session, person.id, int(server.clock()))
        return token, known_browser.cookie_for(request, session, person.login)


def _settings_response(
    request: Request, person: Person, error: str = "", kept: bool = False, welcome: bool = False
) -> Response:
    say = speaker_of(request).say
    context: Json = {
        "form": {"id": "me", "action": "/me", "hidden": [], "error": error, "typed": {}},
        "langs": [_choice_option(lang, NAMES[lang], person.lang) for lang in sorted(NAMES)],
        "units": [
            _choice_option(units, say(words), person.units) for units, words in UNITS.items()
        ],
        "kept": kept,
        "login": person.login if welcome else "",
        "home": home_of(person),
    }
    return framed_page(
        request, "office/me.html", Msg("Language and units"), context, 422 if error else 200
    )


def _choice_option(value: str, text: str, now: str) -> Json:
    return {"value": value, "text": text, "chosen": value == now}
