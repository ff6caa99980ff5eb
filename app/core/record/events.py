"""Events: how one is made, and what may stand in it.

    {"id", "device", "opening", "n": 1.., "prev": hash of this device's event n-1 for
     this opening or "", "seen": {device: n}, "turn", "at", "person", "kind", "body", "v": 2}

`n` and `prev` chain the events of one device for one opening. `seen` is what the page
showed that the form came from; an event replaces only what it has seen. `turn` is one
more than the greatest turn in `seen` and in the device's own chain, so that sorting by
(turn, device, n) puts causes before effects. `at` is a claim and orders nothing.
"""

from app.core.errors import InputError, RefusedError
from app.core.kinds import Any, Callable, Json
from app.core.order import sort_by
from app.core.quantity.dates import is_date
from app.core.quantity.messages import Msg
from app.core.quantity.moments import moment_of
from app.core.quantity.units import RANGES
from app.core.record.canonical import digest

VERSION = 2
EARLIEST = 2  # the first version that this code reads; version 1 was never released
TEXT_LIMIT = 2000
MOST_TEXTS = 2000
MOST_PIXELS = 4096
FIRST_YEAR = 1970
LAST_YEAR = 2199
ANSWERS = ("yes-no", "choice", "text")  # quantities that nobody measures
# where an opening is practised on: at a table, or on a frame that stands in a shop
TABLE, MOCK_UP = PRACTICE_WAYS = ("table", "mock-up")
FAULT_FIELDS = ("kind", "at", "size")  # of a planted fault; size: nanometres
MOST_FAULTS = 6

