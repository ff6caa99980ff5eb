"""The fixed words of the PDF, said in one person's language."""

from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker

WORDS = {
    "page": Msg("sheet"),
    "of": Msg("of"),
    "qr": Msg("QR code of the page that checks this record"),
    "number": Msg("No."),
    "code": Msg("code"),
    "digest": Msg("Digest"),
    "key": Msg("Signing key"),
    "signatures": Msg("Signed"),
    "signature_note": Msg("A name typed or drawn on a screen does not prove who wrote it."),
    "limits": Msg("What this record says, and what it does not"),
    "changes": Msg("What changed since the revision before"),
    "care": Msg("Living with the door"),
    "care_note": Msg(
        "Usual advice. The maker's own papers, the local code and licensed practice go before it."
    ),
    "left": Msg("As left: the readings to compare with in later years"),
    "appendix": Msg("Appendix for the inspector: every check and reading"),
    "check_head": Msg("Check"),
    "verdict": Msg("Verdict"),
    "limit": Msg("Limit"),
    "basis": Msg("From"),
    "found": Msg("Measured"),
    "reading": Msg("Reading"),
    "value": Msg("Value"),
    "earlier": Msg("Read again since"),
    "who": Msg("Who and when"),
    "yes": Msg("yes"),
    "no": Msg("no"),
    "photos": Msg("Photos"),
    "no_photo": Msg("Photo still on the phone: its digest stands here."),
    "pictures": Msg("The door as drawn, as set and as read"),
    "corrected": Msg("What was put right"),
    "taken_in": Msg("Entered by the office for somebody else"),
    "parts": Msg("Parts, as they were received"),
    "mark": Msg("Mark"),
    "part": Msg("Part"),
    "count": Msg("Count"),
    "state": Msg("Found"),
    "queries": Msg("Queries and their answers"),
    "instruments": Msg("Named instruments, and their last check"),
    "people": Msg("Who worked on it"),
    "struck": Msg("Readings that were struck and do not count"),
    "why_not": Msg("Why it does not count"),
    "log": Msg("The log"),
    "unasked": Msg("Points that short depth does not ask, by step"),
    "words": Msg("What the words mean"),
    "attached": Msg("The facts of this record, signed, to be checked by a program"),
}


def said(speaker: Speaker) -> dict[str, str]:
    """Return every fixed word in the speaker's language."""
    return {name: speaker.say(words) for name, words in WORDS.items()}
