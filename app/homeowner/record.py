"""A completion record in a reader's words, made of its facts and nothing else.

The facts are those of facts.py, as snapshot.py keeps them; what comes out is the context of
templates/record/record.html and of the PDF.
"""

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.pages import common, history, parts, queries, signature
from app.core.pages.request import Page, Request
from app.core.pictures import drawings
from app.core.quantity.messages import Msg, When
from app.core.record.canonical import digest
from app.core.record.state import State, setting_letters
from app.core.trade import bed
from app.core.trade.drawing import Drawing
from app.homeowner import (
    appendix,
    built,
    care,
    exceptions,
    facts,
    first_page,
    matters,
    nights,
    predicted,
)
from app.homeowner.matrix import Matrix
from app.homeowner.wording import Teller, event_like


def get(request: Request) -> Page:
    """Return the record as it would be issued now; before acceptance it says what is missing."""
    id = request.parts[0]
    state = request.state(id)
    opening = request.opening(id)
    known = facts.of_opening(request, id)
    context = contents(known, opening, Teller(request.speaker, request.people))
    context["page"] = common.page_frame(request, request.say(Msg("Completion record")), opening)
    _place_photos(request, context["sections"])
    context["number"] = number(state)
    context["running"] = f"{opening['letter']} · {opening['room']} · {opening['address']}"
    context["stamp"] = {
        "made": request.say(Msg("Made {when}", when=common.time_words(request, request.now))),
        "digest": digest(hashes(state)),
        "revision": "",
        "standing": "",
        "good": False,
        "code": "",
        "verify": "",
        "address": "",
        "qr": "",
        "by_file": "",
        "key": "",
        "practice": "",
    }
    context["draft"] = _draft(request, state, known)
    context["downloads"] = []
    context["download"] = None
    context["switches"] = []
    context["complain"] = None
    context["hand_on"] = ""
    context["changes"] = []
    return Page("record/record.html", context)


def _place_photos(request: Request, sections: list[Json]) -> None:
    """Say where the photos are that have reached the office."""
    for section in sections:
        for shown in section["photos"]:
            here = shown["sha256"] not in request.absent
            shown["href"] = "/photos/" + shown["sha256"] if here else ""


def _draft(request: Request, state: State, known: Json) -> str:
    if known["accepted"] is not None:
        return ""
    return request.say(
        Msg(
            "Not complete: {progress}; not accepted yet.",
            progress=common.progress_words(request, state),
        )
    )


def hashes(state: State) -> list[str]:
    """Return the hash of every entry that a record rests on, causes first."""
    return [digest(event) for event in state.ledger.events]


def number(state: State) -> str:
    """Return the record's number: the drawing's, and the head of what was recorded.

    The same entries give the same number, on every copy.
    """
    head = digest(hashes(state))
    drawn = str(state.drawing.data.get("number", ""))
    return (drawn + "-" if drawn else "") + head[:8].upper()


def contents(known: Json, about: Json, teller: Teller) -> Json:
    """Return all that a record says to one reader: a template's context, no forms.

    known: the facts. about: where the opening is, with the homeowner's name.
    """
    drawing = Drawing(known["drawing"])
    door = teller.say(_door_words(drawing))
    return {
        "company": _company(about),
        "door": door,
        "picture_of": drawings.elevation_picture(drawing, teller.speaker),
        "front": first_page.front_facts(teller, known, about, door),
        "result": " ".join(teller.say(words) for words in first_page.result_words(known)),
        "matters": matters.table(teller, known),
        "exceptions": exceptions.of_record(teller, known),
        "whom": " ".join(teller.say(words) for words in care.whom(about)),
        "log": _log_facts(teller, known),
        "unasked": first_page.points_not_asked(teller, known["depth"]),
        "legend": [teller.say(words) for words in appendix.LEGEND],
        "facts": first_page.labelled_facts(teller, known, about),
        "corrected": _corrected(teller, known),
        "taken_in": _notes(teller, known["taken_in"]),
        "accepted": _accepted(teller, known["accepted"]),
        "accepted_words": known["accepted"]["words"] if known["accepted"] else "",
        "care": care.told(teller, known["care"], about),
        "words": care.words(teller),
        "pictures": _pictures(teller, known, drawing),
        "compared": _compared(teller, known),
        "sections": appendix.sections(teller, known),
        "parts": [_part(teller, part) for part in known["parts"]],
        "queries": [_query(teller, query) for query in known["queries"]],
        "left": _as_left(teller, known),
        "struck": _struck(teller, known),
        "instruments": first_page.instruments(teller, known),
        "people": first_page.people(teller, known["people"]),
        "signatures": _signatures(teller, known),
        "claims": [teller.say(words) for words in known["claims"]],
        "cautions": [teller.say(words) for words in known["cautions"]],
    }


def _compared(teller: Teller, known: Json) -> list[Json]:
    """Return the tables that set one figure beside another; a note under each, or none."""
    tables = (
        built.table(teller, known["compared"]),
        predicted.table(teller, known.get("predicted", [])),
        nights.table(teller, known.get("nights", [])),
    )
    return [{"note": "", **table} for table in tables if table is not None]


def _company(about: Json) -> Json:
    """Return the company as it is shown; "dial": its telephone, digits alone; "logo": its path."""
    telephone = about.get("telephone", "")
    dial = "".join(char for char in telephone if char in "+0123456789")
    return {
        "company": about.get("company", ""),
        "telephone": telephone,
        "dial": dial,
        "address": about.get("company_address", ""),
        "logo": "",
    }


def _door_words(drawing: Drawing) -> Msg:
    kind = drawing.data.get("door", "")
    return common.door_text(kind, len(drawing.panels), drawing.configuration)


