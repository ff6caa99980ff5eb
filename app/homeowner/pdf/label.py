"""A label for the door's frame: where the record is checked. It says nothing of the door itself."""

import tempfile
from datetime import datetime
from pathlib import Path

from app.access import qr
from app.core.kinds import Json
from app.core.quantity.messages import Msg, When
from app.core.quantity.speaker import Speaker
from app.homeowner import view
from app.homeowner.pdf import letters, words
from app.homeowner.pdf.typeset import typeset
from app.words.catalogs import catalog

SOURCE = Path(__file__).with_name("label.typ")
INCH = 25.4
# name in the address -> width and height in millimetres, and its words: as sold on rolls
SIZES = {
    "label-62x29": (62.0, 29.0, Msg("Label for the frame, 62 × 29 mm")),
    "label-3x2": (3 * INCH, 2 * INCH, Msg("Label for the frame, 3 × 2 in")),
    "label-4x2": (4 * INCH, 2 * INCH, Msg("Label for the frame, 4 × 2 in")),
}


def make(revision: view.RecordRevision, size: str, lang: str) -> bytes:
    """Return the label of a record as a PDF of its size. size: one of SIZES."""
    with tempfile.TemporaryDirectory() as kept:
        root = Path(kept)
        (root / SOURCE.name).write_bytes(SOURCE.read_bytes())
        data = letters.fit(data_of(revision, lang))
        data["width"], data["height"], _ = SIZES[size]
        made = datetime.fromisoformat(revision.kept["at"])
        return typeset(root / SOURCE.name, list(letters.FOLDERS), data, int(made.timestamp()))


def data_of(revision: view.RecordRevision, lang: str) -> Json:
    """Return all that the typesetter is given."""
    say = Speaker(catalog(lang)).say
    kept = revision.kept
    about, practice = kept["about"], bool(kept["facts"].get("practice"))
    by_file = "" if revision.address else say(Msg("Check it by the record's PDF file."))
    return {
        "lang": lang,
        "title": say(Msg("Label: {number}", number=kept["number"])),
        "author": about["company"] or "Sillbook",
        "practice": say(Msg("PRACTICE")) if practice else "",
        "opening": view.where(kept),
        "date": say(Msg("Accepted {day}", day=say(When(kept["at"])).partition(",")[0])),
        # the smallest label has no room for both, and nobody is to be called about practice
        "company": "" if practice else about["company"],
        "telephone": "" if practice else about["telephone"],
        "code": revision.row.code,
        "check": by_file,
        "qr": qr.svg(revision.address) if revision.address else "",
        "alt": say(words.WORDS["qr"]),
    }
