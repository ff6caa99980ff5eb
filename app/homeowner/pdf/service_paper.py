"""The sheet of a service visit as a PDF."""

import tempfile
from datetime import datetime
from pathlib import Path

from app.access import qr
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.homeowner import care, service, view
from app.homeowner.pdf import letters, words
from app.homeowner.pdf.paper import (
    PAPERS,
    practice_mark,
    put_photos,
    typeset_with_proof,
    with_drawings,
)
from app.store.photos import PhotoPlace
from app.words.catalogs import catalog

SOURCE = Path(__file__).with_name("service.typ")
WORDS = {
    "heading": Msg("Service sheet"),
    "place": Msg("Place"),
    "as_left": Msg("As left"),
    "found": Msg("Found"),
    "moved": Msg("Moved"),
    "left_now": Msg("Left now"),
    "found_done": Msg("What was found and done:"),
    "outside": Msg("Seen from outside"),
    "done": Msg("What was put right"),
    "out": Msg("Left out of its limits"),
    "others": Msg("All else that was measured"),
}


def make(
    revision: view.RecordRevision,
    paper: str,
    lang: str,
    units: str,
    place: PhotoPlace | None = None,
    proof: bytes = b"",
) -> bytes:
    """Return a sheet as a PDF; the parameters are those of paper.make."""
    with tempfile.TemporaryDirectory() as kept:
        root = Path(kept)
        data = letters.fit(data_of(revision, lang, units))
        data["paper"] = PAPERS[paper]
        put_photos(data["sheet"]["photos"], root, place)
        return typeset_with_proof(SOURCE, root, data, proof, revision.kept["at"])


def data_of(revision: view.RecordRevision, lang: str, units: str) -> Json:
    """Return all that the typesetter is given."""
    kept = revision.kept
    speaker = Speaker(catalog(lang))
    sheet = with_drawings(service.contents(revision, lang, units))
    stamp = view.stamp(revision, sheet["issued"], speaker)
    made = datetime.fromisoformat(kept["at"])
    heading = speaker.say(WORDS["heading"])
    return {
        "attached": "",
        "practice": practice_mark(kept, speaker),
        "lang": lang,
        "date": {"year": made.year, "month": made.month, "day": made.day},
        "title": f"{heading}: {sheet['number']}, {sheet['where']}",
        "author": sheet["company"]["company"] or "Sillbook",
        "code": stamp["code"],
        "digest": stamp["digest"],
        "key": stamp["key"],
        "check": stamp["by_file"]
        or speaker.say(Msg("Check that this is the record as issued: {address}", **stamp)),
        "qr": qr.svg(revision.address) if revision.address else "",
        "whom": " ".join(speaker.say(one) for one in care.whom(kept["about"])),
        "sheet": sheet,
        "words": {
            **words.said(speaker),
            **{name: speaker.say(text) for name, text in WORDS.items()},
        },
    }
