"""The command line of records: sillbook verify FILE, erase PERSON, company NAME."""

import argparse
import sys
from pathlib import Path

from app.core.errors import RefusedError
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.homeowner import apart, checking, code_photo, erasing, signed_pdf
from app.homeowner.company_signatures import whose
from app.homeowner.view import PRACTICE
from app.settings import Settings
from app.signing.certificate import CertificateUnfitError
from app.signing.pdf_verification import MOST_BYTES, is_pdf
from app.signing.pins import Pins, read_pins
from app.store.company import MOST_NAME, MOST_TELEPHONE, name_company
from app.store.database import Database
from app.store.migrate import migrate_database


def add_to(verbs: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the verbs to the command line."""
    verify = verbs.add_parser(
        "verify",
        help="check an exported record or its PDF, without a server; read a photo of its code",
    )
    verify.add_argument("file", type=Path)
    words = "the code or digest that stands on the paper"
    verify.add_argument("--code", type=_given_text, help=words)
    verify.add_argument(
        "--key",
        type=_given_text,
        help="the company's key: its fingerprint (20 digits or more), or a .pem file",
    )
    erase = verbs.add_parser("erase", help="erase a person's name and sign-in; the log stands")
    erase.add_argument("person", help="the person's id or sign-in name, or job:ID for a homeowner")
    named = verbs.add_parser("company", help="name the company as completion records print it")
    named.add_argument("name")
    named.add_argument("--telephone", default="", help="the number that owners are to call")


def _given_text(text: str) -> str:
    """Return what was given; raises ArgumentTypeError for a blank, which would check nothing."""
    if not text.strip():
        raise argparse.ArgumentTypeError("nothing is given")
    return text


def verify(options: argparse.Namespace) -> int:
    """Check an export or a PDF; the status is 1 where one is wrong, 2 where it is not read."""
    try:
        with options.file.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
        pins = read_pins(options.key) if options.key else Pins()
    except OSError as error:
        print(f"Cannot read {error.filename}: {error.strerror}", file=sys.stderr)
        return 2
    except CertificateUnfitError as error:
        print("--key:", Speaker().say(error.message), file=sys.stderr)
        return 2
    code = options.code or ""
    if code_photo.is_photo(data):
        return _photo(data)
    return _pdf(data, code, pins) if is_pdf(data) else _export(data, code, pins)


def _print_line(text: str) -> None:
    """Print a line; what a stranger's file says breaks out of none, nor moves about the screen."""
    print("".join(char if char.isprintable() else "?" for char in text))


# what no signature can show
NOT_SHOWN = Msg(
    "That is all that is shown: not that what was recorded is true, and not when it was recorded."
)


def _photo(data: bytes) -> int:
    """Say which code a photo shows; whether that is as issued, only the company can say."""
    try:
        read, base = code_photo.record_code(apart.check_apart(data)["photo"])
    except RefusedError as error:
        print(Speaker().say(error.message), file=sys.stderr)
        return 2
    if not read:
        print("No code of a record can be read in this picture.", file=sys.stderr)
        return 2
    _print_line(f"The code in the picture is {read}.")
    _print_line(f"A picture proves nothing. Ask at {base}/verify, or check the record's PDF:")
    print(f"sillbook verify RECORD.pdf --code {read}")
    return 0


def _print_practice(practice: bool) -> None:
    """Say first of all where nobody set the door: somebody practised."""
    if practice:
        print(Speaker().say(PRACTICE))


def _pdf(data: bytes, code: str, pins: Pins) -> int:
    report = signed_pdf.check(data, code, pins)
    say = Speaker().say
    _print_practice(report.practice)
    for _, words in report.faults:
        _print_line("WRONG: " + say(words))
    if report.digest:
        print(f"PDF of the record with the code {report.code}")
        print(f"Digest {report.digest}")
    if report.faults:
        return 1
    print("One signature covers every byte of the file.")
    _print_line(
        f"The facts in it are whole: record {report.number}, revision {report.revision}, "
        f"resting on {report.entries} entries."
    )
    print(say(whose(report.signers, pins)))
    print(say(NOT_SHOWN))
    return 0


def _export(data: bytes, code: str, pins: Pins) -> int:
    report = checking.check(data, code, pins)
    say = Speaker().say
    _print_practice(report.practice)
    for _, words in report.faults:
        _print_line("WRONG: " + say(words))
    if report.digest:
        _print_line(f"Record {report.number}, revision {report.revision}, code {report.code}")
        print(f"Digest {report.digest}")
        signed = (
            "their hashes alone" if report.public else f"{report.signatures} signatures of phones"
        )
        print(f"{report.entries} entries, {signed}")
    if report.faults:
        return 1
    if report.public:
        print("Whole: the digests and the company's signatures hold. The office has the entries.")
    else:
        print("Whole: the chain of entries, the digests and the signatures hold.")
    print(say(whose(report.signers, pins)))
    print(say(NOT_SHOWN))
    if not code:
        print("Compare code and digest with a sheet of the record: that shows which it is.")
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
