"""A record's PDF as it is handed out: signed over all its bytes; and how such a file is checked."""

from datetime import datetime

from app.core.errors import AppError
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.homeowner import checking, company_signatures, snapshot, view
from app.signing.certificate import fingerprint_of
from app.signing.company_key import signing_time
from app.signing.embedded import embedded_file
from app.signing.key import SigningKey
from app.signing.pdf_signature import sign_pdf
from app.signing.pdf_verification import check_pdf
from app.signing.pins import Pins

OF_A_RECORD = "Completion record "  # before the digest of its snapshot; not translated: it is data
DIGITS = 64


def signed(pdf: bytes, revision: view.RecordRevision, key: SigningKey, speaker: Speaker) -> bytes:
    """Return the PDF of a revision, signed. The same input and key give the same bytes."""
    issued = int(datetime.fromisoformat(revision.kept["at"]).timestamp())
    label = speaker.say(Msg("Signature of the company over the whole file"))
    return sign_pdf(pdf, key, signing_time(key, issued), label, OF_A_RECORD + revision.row.digest)


class PdfReport:
    """What was found wrong with a PDF, and what its signature says of it."""

    def __init__(self) -> None:
        self.faults: list[company_signatures.Fault] = []
        self.signers: list[str] = []
        self.code = ""
        self.digest = ""
        self.number = ""
        self.revision = 0
        self.entries = 0
        self.practice = False


def check(data: bytes, code: str, pins: Pins) -> PdfReport:
    """Return what is wrong with a PDF. code: as on the paper, "" where there is none."""
    report = PdfReport()
    try:
        signature = check_pdf(data)
    except AppError as error:
        report.faults.append((error.code, error.message))
        return report
    report.signers = [fingerprint_of(signature.certificate)]
    report.faults += company_signatures.pin_faults(report.signers, pins)
    digest = signature.reason.removeprefix(OF_A_RECORD)
    if signature.reason == OF_A_RECORD + digest and len(digest) == DIGITS:
        report.digest, report.code = digest, snapshot.code_of(digest)
    else:
        report.faults.append(("no-record", Msg("What is signed is no completion record.")))
        return report
    report.faults += snapshot.code_faults(code, report.code, report.digest)
    _check_embedded(report, data)
    return report


def _check_embedded(report: PdfReport, data: bytes) -> None:
    """Check the facts that the file carries: whole in themselves, and of the record it is of."""
    try:
        proof = embedded_file(data)
    except AppError as error:
        report.faults.append((error.code, error.message))
        return
    inside = checking.check_proof(proof)
    report.faults += inside.faults
    report.number, report.revision = inside.number, inside.revision
    report.entries, report.practice = inside.entries, inside.practice
    if not inside.faults and inside.digest != report.digest:
        words = Msg("The facts in this PDF are of another record than its sheets.")
        report.faults.append(("embedded-other", words))
