"""The snapshot of a completion record: the facts that page and PDF are made of, kept when issued.

    {"v": 3, "salt": hex, "opening", "number", "revision", "at", "by", "about": {letter, room,
     address, job_title, company, telephone, company_address}, "rests":
     [hash of every entry, causes first], "received": [when the office received each
     of them, "" where it is not known],
     "procedure": {"key", "digest"},
     "before": None or {"revision", "digest"}: the revision before, "changes": [{"text", "words"}],
     "facts": …}

No sentence of any language stands in it: words are messages with their parameters (wording.py),
and are said when somebody looks at the record, in whatever language and units there are then.
Quantities are whole, in the base unit of measure.py, as decimal text. People are ids; the names
stand beside the record, so that one can be erased or mended and every digest stands. Times and
typed names stand in it as they are. Its digest is that of its public form, which has neither:
commitments.py; "salt" is what those are made with. "entry" is the number of an entry in "rests",
from 0: which entry a fact was taken from. What is not so is left out, or is "", [] or None.

The facts:

    drawing        the drawing in force, as in its event (core/drawing.py)
    procedure      {"title": words, "version", "lang": its own, if it says it}
    practice       true: nobody set this door, somebody practised; else left out
    guarded        whether guard bands are kept
    depth          {"depth": short or full, "raised": None or {"entry", "who", "at", "reason"},
                    "points": [{"step": key, "title": words}] that were not asked for it, "places":
                    how many places of the other points}
    accepted       {"entry", "who", "at", "words"}: by the office
    points         {id: {"title": words, "quantity", "tool": words for the kind asked for}}
    steps          [{"key": "E:A", "id": "E", "panel": "A", "title": words, "hold", "state",
                     "standing": the state in words,
                     "sign": {"entry", "who", "at", "sure": pin, password or phone, "received",
                              "good", "why": [words],
                              "anew": by whom the office judged it anew, with "words"},
                     "entered": {"first", "last", "received": [first, last]},
                     "tasks", "decisions", "unwritten": [words], "checks", "readings", "photos",
                     "out_of_reach": [entries that stand]}]
      a task       {"id", "text": words; done: "entry", "who", "at"; "no_photo": why there is none}
      a decision   {"id", "text": words, "choice", "chosen": words, "name", "words", "entry", …}
      a check      {"id", "title": words, "matters": its row on the first sheet, "verdict",
                    "only_noted": nothing is judged, "doubted": [words] on instruments that failed
                    and on typed times that the entries contradict,
                    "says": [words], "figure": what decided, as {"quantity", "value", "low", "high",
                    "tilt"},
                    "limits": [{"name", "value", "basis": its kind, "words"}],
                    "basis": {"kind": drawing, product, standard or practice, "words"},
                    "reason": words,
                    "readings": [entries that it rests on], "done": [{"text", "words"}],
                    "conceded": {"entry", "who", "at", "reason", "answer"},
                    "provisional": words, "profile": what its picture is drawn from (whole
                    nanometres; pages/results.py)}
      a reading    {"entry", "point", "panel", "place", "where": words, "quantity", "value",
                    "typed", "who", "at", "measured_by", "measured_at", "instrument": its id,
                    "tool": words on its last check where there is one, "chosen": words,
                    "unreached", "words", "taken_in", "clock": [words],
                    "fate": {"kind", "words"}: struck, replaced …}
      a photo      {"task", "text": words, "sha256", "width", "height", "entry", "who", "at",
                    "late": whether it was added after the sign-off}
    struck         [a reading, "of": words on what it was of]
    as_left        [entries that say how the door was left]
    as_read        what was read of the built door: built.py        compared: drawn and recorded
    predicted      taper of each gap, predicted before hanging and measured after: predicted.py
    nights         what was read again after a night, beside what was signed: nights.py
    marks          [{"place": words, "words": the panel's mark as read}]
    parts          [{"mark", "what", "count", "state"}]
    queries        [{"entry", "who", "at", "words", "measured", "drawn", "bars": [steps], "answer"}]
    corrections    [{"entry", "who", "at", "step", "check": words, "words"}]
    taken_in       [{"text": words, "words"}]: entries of others that the office took in
    signatures     [{"entry", "who", "at", "step", "text", "chosen", "later": words, "name",
                     "words", "strokes", "received"}]; owner: the same of the handover
    instruments    [{"id", "name", "checked": {"entry", "who", "at", "good"}}]
    unnamed        whether a reading names no instrument where one was asked for
    people         [{"who", "did": [signed, entered, office]}]
    care           [{"id", "title": words, "says": [words]}], as told to the owner
    claims         [words]: what the record says of itself      cautions: [words]

It is a function of the entries, the procedure and where the opening is; nothing else. Which facts
follow from entries is for the version that issued it to say: later ones show what it says.
"""

from app.core.kinds import Json
from app.core.pages.request import Request
from app.core.quantity.messages import Msg
from app.core.record.canonical import digest
from app.core.record.state import State
from app.homeowner import changes, commitments, facts, record
from app.homeowner.wording import FactsRequest

VERSION = 3
ABOUT = ("letter", "room", "address", "job_title", "company", "telephone", "company_address")
DIGITS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"  # Crockford's base 32: no I, L, O, U


def make(
    opening: Json,
    events: list[Json],
    procedures: dict[str, Json],
    before: Json | None = None,
    truths: dict[str, bool] | None = None,
    received: dict[str, str] | None = None,
) -> Json:
    """Return the snapshot of an opening as its last review leaves it.

    opening: id and ABOUT. before: the snapshot of the revision before, or None. truths: see State.
    received: when each entry came in, by its id.
    Errors: those of State: MissingError 'opening-not-issued'.
    """
    request = FactsRequest(request_of(opening, events, procedures, truths))
    state = request.state(opening["id"])
    review = state.review() or state.issue
    changed = changes.since(request, _state_before(before, events, procedures), state)
    if before is not None:
        changed += changes.about(request, before["about"], opening)
    return {
        "v": VERSION,
        "salt": commitments.fresh_salt(state.ledger.events),
        "opening": opening["id"],
        "number": before["number"] if before else record.number(state),
        "revision": before["revision"] + 1 if before else 1,
        "at": review["at"],
        "by": review["person"],
        "about": {name: opening.get(name, "") for name in ABOUT},
        "rests": record.hashes(state),
        "received": [(received or {}).get(event["id"], "") for event in state.ledger.events],
        "procedure": {
            "key": state.procedure_key,
            "digest": procedures[state.procedure_key]["digest"],
        },
        "before": reference_to(before),
        "changes": changed,
        "facts": facts.of_opening(request, opening["id"], received),
    }


def about_of(kept: Json) -> Json:
    """Return where an opening is, as a revision has it."""
    return {"id": kept["opening"], **kept["about"]}


def request_of(
    opening: Json,
    events: list[Json],
    procedures: dict[str, Json],
    truths: dict[str, bool] | None = None,
) -> Request:
    """Return a request of nobody, over the book of one opening."""
    return Request(
        {
            "method": "",  # a page without forms
            "path": "/record/" + opening["id"],
            "now": "",
            "ids": [""],
            "device": "",
            "person": {"id": "", "name": ""},
            "book": {
                "openings": [opening],
                "events": {opening["id"]: events},
                "procedures": procedures,
            },
            "truths": truths if truths is not None else {},
        }
    )


def reference_to(before: Json | None) -> Json | None:
    """Return what a snapshot says of the one before it; None for the first."""
    if before is None:
        return None
    return {"revision": before["revision"], "digest": commitments.snapshot_digest(before)}


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
