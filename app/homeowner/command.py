"""The command line of records: sillbook verify FILE, erase PERSON, company NAME."""

import argparse
import sys
from pathlib import Path

from app.core.quantity.speaker import Speaker
from app.homeowner import checking, erasing
from app.settings import Settings
from app.store.company import MOST_NAME, MOST_TELEPHONE, name_company
from app.store.database import Database
from app.store.migrate import migrate_database


def add_to(verbs: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the verbs to the command line."""
    verify = verbs.add_parser("verify", help="check an exported record, without a server")
    verify.add_argument("file", type=Path)
    verify.add_argument("--code", default="", help="the code or digest that stands on the paper")
    erase = verbs.add_parser("erase", help="erase a person's name and sign-in; the log stands")
    erase.add_argument("person", help="the person's id or sign-in name, or job:ID for a homeowner")
    named = verbs.add_parser("company", help="name the company as completion records print it")
    named.add_argument("name")
    named.add_argument("--telephone", default="", help="the number that owners are to call")


def verify(options: argparse.Namespace) -> int:
    """Check an export; the status is 1 where something is wrong, 2 where it cannot be read.

    3 where another version made it, and no code from the paper settles what it says.
    """
    try:
        data = options.file.read_bytes()
    except OSError as error:
        print(f"Cannot read {options.file}: {error.strerror}", file=sys.stderr)
        return 2
    report = checking.check(data, options.code)
    speaker = Speaker()
    for _, words in report.faults:
        print("WRONG:", speaker.say(words))
    if report.digest:
        print(f"Record {report.number}, revision {report.revision}, code {report.code}")
        print(f"Digest {report.digest}")
        print(f"{report.entries} entries, {report.signatures} signatures of phones")
    if report.faults:
        return 1
    for words in report.unsettled:
        print("OTHER VERSION:", speaker.say(words))
    return _conclude(bool(report.unsettled), bool(options.code))


def _conclude(unsettled: bool, coded: bool) -> int:
    """Say what follows where nothing was found wrong; returns the status."""
    if unsettled and not coded:
        print("Nothing wrong was found, but only the code on a sheet settles what it says: --code.")
        return 3
    if unsettled:
        print("Unchanged: chain, digests and code hold; it is the record that the sheet is of.")
        return 0
    print("Unchanged: chain, digests and sign-offs hold, and the record says what follows from it.")
    if not coded:
        print("Compare code and digest with a sheet of the record: that shows whose it is.")
    return 0


def erase(settings: Settings, options: argparse.Namespace) -> None:
    """Erase a person's or a homeowner's name."""
    print(Speaker().say(erasing.erase(settings.database, options.person, settings.postgres)))


def company(settings: Settings, options: argparse.Namespace) -> None:
    """Name the company for the records that are issued from now on."""
    database = Database(settings.database, settings.postgres)
    try:
        migrate_database(database)
        with database.write() as session:
            name = options.name.strip()[:MOST_NAME]
            name_company(session, name, options.telephone.strip()[:MOST_TELEPHONE])
    finally:
        database.close()
    print("Kept. Records that were issued before stay as they are.")