def _notes(teller: Teller, notes: list[Json]) -> list[Json]:
    return [common.remark_of(teller.say(note["text"]), note["words"]) for note in notes]


def _log_facts(teller: Teller, known: Json) -> list[str]:
    """Return from when to when entries of each step claim to be, and when they came in."""
    out = []
    for step in known["steps"]:
        times = step["entered"]
        if times is None:
            continue
        words = Msg(
            "{step}: entered {first} to {last}",
            step=step["key"],
            first=When(times["first"]),
            last=When(times["last"]),
        )
        if times["received"]:
            first, last = map(When, times["received"])
            came = Msg("received by the office {first} to {last}", first=first, last=last)
            words = Msg("{one}; {other}", one=words, other=came)
        out.append(teller.say(words))
    return out


def _corrected(teller: Teller, known: Json) -> list[Json]:
    out = []
    for made in known["corrections"]:
        text = Msg(
            "{step} {check}: put right by {who}",
            step=made["step"],
            check=made["check"],
            who=common.who_when(teller, event_like(made)),
        )
        out.append(common.remark_of(teller.say(text), made["words"]))
    return out


def _accepted(teller: Teller, accepted: Json | None) -> str:
    if accepted is None:
        return ""
    return teller.say(Msg("Accepted by {who}", who=common.who_when(teller, event_like(accepted))))


def _pictures(teller: Teller, known: Json, drawing: Drawing) -> list[Json]:
    """Return the pictures beside the elevation that the drawing gives enough for."""
    speaker = teller.speaker
    plan = drawings.plan_picture(drawing, speaker, setting_letters(drawing))
    drawn = [(Msg("From above, numbered in the order of setting"), plan)]
    try:
        layout = drawings.sill_layout(bed.of_drawing(drawing), speaker)
        drawn.append((Msg("The sill from above, with its weeps"), layout))
    except AppError:
        pass  # the drawing leaves the bed open; then there is no picture of it
    read = built.picture(known["as_read"], drawing, speaker)
    if read is not None:
        drawn.append((Msg("As read on site: marks, widths, anchors and weeps counted"), read))
    return [{"title": teller.say(title), "picture": picture} for title, picture in drawn]


def _part(teller: Teller, part: Json) -> Json:
    words = parts.state_words(part["state"]) if part["state"] else Msg("not looked at")
    return {
        "mark": part["mark"],
        "what": part["what"],
        "count": str(part["count"]),
        "state_text": teller.say(words),
    }


def _query(teller: Teller, query: Json) -> Json:
    answer = event_like(query["answer"]) if query["answer"] is not None else None
    return queries.query_shown(teller, event_like(query), answer)


def _as_left(teller: Teller, known: Json) -> Json | None:
    """Return the readings that say how the door was left, as a matrix, and what a change means."""
    by_entry = {reading["entry"]: reading for s in known["steps"] for reading in s["readings"]}
    readings = [by_entry[entry] for entry in known["as_left"]]
    if not readings:
        return None
    return {
        "says": [teller.say(text) for text in care.COMPARE],
        **Matrix(teller, known, readings).contents(),
    }


def _struck(teller: Teller, known: Json) -> list[Json]:
    """Return the readings that were struck, each with what it was of and why it does not count."""
    matrix = Matrix(teller, known, known["struck"])
    return [
        {
            "place": teller.say(reading["of"]),
            "text": matrix.value(reading),
            "typed": reading["typed"],
            "why": teller.say(reading["fate"]["words"]) if "fate" in reading else "",
            "words": reading.get("words", ""),
            "by": f"{matrix.reader(reading)}, {history.both_times(teller, event_like(reading))}",
        }
        for reading in known["struck"]
    ]


def _signatures(teller: Teller, known: Json) -> list[Json]:
    """Return who stands for the work: lead, office, owner; then the builder's sheets."""
    out = []
    signed = [step["sign"] for step in known["steps"] if step["sign"] is not None]
    if signed:
        title = Msg("For the crew, who signed the last step")
        out.append(_plain_signature(teller, title, event_like(signed[-1]), ""))
    accepted = known["accepted"]
    if accepted is not None:
        title = Msg("For the company, who accepted the door")
        out.append(_plain_signature(teller, title, event_like(accepted), accepted["words"]))
    return [*out, _owner(teller, known), *(_sheet(teller, s) for s in known["signatures"])]


def _plain_signature(teller: Teller, title: Msg, event: Json, words: str) -> Json:
    return {
        "title": teller.say(title),
        "text": common.who_when(teller, event),
        "words": words,
        "picture": None,
        "choice": "",
        "later": "",
        "received": "",
    }


def _sheet(teller: Teller, signed: Json) -> Json:
    """Return what the builder signed on the screen."""
    title = Msg("{step} {what}", step=signed["step"], what=signed["text"])
    return {
        **signature.signature_shown(teller, event_like(signed)),
        "title": teller.say(title),
        "choice": teller.say(signed["chosen"]),
        "later": teller.say(signed["later"]),
        "received": appendix.received_words(teller, signed),
    }


def _owner(teller: Teller, known: Json) -> Json:
    """Return the owner's signature at the handover; where there is none, that it is not there."""
    title = {"title": teller.say(Msg("Handover: the owner")), "choice": "", "later": ""}
    owner = known["owner"]
    if owner is not None:
        received = appendix.received_words(teller, owner)
        return {
            **signature.signature_shown(teller, event_like(owner)),
            **title,
            "received": received,
        }
    words = teller.say(Msg("The owner has not signed the handover on a screen."))
    return {"text": words, "words": "", "picture": None, **title, "received": ""}
