"""What stands on the pages of people: fields, rows, an invitation; what their forms do."""

from collections.abc import Callable
from datetime import datetime

import segno
from sqlmodel import Session
from starlette.requests import Request

from app.access import invitations, keeping
from app.access.me import UNITS
from app.access.pages import speaker_of
from app.access.pairing import code_as_read as in_fours
from app.access.server import server_of
from app.core.kinds import Json
from app.core.quantity.messages import Msg, When
from app.office.pages import form_field
from app.store.tables import Person
from app.words.catalogs import NAMES

PAGE = 50
ROLES = {
    "installer": Msg("Installer: works at the openings that are theirs"),
    "supervisor": Msg("Supervisor: issues, watches, reviews and answers for the work"),
    "administrator": Msg("Administrator: a supervisor who also keeps people and roles"),
}
SHORT = {
    "installer": Msg("Installer"),
    "supervisor": Msg("Supervisor"),
    "administrator": Msg("Administrator"),
}
ACTS = {
    "invite": (
        Msg("Make a link for a new password"),
        Msg(
            "The password they have serves until the link is used. "
            "Then every session of theirs ends."
        ),
    ),
    "disable": (
        Msg("Shut out"),
        Msg(
            "Every session ends at once, and every phone that is theirs alone. What they entered "
            "stands. What is not sent yet stays on the phone and can still be brought in."
        ),
    ),
    "enable": (
        Msg("Let in again"),
        Msg("They sign in with the password they had, and pair their phone anew."),
    ),
}


def typed_in(form: dict[str, str]) -> dict[str, str]:
    """Return what was typed in a form of a person."""
    return {name: form.get(name, "") for name in ("name", "login", "role", "lang", "units")}


def typed_of(person: Person) -> dict[str, str]:
    """Return a person as their form shows them first."""
    return {
        "name": person.name,
        "login": person.login,
        "role": person.role,
        "lang": person.lang,
        "units": person.units,
    }


def settings_in(form: dict[str, str]) -> tuple[str, str]:
    """Return language and units; raises PersonFieldError."""
    if form.get("lang", "") not in NAMES:
        raise keeping.PersonFieldError("lang", Msg("Choose a language."))
    if form.get("units", "") not in UNITS:
        raise keeping.PersonFieldError("units", Msg("Choose the units."))
    return form["lang"], form["units"]


def person_fields(
    request: Request, typed: dict[str, str], errors: dict[str, str], login: bool = True
) -> list[Json]:
    """Return the fields of a person's form."""
    say = speaker_of(request).say

    def one(name: str, label: Msg, choices: dict[str, str] | None = None, hint: str = "") -> Json:
        offered = [
            {"value": key, "text": text, "chosen": key == typed.get(name)}
            for key, text in (choices or {}).items()
        ]
        given = {"value": typed.get(name, ""), "error": errors.get(name, ""), "hint": hint}
        return form_field(
            name, say(label), kind="select" if choices else "text", choices=offered, **given
        )

    sign_in = [one("login", Msg("Sign-in name"), hint=say(Msg("small letters and digits")))]
    return [
        one("name", Msg("Name, as it stands in the record")),
        *(sign_in if login else []),
        one("role", Msg("What the person does"), {k: say(v) for k, v in ROLES.items()}),
        one("lang", Msg("Language"), {lang: NAMES[lang] for lang in sorted(NAMES)}),
        one("units", Msg("Units"), {k: say(v) for k, v in UNITS.items()}),
    ]


def person_row(request: Request, person: Person, waiting: dict[str, int]) -> Json:
    """Return a person as a line."""
    say = speaker_of(request).say
    state = Msg("may enter")
    if person.disabled:
        state = Msg("shut out")
    elif person.id in waiting:
        state = Msg("invited, until {when}", when=_day_words(waiting[person.id]))
    return {
        "href": "/office/people/" + person.id,
        "name": person.name,
        "login": person.login,
        "role": say(SHORT[person.role]),
        "state": say(state),
    }


def _day_words(seconds: int) -> When:
    return When(datetime.fromtimestamp(seconds).astimezone().isoformat(timespec="minutes"))


def invitation_sheet(request: Request, person: Person, code: str) -> Json:
    """Return an invitation to be shown this once: its link, its code, a picture of the link."""
    # In the fragment, so that the code is in no log and no Referer; the page sends it by POST.
    link = str(request.url.replace(path="/welcome", query="", fragment=in_fours(code)))
    picture = segno.make(link, error="m", micro=False).svg_data_uri(scale=6, border=4)
    until = int(server_of(request).clock()) + invitations.LASTS
    words = Msg("It serves once, until {when}.", when=_day_words(until))
    return {
        "name": person.name,
        "login": person.login,
        "text": in_fours(code),
        "link": link,
        "href": "/welcome#" + in_fours(code),
        "picture": picture,
        "until": speaker_of(request).say(words),
    }


Do = Callable[[Request, Session, Person, dict[str, str]], str]


def _keep_person(_: Request, session: Session, person: Person, form: dict[str, str]) -> str:
    lang, units = settings_in(form)
    keeping.change_person(session, person, form.get("name", ""), form.get("role", ""), lang, units)
    return ""


def _disable_person(_: Request, session: Session, person: Person, __: dict[str, str]) -> str:
    keeping.disable_person(session, person)
    return ""


def _enable_person(_: Request, session: Session, person: Person, __: dict[str, str]) -> str:
    keeping.enable_person(session, person)
    return ""


def _invite_person(request: Request, session: Session, person: Person, _: dict[str, str]) -> str:
    return invitations.make_invitation(session, person.id, int(server_of(request).clock()))


# what a form does; an invitation's code, or ""
DO: dict[str, Do] = {
    "keep": _keep_person,
    "disable": _disable_person,
    "enable": _enable_person,
    "invite": _invite_person,
}
