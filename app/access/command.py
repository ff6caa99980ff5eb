"""The command line of people: sillbook administrator, for the first one and for the locked out."""

import argparse
import time

from sqlmodel import Session

from app.access import invitations, keeping
from app.access.pairing import code_as_read as in_fours
from app.settings import Settings
from app.store.database import Database
from app.store.migrate import migrate_database
from app.store.people import by_login
from app.store.tables import Person


def add_to(verbs: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the verb to the command line."""
    verb = verbs.add_parser(
        "administrator",
        help="make an administrator (a new one, or who signs in so), and a link for the password",
    )
    verb.add_argument("login", help="the name to sign in with")
    verb.add_argument("--name", default="", help="the name in the record (for a new person)")
    verb.add_argument("--units", choices=("in", "mm"), default="in")
    verb.add_argument("--lang", default="en")


def make_administrator(settings: Settings, options: argparse.Namespace) -> None:
    """Make an administrator and print their invitation. Errors: PersonFieldError, RefusedError."""
    database = Database(settings.database, settings.postgres)
    try:
        migrate_database(database)
        with database.write() as session:
            known = by_login(session, options.login)
            person = known or _new_administrator(session, options)
            person.role, person.disabled = "administrator", False
            session.add(person)
            code = in_fours(invitations.make_invitation(session, person.id, int(time.time())))
            name, login = person.name, person.login
    finally:
        database.close()
    print(f"{name} is an administrator and signs in as {login}, after setting a password.")
    print(f"Once, within a week, with Sillbook running: {settings.address or ''}/welcome#{code}")


def _new_administrator(session: Session, options: argparse.Namespace) -> Person:
    name = options.name or options.login
    return keeping.add_person(
        session, name, options.login, "administrator", options.lang, options.units
    )