# kind -> {field of the body: its sort in FITS, or "=a|b": one of these words};
# "?" in front: may be absent. Words and ranges belong to VERSION, which must be raised to add any:
# an older program holds what it cannot read, and a newer one reads all that was ever kept.
KINDS: "dict[str, dict[str, str]]" = {
    # depth: how much is asked, "short" or "full"; full where nothing is said
    "opening.issued": {
        "procedure": "text",
        "version": "json",
        "drawing": "json",
        "?depth": "=short|full",
        # of one to practise on, and never of another: see record/practice.py
        "?practice": "practice",
    },
    # somebody on site wants all asked on this opening: its depth is full from then on
    "depth.raised": {"reason": "text"},
    # a person read a step's cautions; cautions: the digest of their texts, as they were shown
    "cautions.read": {"step": "text", "cautions": "hash"},
    "drawing.revised": {"drawing": "json", "why": "text"},
    # the office moved an open opening to another procedure, or another version of it
    "procedure.moved": {"procedure": "text", "version": "json", "why": "text"},
    # words: why there is no photo, of a task that asks for one. done_at: when it was done, typed,
    # where that was not just now
    "task.ticked": {
        "step": "text",
        "task": "text",
        "done": "flag",
        "?words": "text",
        "?done_at": "time",
    },
    # many at once by one tap: only what nobody had said anything of
    "tasks.ticked": {"step": "text", "tasks": "texts", "done": "flag"},
    "parts.stated": {"marks": "texts", "state": "=here|short|damaged|wrong"},
    "decision.made": {
        "step": "text",
        "decision": "text",
        "choice": "text",
        "?name": "text",
        "?words": "text",
    },
    "how.chosen": {
        "point": "text",
        "panel": "text",
        "how": "=plain|down|up",
        "?visit": "text",
    },
    # the line was set up anew: `text` is what the same place reads from there, `shift` how much
    # higher (as height) everything read from the new line must be taken, nanometres
    "setup.tied": {
        "?visit": "text",
        "point": "text",
        "panel": "text",
        "place": "text",
        "text": "text",
        "shift": "number",
    },
    "reading.taken": {
        "?visit": "text",
        "point": "text",
        "panel": "text",
        "place": "text",
        "quantity": "text",
        "text": "text",
        "value": "number",
        "how": "=plain|down|up|plumb",
        "units": "=in|mm",
        "?instrument": "text",
        "?measured_by": "text",
        "?measured_at": "time",
        "?info": "flag",
        "?note": "text",
        "?moved_from": "text",
    },
    # an instrument of the company's, as the office's list has it when it is first used here;
    # resolution and slope (nm per metre) in nanometres: see record/tools.py
    "instrument.named": {
        "instrument": "text",
        "name": "text",
        "sort": "=tape|rule|gauge|level|laser|laser-rotating|water-level|feeler",
        "resolution": "number",
        "grade": "=|I|II|III",
        "slope": "number",
    },
    # its daily check. occasion: one id for one check, in the log of whichever openings it concerns.
    # relayed: said by the office of an opening that whoever checked it did not have.
    "instrument.checked": {
        "instrument": "text",
        "name": "text",
        "sort": "=tape|rule|gauge|level|laser|laser-rotating|water-level|feeler",
        "resolution": "number",
        "grade": "=|I|II|III",
        "slope": "number",
        "occasion": "text",
        "way": "=turned|half-turn|two-peg|compared|known",
        "texts": "texts",
        "values": "numbers",
        "length": "number",
        "other": "=|I|II|III",
        "units": "=in|mm",
        "?relayed": "flag",
        "?at": "time",
        "?by": "text",
    },
    "reading.unreachable": {
        "point": "text",
        "panel": "text",
        "place": "text",
        "why": "text",
        "?visit": "text",
    },
    "entry.struck": {"target": "text", "why": "text", "?moved_to": "text", "?visit": "text"},
    # places: "point|place" of each reading that is taken again, where it was done as planned
    "correction.made": {
        "?visit": "text",
        "step": "text",
        "check": "text",
        "panel": "text",
        "words": "text",
        "?places": "texts",
    },
    "close.settled": {
        "?visit": "text",
        "step": "text",
        "check": "text",
        "panel": "text",
        "readings": "texts",
        "by": "=gauge|three readings",
        "texts": "texts",
        "verdict": "=within|out|close",
    },
    "adjustment.made": {
        "step": "text",
        "adjustment": "text",
        "panel": "text",
        "words": "text",
        "?visit": "text",
    },
    "photo.taken": {
        "?visit": "text",
        "step": "text",
        "task": "text",
        "sha256": "hash",
        "size": "count",
        "width": "pixels",
        "height": "pixels",
    },
    "part.stated": {"mark": "text", "state": "=here|short|damaged|wrong", "?words": "text"},
    "query.raised": {"words": "text", "?measured": "text", "?drawn": "text", "bars": "texts"},
    # the office closes an opening: the work will not be done (cancelled), or it was accepted and is
    # put away (archived). with_job: together with its job, and so reopened with it
    "opening.closed": {"result": "=cancelled|archived", "reason": "text", "?with_job": "flag"},
    "opening.reopened": {"reason": "text"},
    # when the office wants it worked at, by which crew (its id, and its name as it was then), and
    # what it promised; a new plan takes the place of the one before
    "opening.planned": {
        "crew": "text",
        "crew_name": "text",
        "?start": "date",
        "?end": "date",
        "?promised": "date",
    },
    "query.answered": {"query": "text", "answer": "=revised|build|wait", "words": "text"},
    "concession.given": {
        "check": "text",
        "panel": "text",
        "readings": "texts",
        "reason": "text",
        "?answer": "text",
        "rules": "count",
        "procedure_digest": "hash",
        "verdicts": "json",
    },
    "concession.withdrawn": {"check": "text", "panel": "text", "reason": "text"},
    # a code that the office read out opened the gate provisionally: see core/record/spoken.py
    "concession.spoken": {
        "check": "text",
        "panel": "text",
        "readings": "texts",
        "number": "text",
        "code": "text",
        "day": "date",
        "rules": "count",
        "procedure_digest": "hash",
        "verdicts": "json",
    },
    # a wrong code was typed for this number
    "concession.missed": {"check": "text", "panel": "text", "number": "text"},
    "step.signed": {
        "step": "text",
        "digest": "text",
        "covers": "texts",
        "rules": "count",  # by which rules, under which procedure, and how it was judged
        "procedure_digest": "hash",
        "verdicts": "json",
        "drawing": "text",
        "procedure": "text",
        "?confirmed": "=pin",  # "pin": by a PIN on a shared phone
    },
    # again: the points of the step, as it was returned, that the crew must measure anew
    "opening.reviewed": {
        "result": "=accepted|returned",
        "?step": "text",
        "?again": "texts",
        "words": "text",
        "?rules": "count",  # an acceptance says how every check was judged
        "?procedure_digest": "hash",
        "?verdicts": "json",
    },
    # the office's judgement of what a phone said: see record/written.py. seal: by it the office
    # knows its own word again. of: its own earlier judgement that a phone brought back
    "judgement.given": {
        "target": "text",
        "result": "=true|disputed",
        "rules": "count",
        "procedure_digest": "hash",
        "verdicts": "json",
        "seal": "hash",
        "?reason": "text",
        "?of": "text",
    },
    # follows an acceptance: the digest of the record's facts, and its short code on the paper
    "record.issued": {"revision": "count", "number": "text", "digest": "hash", "code": "text"},
    # a service visit at an accepted door; entries of it name it as `visit`: see record/visits.py.
    # callback: the owner's complaint that it answers, by the office's number
    "visit.begun": {"words": "text", "?callback": "text"},
    # trace: the step that the trouble comes from, as the crew sees it; "use", "house" or "unclear"
    "visit.signed": {
        "visit": "text",
        "words": "text",
        "trace": "text",
        "covers": "texts",
        "?confirmed": "=pin",
    },
    # the office issued the sheet of a visit
    "service.issued": {
        "visit": "text",
        "sheet": "count",
        "number": "text",
        "digest": "hash",
        "code": "text",
    },
    "entry.set-aside": {"target": "text", "why": "text"},
    # an entry that was set aside, entered anew by the office (`target`), with its reason; the
    # other fields say what it was first: see record/taken.py
    "entry.taken-in": {
        "target": "text",
        "reason": "text",
        "of": "text",
        "device": "text",
        "person": "text",
        "at": "text",  # as the entry says it, whatever that is
        "why": "text",
        "entry": "json",
    },
    "handover.signed": {"name": "text", "consent": "flag", "?strokes": "strokes", "?words": "text"},
    "sheet.signed": {
        "step": "text",
        "decision": "text",
        "choice": "text",
        "covers": "texts",
        "name": "text",
        "consent": "flag",
        "?strokes": "strokes",
        "?words": "text",
    },
}
# What an event that rests on a judgement says of it; worked out, never typed.
JUDGED_FIELDS = ("rules", "procedure_digest", "verdicts")
# What may make a reading that had not seen it stale: it is taken again.
SPOILING_KINDS = ("correction.made", "adjustment.made", "opening.reviewed")
# Only the office's own device may say these; said by another device they count for nothing.
OFFICE_KINDS = (
    "opening.issued",
    "drawing.revised",
    "procedure.moved",
    "query.answered",
    "concession.given",
    "concession.withdrawn",
    "opening.reviewed",
    "opening.closed",
    "opening.reopened",
    "opening.planned",
    "judgement.given",
    "record.issued",
    "service.issued",
    "entry.set-aside",
    "entry.taken-in",
)


