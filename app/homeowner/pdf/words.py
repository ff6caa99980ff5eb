"""The fixed words of the PDF, said in one person's language."""

from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker

WORDS = {
    "page": Msg("page"),
    "of": Msg("of"),
    "qr": Msg("QR code of the page that checks this record"),
    "check": Msg("Check that this is the record as issued:"),
    "code": Msg("code"),
    "digest": Msg("Digest"),
    "key": Msg("Signing key"),
    "of_what": Msg("of a large glass door, as it was set and measured"),
    "open": Msg("Still open"),
    "conceded": Msg("Left as it is, by written concession"),
    "changes": Msg("What changed since the revision before"),
    "outside": Msg("Seen from outside"),
    "limits": Msg("What this record says, and what it does not"),
    "cautions": Msg("Cautions"),
    "left": Msg("As left: the readings to compare with in later years"),
    "care": Msg("Care and maintenance"),
    "care_note": Msg(
        "Usual advice. The maker's own papers, the local code and licensed practice go before it."
    ),
    "signatures": Msg("Signed on the screen"),
    "signature_note": Msg("A name typed or drawn on a screen does not prove who wrote it."),
    "pictures": Msg("The door as drawn, as set and as read"),
    "check_head": Msg("Check"),
    "verdict": Msg("Verdict"),
    "limit": Msg("Limit and its basis"),
    "found": Msg("What was found"),
    "why": Msg("why:"),
    "place": Msg("Place"),
    "typed": Msg("As typed"),
    "value": Msg("Value"),
    "who": Msg("Who and when"),
    "who_tool": Msg("Who, when, instrument"),
    "tasks": Msg("Tasks"),
    "task": Msg("Task"),
    "done": Msg("Done"),
    "yes": Msg("yes"),
    "no": Msg("no"),
    "photos": Msg("Photos"),
    "no_photo": Msg("Photo still on the phone: its digest stands here."),
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
    "name": Msg("Name"),
    "did": Msg("What they did"),
    "struck": Msg("Annex: readings that were struck and do not count"),
    "why_not": Msg("Why it does not count"),
    "words": Msg("What the words mean"),
    "word": Msg("Word"),
    "means": Msg("Meaning"),
}


def said(speaker: Speaker) -> dict[str, str]:
    """Return every fixed word in the speaker's language."""
    return {name: speaker.say(words) for name, words in WORDS.items()}
