"""Checks a stranger's file in a process of its own: bounded in memory and time, nothing is kept.

What goes in is the file on standard input; what comes out is JSON: {"faults": [words], "code",
"digest", "number", "revision", "entries", "signers": [fingerprint], "practice"}, words as in
wording.py; of a photo {"photo": [text of each QR code in it]}.
"""

import json
import os
import resource
import subprocess
import sys

from app.core.errors import RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.homeowner import checking, code_photo, signed_pdf
from app.homeowner.wording import as_json
from app.settings import ROOT
from app.signing.pdf_verification import is_pdf
from app.signing.pins import Pins

MOST_BYTES = 16 * 1024 * 1024  # a record with 40 photos has some 5 MB
MOST_SECONDS = 20
MOST_MEMORY = 1024 * 1024 * 1024


def check_apart(data: bytes) -> Json:
    """Return what is wrong with a PDF or an export of a record, and what it says of itself.

    Of a photo it returns what its QR codes say.
    Errors: RefusedError 'file-not-checked' where that took too long or too much.
    """
    # no secret of ours is there for a decoder that bytes have taken over
    plain = {name: value for name, value in os.environ.items() if not name.startswith("SILLBOOK_")}
    command = [sys.executable, "-m", __name__]
    try:
        done = subprocess.run(  # noqa: S603  (our own module, and data on its input)
            command, cwd=ROOT, env=plain, input=data, capture_output=True, timeout=MOST_SECONDS,
            check=True,
        )  # fmt: skip
    except (subprocess.TimeoutExpired, subprocess.CalledProcessError) as error:
        words = Msg("This file could not be checked: it is no record, or it is damaged.")
        raise RefusedError("file-not-checked", words) from error
    found: Json = json.loads(done.stdout)
    return found


def _checked(data: bytes) -> Json:
    if code_photo.is_photo(data):
        return {"photo": code_photo.codes_in(data)}
    if is_pdf(data):
        report: checking.Report | signed_pdf.PdfReport = signed_pdf.check(data, "", Pins())
    else:
        report = checking.check(data)
    return {
        "faults": [as_json(words) for _, words in report.faults],
        "code": report.code,
        "digest": report.digest,
        "number": report.number,
        "revision": report.revision,
        "entries": report.entries,
        "signers": report.signers,
        "practice": report.practice,
    }


if __name__ == "__main__":
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
    sys.stdout.write(json.dumps(_checked(sys.stdin.buffer.read(MOST_BYTES + 1))))