# What the office adds to a check that it tells to other openings: whose it was, and when.
RELAYED_FIELDS = ("relayed", "at", "by")


def is_office_word(event: Json) -> bool:
    """Return whether only the office may say this: by its kind, or for whom it speaks."""
    if event["kind"] == "instrument.checked":
        return any([field in event["body"] for field in RELAYED_FIELDS])
    return event["kind"] in OFFICE_KINDS


def has_seen(later: Json, earlier: Json) -> bool:
    """Return whether the page that `later` came from already showed `earlier`."""
    return bool(later["seen"].get(earlier["device"], 0) >= earlier["n"])


def is_readable(event: Json) -> bool:
    """Return whether this code knows the version of an event; else it is kept, and not judged."""
    return bool(EARLIEST <= event["v"] <= VERSION)


# What a phone signs with its own key.
SIGNED_KINDS = ("step.signed", "visit.signed")
# What is said at a service visit, where the entry names one.
VISIT_KINDS = (
    "reading.taken",
    "reading.unreachable",
    "how.chosen",
    "setup.tied",
    "entry.struck",
    "correction.made",
    "adjustment.made",
    "close.settled",
    "photo.taken",
)


def is_of_visit(event: Json) -> bool:
    """Return whether an entry belongs to a service visit: the opening's own state passes it by."""
    return event["kind"] in VISIT_KINDS and "visit" in event["body"]


def by_office(event: Json) -> bool:
    """Return whether the event comes from the office's own device."""
    return bool(event["device"].startswith("office-"))


def in_order(events: "list[Json]") -> "list[Json]":
    """Return the events, causes before effects, alike whatever order they arrived in."""
    return sort_by(events, order_position)


def order_position(event: Json) -> "tuple[int, str, int]":
    """Return what an event is sorted by: causes come before effects."""
    return event["turn"], event["device"], event["n"]


