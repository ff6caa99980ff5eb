"""An issued revision as it is shown: its snapshot with the names filled in, and where it stands."""

import json
from dataclasses import dataclass, field

from app.core.errors import MissingError
from app.core.kinds import Json
from app.core.pages import common
from app.core.quantity.messages import Msg, When
from app.core.quantity.speaker import Speaker
from app.homeowner import names, record, snapshot
from app.homeowner.language_tags import native_of, tag_notes
from app.homeowner.wording import Teller, speaker
from app.signing.certificate import short_fingerprint
from app.store.records import Issued, ServiceSheet


@dataclass(frozen=True)
class RecordRevision:
    """One revision to be shown.

    base: where everybody reaches the server, "https://book.example.org"; "" where nobody outside
    does: then no address and no QR code is printed, and the record says how to check the file.
    spoken: the language of each person, by id: what they wrote is tagged with it.
    """

    row: Issued | ServiceSheet
    newest: int
    names: dict[str, str]
    base: str
    spoken: dict[str, str] = field(default_factory=dict)

    @property
    def kept(self) -> Json:
        """Return the snapshot as it was kept."""
        found: Json = json.loads(self.row.text)
        return found

    @property
    def address(self) -> str:
        """Return where anybody can check it; "" where there is no public address."""
        return f"{self.base}/verify/{self.row.code}" if self.base else ""


def contents(revision: RecordRevision, lang: str, units: str) -> Json:
    """Return what a revision says in "in", "mm" or "both", with the names that are known now.

    Errors: MissingError 'record-older' for one that was issued before records were facts.
    """
    kept = revision.kept
    if kept["v"] != snapshot.VERSION:
        words = Msg(
            "This record was issued by a trial version of Sillbook, which kept it otherwise."
        )
        raise MissingError("record-older", words)
    teller = teller_of(revision, lang, units)
    facts = tag_notes(kept["facts"], revision.spoken, lang)
    about = {**kept["about"], "homeowner": teller.name(names.HOMEOWNER)}
    return {
        **record.contents(facts, about, teller),
        "issued": teller.say(Msg("Issued {when}", when=When(kept["at"]))),
        "changes": [
            common.remark_of(teller.say(note["text"]), note["words"]) for note in kept["changes"]
        ],
    }


def teller_of(revision: RecordRevision, lang: str, units: str) -> Teller:
    """Return who tells a revision's facts in a language, in "in", "mm" or "both"."""
    return Teller(speaker(lang, units, native_of(revision.kept["facts"])), revision.names)


def stamp(revision: RecordRevision, made: str, speaker: Speaker) -> Json:
    """Return revision, standing and code, for page and PDF alike. made: when, in words."""
    row = revision.row
    return {
        "made": made,
        "digest": row.digest,
        "revision": speaker.say(Msg("Revision {number}", number=row.revision)),
        "standing": standing(revision, speaker),
        "good": row.revision == revision.newest,
        "code": row.code,
        "verify": "/verify/" + row.code,
        "qr": f"/verify/{row.code}/qr.svg" if revision.base else "",
        "address": revision.address,
        "by_file": "" if revision.base else speaker.say(BY_FILE),
        "key": short_fingerprint(row.key),
        "practice": practice_words(revision.kept, speaker),
    }


PRACTICE = Msg("Practice: not a door that was set.")


def practice_words(kept: Json, speaker: Speaker) -> str:
    """Return what stands first where a snapshot is shown that somebody practised for; else ""."""
    return speaker.say(PRACTICE) if kept["facts"].get("practice") else ""


BY_FILE = Msg(
    "To check that this is the record as issued, keep the PDF itself. The company checks the file, "
    "and so does anybody with the program: sillbook verify FILE."
)


def standing(revision: RecordRevision, speaker: Speaker) -> str:
    """Return "" for the newest revision; else that it is superseded, and by which."""
    if revision.row.revision == revision.newest:
        return ""
    words = Msg("Superseded: revision {newest} is the one that counts.", newest=revision.newest)
    return speaker.say(words)


def where(kept: Json) -> str:
    """Return an opening in a line: letter and room."""
    return f"{kept['about']['letter']} · {kept['about']['room']}"
