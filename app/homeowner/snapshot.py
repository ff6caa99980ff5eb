"""The snapshot of a completion record: all that page and PDF show, frozen when it is issued.

    {"v": 1, "opening", "number", "revision", "at", "by", "about": {letter, room, address,
     job_title, company, telephone}, "rests": [hash of every entry, causes first],
     "received": [when the office received each of them, "" where it is not known],
     "procedure": {"key", "digest"},
     "before": None or {"revision", "digest", "rests"},
     "made_with": the version of the program that made it: see maker.py,
     "shown": {language: {"in": …, "mm": …, "both": …}}}

It is a function of the entries, the procedure and where the opening is; nothing else, so that
anyone who has these and the same version can make it again and compare. `shown` holds the record's
contents once a language and way of showing lengths. People stand in it as marks: see names.py.
"""

from app.core.kinds import Any, Json
from app.core.pages import common
from app.core.pages.request import Request
from app.core.quantity.messages import Len, Msg, Qty
from app.core.quantity.speaker import Speaker
from app.core.record.canonical import digest
from app.core.record.state import State
from app.homeowner import changes, maker, names, record
from app.words.catalogs import NAMES, catalog

VERSION = 1
UNITS = ("in", "mm", "both")
LANGS = tuple(sorted(NAMES))
ABOUT = ("letter", "room", "address", "job_title", "company", "telephone")
DIGITS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"  # Crockford's base 32: no I, L, O, U


class BothSpeaker(Speaker):
    """Says every length and amount in inches (and pounds) and, in brackets, in millimetres."""

    def __init__(self, catalog: dict[str, str] | None = None) -> None:
        super().__init__(catalog, "in")
        self._metric = Speaker(catalog, "mm")

    def say(self, thing: Any) -> str:
        """Return the text of a Msg, Len, Qty, list of them, int or plain str."""
        text = super().say(thing)
        if not isinstance(thing, Len | Qty):
            return text
        other = self._metric.say(thing)
        return text if other == text else f"{text} ({other})"


def speaker(lang: str, units: str) -> Speaker:
    """Return who speaks a language with lengths in "in", "mm" or "both"."""
    words = catalog(lang)
    return BothSpeaker(words) if units == "both" else Speaker(words, units)


def make(
    opening: Json,
    events: list[Json],
    procedures: dict[str, Json],
    before: Json | None = None,
    truths: dict[str, bool] | None = None,
    received: dict[str, str] | None = None,
) -> Json:
    """Return the snapshot of an opening as its last review leaves it.

    opening: id and ABOUT; a homeowner is named by a mark. before: the snapshot of the revision
    before, or None. truths: see State. received: when each entry came in, by its id.
    Errors: those of State: MissingError 'opening-not-issued'.
    """
    request = _request(opening, events, procedures)
    request.truths = truths if truths is not None else {}
    state = request.state(opening["id"])
    review = state.review() or state.issue
    was = _state_before(before, events, procedures)
    shown: dict[str, dict[str, Json]] = {lang: {} for lang in LANGS}
    for lang in LANGS:
        for units in UNITS:
            request.speaker = speaker(lang, units)
            said = record.contents(request, opening["id"], received)
            issued = Msg("Issued {when}", when=common.time_words(request, review["at"]))
            said["issued"] = request.say(issued)
            said["changes"] = changes.since(request, was, state)
            if before is not None:
                said["changes"] += changes.about(request, before["about"], opening)
            shown[lang][units] = said
    return {
        "v": VERSION,
        "opening": opening["id"],
        "number": before["number"] if before else record.number(state),
        "revision": before["revision"] + 1 if before else 1,
        "at": review["at"],
        "by": review["person"],
        "about": {name: opening[name] for name in ABOUT},
        "rests": record.hashes(state),
        "received": [(received or {}).get(event["id"], "") for event in state.ledger.events],
        "procedure": {
            "key": state.procedure_key,
            "digest": procedures[state.procedure_key]["digest"],
        },
        "before": _before(before),
        "made_with": maker.version(),
        "shown": shown,
    }


def about_of(kept: Json) -> Json:
    """Return where an opening is, as a revision has it."""
    return {"id": kept["opening"], **kept["about"]}


def _request(opening: Json, events: list[Json], procedures: dict[str, Json]) -> Request:
    return Request(
        {
            "method": "",  # a page without forms
            "path": "/record/" + opening["id"],
            "now": "",
            "ids": [""],
            "device": "",
            "person": {"id": "", "name": "", "units": "in", "lang": "en"},
            "people": {id: names.mark(id) for id in _people(events)},
            "book": {
                "openings": [{**opening, "homeowner": names.mark(names.HOMEOWNER)}],
                "events": {opening["id"]: events},
                "procedures": procedures,
            },
        }
    )


def _people(events: list[Json]) -> set[str]:
    people = {event["person"] for event in events}
    return people | {event["body"].get("measured_by", "") for event in events} - {""}


def _before(before: Json | None) -> Json | None:
    if before is None:
        return None
    return {
        "revision": before["revision"],
        "digest": digest(before),
        "rests": before["rests"],
    }


def _state_before(
    before: Json | None, events: list[Json], procedures: dict[str, Json]
) -> State | None:
    if before is None:
        return None
    known = set(before["rests"])
    return State([event for event in events if digest(event) in known], procedures)


def code_of(digest_: str) -> str:
    """Return the short code of a digest: its first 50 bits, in two groups of five.

    Example: code_of("00" * 32) -> "00000-00000"
    """
    number = int(digest_[:13], 16) >> 2
    text = "".join(DIGITS[number >> shift & 31] for shift in range(45, -5, -5))
    return text[:5] + "-" + text[5:]


def read_code(typed: str) -> str:
    """Return a code as it is kept, from what somebody typed: small letters, O for 0, I or L for 1.

    "" where it cannot be one.
    """
    text = typed.upper().translate(str.maketrans("OIL", "011", " -"))
    fits = len(text) == 10 and all(char in DIGITS for char in text)
    return text[:5] + "-" + text[5:] if fits else ""


def code_faults(typed: str, code: str, digest_: str) -> list[tuple[str, Msg]]:
    """Return what is wrong where a code or a whole digest was typed from a sheet, "" for none.

    code, digest_: those of the file.
    """
    given = typed.strip().lower()
    if not typed or given == digest_ or read_code(typed) == code:
        return []
    return [("code", Msg("The code of this file is {code}, not {typed}.", code=code, typed=given))]


def words_of_units(units: str) -> Msg:
    """Return a way of showing lengths, in words."""
    return UNIT_WORDS[units]


UNIT_WORDS = {
    "in": Msg("inches"),
    "mm": Msg("millimetres"),
    "both": Msg("inches and millimetres"),
}