def heads_of(events: "list[Json]") -> "dict[str, int]":
    """Return the greatest n of every device: what a page made now has seen."""
    out: dict[str, int] = {}
    for event in events:
        if event["n"] > out.get(event["device"], 0):
            out[event["device"]] = event["n"]
    return out


def new_event(events: "list[Json]", draft: Json) -> Json:
    """Return the complete event for a draft, to stand next in its device's chain.

    events: all that the device's book holds for this opening. draft: id, device,
    opening, seen, at, person, kind, body.
    Errors: InputError 'event-unfit' where the body does not fit its kind;
    RefusedError 'seen-unknown' where `seen` speaks of events that are not here.
    """
    last = None
    turn = 0
    for event in events:
        own = event["device"] == draft["device"]
        if own and (last is None or event["n"] > last["n"]):
            last = event
        if (own or has_seen(draft, event)) and event["turn"] > turn:
            turn = event["turn"]
    return completed_event(draft, heads_of(events), last, turn)


def completed_event(draft: Json, known: "dict[str, int]", last: "Json | None", turn: int) -> Json:
    """Return the event for a draft; errors as new_event.

    known: the greatest n of every device. last: the device's own last event, or None. turn: the
    greatest among what the draft has seen and the device's own.
    """
    check_body(draft["kind"], draft["body"])
    check_time(draft["at"])
    for device in draft["seen"]:
        if draft["seen"][device] > known.get(device, 0):
            raise RefusedError(
                "seen-unknown",
                Msg("This page is from another copy of the book. Load it again."),
            )
    made = {key: draft[key] for key in DRAFT_FIELDS}
    made["n"] = last["n"] + 1 if last else 1
    made["prev"] = digest(last) if last else ""
    made["turn"] = turn + 1
    made["v"] = VERSION
    return made


DRAFT_FIELDS = ("id", "device", "opening", "seen", "at", "person", "kind", "body")


def check_body(kind: str, body: Json) -> None:
    """Raise InputError 'event-unfit' unless the body has just the fields of its kind."""
    fields = _fields_of(kind)
    known = 0
    for name, needed, fits in fields:
        if name in body:
            known += 1
            if not fits(body[name]):
                raise _unfit_error(kind, name)
        elif needed:
            raise _unfit_error(kind, name)
    if known < len(body):
        names = [name for name, _, _ in fields]
        raise _unfit_error(kind, next(name for name in body if name not in names))
    if kind == "opening.reviewed" and body["result"] == "accepted":
        _must_be_judged(kind, body)
    if kind == "reading.taken" and not _is_measured(body["quantity"], int(body["value"])):
        raise _unfit_error(kind, "value")


def _fields_of(kind: str) -> "list[tuple[str, bool, Callable[[Any], bool]]]":
    """Return the fields of a kind: name, whether it is needed, what tells if a value fits."""
    if kind not in _FIELDS:
        if kind not in KINDS:
            raise _unfit_error(kind, "kind")
        fields = KINDS[kind]
        _FIELDS[kind] = [
            (field.lstrip("?"), field[0] != "?", _fits_of(fields[field])) for field in fields
        ]
    return _FIELDS[kind]


# kind -> its fields, once they were asked for
_FIELDS: "dict[str, list[tuple[str, bool, Callable[[Any], bool]]]]" = {}


def is_fit(event: Json) -> bool:
    """Return whether an event of our version has what its kind must have, and a time."""
    try:
        check_body(event["kind"], event["body"])
    except InputError:
        return False
    return is_time(event["at"])


def check_time(at: str) -> None:
    """Raise InputError 'clock-unfit' for a claimed time that no clock of a device can show."""
    if not is_time(at):
        words = Msg("The clock of this device says {at}: set its day and time.", at=at)
        raise InputError("clock-unfit", words)


def _is_measured(quantity: str, value: int) -> bool:
    """Return whether a person can have typed such a value: see measure.py."""
    low, high = RANGES.get("length" if quantity in ANSWERS else quantity, (0, -1))
    return bool(low <= value <= high)


def _must_be_judged(kind: str, body: Json) -> None:
    for name in JUDGED_FIELDS:
        if name not in body:
            raise _unfit_error(kind, name)


def _fits_of(sort: str) -> "Callable[[Any], bool]":
    """Return what tells whether a value is of a sort."""
    if sort[0] == "=":
        words = sort[1:].split("|")
        return lambda value: isinstance(value, str) and value in words
    return FITS[sort]


def _is_anything(_value: Any) -> bool:
    return True


