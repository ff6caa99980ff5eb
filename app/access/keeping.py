"""Keeping people: added, changed, disabled. There is always an administrator who can enter."""

import secrets
import time

from sqlmodel import Session, col, delete, func, select

from app.access import devices, passwords, sessions
from app.core.errors import InputError, MissingError, RefusedError
from app.core.quantity.messages import Msg
from app.store import api_tokens
from app.store.ids import uuid7
from app.store.people import by_login, fold_login
from app.store.tables import ROLES, DevicePerson, Invitation, Pairing, Person

MOST = 80
_SIGNS = "abcdefghijklmnopqrstuvwxyz0123456789.-_@"


class PersonFieldError(InputError):
    """What was typed for a person cannot be; the field it stands in."""

    def __init__(self, field: str, words: Msg) -> None:
        super().__init__("person-unfit", words, field=field)


def person_of(session: Session, id_: str) -> Person:
    """Return a person; raises MissingError 'person-unknown'."""
    found = session.get(Person, id_)
    if found is None:
        raise MissingError("person-unknown", Msg("There is no such person."))
    return found


def fit_name(name: str) -> str:
    """Return a person's name as it is kept; raises PersonFieldError."""
    kept = " ".join(name.split())
    if not 0 < len(kept) <= MOST or not kept.isprintable():
        raise PersonFieldError("name", Msg("Give a name of up to {count} characters.", count=MOST))
    return kept


def fit_login(session: Session, login: str) -> str:
    """Return a sign-in name as it is kept; raises PersonFieldError where it cannot or is taken."""
    kept = fold_login(login)
    if not 2 <= len(kept) <= MOST or any(sign not in _SIGNS for sign in kept):
        words = Msg("A sign-in name has small letters, digits, and . - _ @ only: at least two.")
        raise PersonFieldError("login", words)
    if by_login(session, kept) is not None:
        raise PersonFieldError("login", Msg("Somebody has this sign-in name already."))
    return kept


def fit_role(role: str) -> str:
    """Return a role; raises PersonFieldError."""
    if role not in ROLES:
        raise PersonFieldError("role", Msg("Choose what the person does."))
    return role


def add_person(session: Session, name: str, login: str, role: str, lang: str, units: str) -> Person:
    """Return a new person, who cannot sign in before they have set a password."""
    person = Person(
        id=uuid7(),
        name=fit_name(name),
        role=fit_role(role),
        login=fit_login(session, login),
        password=passwords.hash_password(secrets.token_urlsafe(32)),  # nobody's
        lang=lang,
        units=units,
    )
    session.add(person)
    session.flush()
    return person


def change_person(
    session: Session, person: Person, name: str, role: str, lang: str, units: str
) -> None:
    """Change a person; raises PersonFieldError, RefusedError 'last-administrator'."""
    name, role = fit_name(name), fit_role(role)
    if role != "administrator":
        _must_leave_one(session, person)
        api_tokens.end_tokens(session, person.id, int(time.time()))
    person.name, person.role, person.lang, person.units = name, role, lang, units
    session.add(person)
    session.flush()


def _must_leave_one(session: Session, person: Person) -> None:
    others = select(func.count()).where(Person.role == "administrator", Person.id != person.id)
    others = others.where(col(Person.disabled).is_(False))
    if person.role == "administrator" and not person.disabled and not session.exec(others).one():
        raise RefusedError(
            "last-administrator",
            Msg("This is the last administrator. Make another one first: somebody must keep this."),
        )


def disable_person(session: Session, person: Person) -> None:
    """Shut a person out: sessions, codes, tokens, and phones that are theirs alone end now.

    What they entered stands; what is unsent on a phone stays there, and is taken when the
    phone is paired again, or from a file. Errors: RefusedError 'last-administrator'.
    """
    _must_leave_one(session, person)
    person.disabled = True
    session.add(person)
    session.flush()
    sessions.end_all(session, person.id)
    for table in (Pairing, Invitation):
        unused = (col(table.person) == person.id) & col(table.used).is_(None)
        session.execute(delete(table).where(unused))
    api_tokens.end_tokens(session, person.id, int(time.time()))
    _end_phones(session, person.id)


def _end_phones(session: Session, person: str) -> None:
    """Give the phones on which nobody is left a token that nobody has."""
    for id_ in session.exec(select(DevicePerson.device).where(DevicePerson.person == person)):
        if not devices.people_of(session, id_):
            devices.end_token(session, id_)


def enable_person(session: Session, person: Person) -> None:
    """Let a person in again, with the password they had; phones are paired anew."""
    person.disabled = False
    session.add(person)
