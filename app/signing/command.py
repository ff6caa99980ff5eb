"""The command line of the signing key: sillbook key show, sillbook key rotate."""

import argparse

from app.core.errors import MissingError
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.settings import Settings
from app.signing.certificate import name_on, pem_of, short_fingerprint
from app.signing.company_key import FILE, rotate_key
from app.signing.key import SigningKey, read_key
from app.store.database import Database
from app.store.migrate import migrate_database


def add_to(verbs: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the verb to the command line."""
    words = "the key that records and PDFs are signed with: show it, or replace it"
    key = verbs.add_parser("key", help=words)
    key.add_argument("what", choices=("show", "rotate"))


def key(settings: Settings, options: argparse.Namespace) -> None:
    """Show the key's fingerprint and certificate, or make the next key.

    Errors: MissingError 'signing-key-none'; RefusedError 'database-in-use', 'signing-key-damaged'.
    """
    if options.what == "rotate":
        _print(_rotated(settings))
        print("It signs from now on. Publish its fingerprint; the one before stays on /verify.")
        return
    found = read_key(settings.data / FILE)
    if found is None:
        words = "There is no signing key yet: the first record that is issued makes it."
        raise MissingError("signing-key-none", Msg(words))
    _print(found)


def _rotated(settings: Settings) -> SigningKey:
    database = Database(settings.database, settings.postgres)
    try:
        migrate_database(database)
        with database.write() as session:
            return rotate_key(session)
    finally:
        database.close()


def _print(found: SigningKey) -> None:
    say = Speaker().say
    print(say(Msg("Signing key of {company}", company=name_on(found.certificate))))
    print("Fingerprint (SHA-256)", found.fingerprint)
    print("As printed on sheets ", short_fingerprint(found.fingerprint))
    print(pem_of(found.certificate), end="")
