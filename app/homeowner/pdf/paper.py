"""Typesets an issued revision: PDF/A-3a and PDF/UA-1, the same bytes for the same input."""

import tempfile
from datetime import datetime
from pathlib import Path

from app.access import qr
from app.core.kinds import Any, Json
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.homeowner import limits, view
from app.homeowner.language_tags import untagged_all
from app.homeowner.pdf import letters, photos, svg, words
from app.homeowner.pdf.typeset import typeset
from app.store.photos import PhotoPlace
from app.words.catalogs import catalog

PROOF = "record.json"  # the name of the embedded file
PAPERS = {"letter": "us-letter", "a4": "a4"}
SOURCE = Path(__file__).with_name("record.typ")


def make(
    revision: view.RecordRevision,
    paper: str,
    lang: str,
    units: str,
    place: PhotoPlace | None = None,
    proof: bytes = b"",
    logo: bytes = b"",
) -> bytes:
    """Return a revision as a PDF.

    paper: "letter" or "a4". place: where the photos lie. proof: what is embedded, so that the
    file proves itself (export.proof_of); b"" for nothing. logo: the company's, a PNG, or b"".
    """
    with tempfile.TemporaryDirectory() as kept:
        root = Path(kept)
        data = letters.fit(data_of(revision, lang, units))
        data["paper"] = PAPERS[paper]
        shots = [one for section in data["record"]["sections"] for one in section["photos"]]
        put_photos(shots, root, place)
        if logo:
            data["head"]["logo"] = "logo.png"
            (root / "logo.png").write_bytes(logo)
        return typeset_with_proof(SOURCE, root, data, proof, revision.kept["at"])


def typeset_with_proof(source: Path, root: Path, data: Json, proof: bytes, at: str) -> bytes:
    """Return a source as PDF, dated as it was issued, with its proof inside where there is one.

    root: the folder with its pictures; source and proof are put beside them. at: when issued.
    """
    if proof:
        data["attached"] = PROOF
        (root / PROOF).write_bytes(proof)
    (root / source.name).write_bytes(source.read_bytes())
    made = int(datetime.fromisoformat(at).timestamp())
    return typeset(root / source.name, list(letters.FOLDERS), data, made)


def put_photos(shots: list[Json], root: Path, place: PhotoPlace | None) -> None:
    """Put photos beside the source, made small, and name each one's "file"; "" where it is not."""
    for photo in shots:
        small = photos.rendition(place, photo["sha256"]) if place else None
        photo["file"] = photo["sha256"] + ".jpg" if small else ""
        if small:
            (root / photo["file"]).write_bytes(small)


def data_of(revision: view.RecordRevision, lang: str, units: str) -> Json:
    """Return all that the typesetter is given."""
    kept = revision.kept
    speaker = Speaker(catalog(lang))
    record = with_drawings(view.contents(revision, lang, units))
    stamp = view.stamp(revision, record["issued"], speaker)
    heading = speaker.say(Msg("Your door, as installed"))
    number = speaker.say(Msg("No. {number}", number=kept["number"]))
    made = datetime.fromisoformat(kept["at"])
    return {
        "attached": "",
        "breaks": [True, True],
        "closer": 0,
        "lang": lang,
        "date": {"year": made.year, "month": made.month, "day": made.day},
        "title": f"{heading}: {kept['number']}, {stamp['revision']}, {view.where(kept)}",
        "author": record["company"]["company"] or "Sillbook",
        "heading": heading,
        "head": {
            "company": record["company"]["company"] or heading,
            "telephone": record["company"]["telephone"],
            "company_address": record["company"]["address"],
            "logo": "",
            "opening": view.where(kept),
            "address": kept["about"]["address"],
            "number": number,
            "revision": stamp["revision"],
        },
        "number": kept["number"],
        "foot": {name: stamp[name] for name in ("address", "code", "digest", "key")},
        "check": stamp["by_file"]
        or speaker.say(Msg("Check that this is the record as issued: {address}", **stamp)),
        "qr": qr.svg(revision.address) if revision.address else "",
        "practice": practice_mark(kept, speaker),
        "made": stamp["made"],
        "standing": stamp["standing"],
        "changes": record["changes"],
        "facts": record["facts"],
        "legend": record["legend"],
        "limits": record["claims"] + record["cautions"],
        "structural": speaker.say(limits.STRUCTURAL),
        "record": record,
        "words": words.said(speaker),
        "badges": {kind: svg.badge(kind) for kind in BADGES},
    }


def practice_mark(kept: Json, speaker: Speaker) -> Json | None:
    """Return the words over and across each sheet of what somebody practised for, else None."""
    words = view.practice_words(kept, speaker)
    return {"words": words, "across": speaker.say(Msg("PRACTICE"))} if words else None


BADGES = ("within", "out", "close", "missing", "unreachable", "info")


def with_drawings(thing: Any) -> Any:
    """Return JSON in which every picture of shapes is an SVG with its description."""
    if isinstance(thing, list):
        return [with_drawings(part) for part in thing]
    if not isinstance(thing, dict):
        return thing
    if "shapes" in thing:
        thing = untagged_all(thing)
        return {
            "svg": svg.svg(thing),
            "description": thing["description"],
            "width": thing["width"],
            "height": thing["height"],
        }
    return {key: with_drawings(value) for key, value in thing.items()}