def _is_flag(value: Any) -> bool:
    return value is True or value is False


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and len(value) <= TEXT_LIMIT


def _is_count(value: Any) -> bool:
    return isinstance(value, int) and not _is_flag(value) and value > 0


def is_number(value: Any) -> bool:
    """Return whether this is a whole number as the core writes one, of at most 20 digits."""
    if not isinstance(value, str):
        return False
    digits = value[1:] if value[:1] == "-" else value
    whole = 0 < len(digits) <= 20 and all([char in "0123456789" for char in digits])
    return whole and (digits[0] != "0" or value == "0")


def is_time(value: Any) -> bool:
    """Return whether this is a time that a device can claim, however wrong its clock is.

    A date, or a date and a wall time, with or without an offset, of the years 1970 to 2199.
    Example: is_time("2026-03-02T14:05:00-05:00") -> True; is_time("9999-12-31T23:59") -> False
    """
    if not isinstance(value, str) or len(value) > 40:
        return False
    rest = value[10:]
    if rest == "":
        return is_day(value)
    ends = rest[-1:] == "Z" or "+" in rest or "-" in rest
    moment = moment_of(value if ends else value + "+00:00")
    return moment is not None and FIRST_YEAR <= int(value[:4]) <= LAST_YEAR


def is_day(text: Any) -> bool:
    """Return whether this is a day that an entry can name: of the years 1970 to 2199.

    Example: is_day("9999-12-31") -> False
    """
    return isinstance(text, str) and is_date(text) and FIRST_YEAR <= int(text[:4]) <= LAST_YEAR


def _is_practice(value: Any) -> bool:
    """Return whether this says how an opening is practised on, and which faults were planted."""
    if not isinstance(value, dict) or value.get("way") not in PRACTICE_WAYS or len(value) != 2:
        return False
    faults = value.get("faults")
    if not isinstance(faults, list) or len(faults) > MOST_FAULTS:
        return False
    return all([_is_fault(fault) for fault in faults])


def _is_fault(value: Any) -> bool:
    if not isinstance(value, dict) or len(value) != len(FAULT_FIELDS):
        return False
    said = all([_is_text(value.get(name)) for name in FAULT_FIELDS])
    return said and is_number(value["size"])


def is_hash(text: str) -> bool:
    """Return whether a text is a SHA-256 as it is written here: 64 small hexadecimal digits."""
    return len(text) == 64 and all([char in "0123456789abcdef" for char in text])


STROKE_WIDTH = 600  # the box a signature is drawn in, wide and high
STROKE_HEIGHT = 200
MOST_POINTS = 2000


def are_strokes(strokes: "list[Any]") -> bool:
    """Return whether this is a drawing: lists of x, y, x, y … in whole numbers inside the box."""
    count = 0
    for stroke in strokes:
        if not isinstance(stroke, list) or len(stroke) < 2 or len(stroke) % 2:
            return False
        count += len(stroke) // 2
        for i in range(len(stroke)):
            if not _is_inside(stroke[i], STROKE_HEIGHT if i % 2 else STROKE_WIDTH):
                return False
    return 0 < count <= MOST_POINTS


def _is_inside(value: Any, most: int) -> bool:
    whole = isinstance(value, int) and value is not True and value is not False
    return whole and 0 <= value <= most


def _all_fit(fits: "Callable[[Any], bool]", value: Any) -> bool:
    return isinstance(value, list) and all([fits(part) for part in value])


def _are_texts(value: Any) -> bool:
    return _all_fit(_is_text, value) and len(value) <= MOST_TEXTS


# sort of a field -> whether a value is one
FITS: "dict[str, Callable[[Any], bool]]" = {
    "json": _is_anything,
    "flag": _is_flag,
    "text": _is_text,
    "texts": _are_texts,
    "time": is_time,
    "date": is_day,
    "pixels": lambda value: _is_count(value) and value <= MOST_PIXELS,
    "number": is_number,
    "numbers": lambda value: _all_fit(is_number, value),
    "count": _is_count,
    "hash": lambda value: isinstance(value, str) and is_hash(value),
    "strokes": lambda value: isinstance(value, list) and are_strokes(value),
    "practice": _is_practice,
}


def _unfit_error(kind: str, field: str) -> InputError:
    return InputError(
        "event-unfit",
        Msg("This entry does not fit the record ({field}).", field=kind + "/" + field),
        kind=kind,
        field=field,
    )
