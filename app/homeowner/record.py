"""A completion record in a reader's words, made of its facts and nothing else.

The facts are those of facts.py, as snapshot.py keeps them; what comes out is the context of
templates/record/record.html and of the PDF.
"""

from app.core.checks.base import Outcome
from app.core.errors import AppError
from app.core.kinds import Any, Json
from app.core.pages import common, history, parts, queries, results, signature
from app.core.pages.request import Page, Request
from app.core.pages.step import decided_words
from app.core.pictures import drawings
from app.core.quantity.messages import Msg, When
from app.core.record.canonical import digest
from app.core.record.state import State, setting_letters
from app.core.trade import bed
from app.core.trade.drawing import Drawing
from app.homeowner import built, care, facts, first_page, predicted, written
from app.homeowner.wording import Teller, event_like


def get(request: Request) -> Page:
    """Return the record as it would be issued now; before acceptance it says what is missing."""
    id = request.parts[0]
    state = request.state(id)
    opening = request.opening(id)
    known = facts.of_opening(request, id)
    context = contents(known, opening, Teller(request.speaker, request.people))
    context["page"] = common.page_frame(request, request.say(Msg("Completion record")), opening)
    _place_photos(request, context["steps"])
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
        "key": "",
    }
    context["draft"] = _draft(request, state, known)
    context["downloads"] = []
    context["changes"] = []
    return Page("record/record.html", context)


def _place_photos(request: Request, steps: list[Json]) -> None:
    """Say where the photos are that have reached the office."""
    for step in steps:
        for shown in step["photos"]:
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
    return {
        "door": teller.say(_door_words(drawing)),
        "picture_of": drawings.elevation_picture(drawing, teller.speaker),
        "facts": first_page.labelled_facts(teller, known, about),
        "result": teller.say(first_page.result_words(known)),
        "open": _open(teller, known),
        "concessions": _concessions(teller, known),
        "corrected": _corrected(teller, known),
        "taken_in": _notes(teller, known["taken_in"]),
        "accepted": _accepted(teller, known["accepted"]),
        "accepted_words": known["accepted"]["words"] if known["accepted"] else "",
        "care": care.told(teller, known["care"], about),
        "words": care.words(teller),
        "pictures": _pictures(teller, known, drawing),
        "built": built.table(teller, known["compared"]),
        "predicted": predicted.table(teller, known.get("predicted", [])),
        "steps": [_step(teller, known, step) for step in known["steps"]],
        "parts": [_part(teller, part) for part in known["parts"]],
        "queries": [_query(teller, query) for query in known["queries"]],
        "left": _as_left(teller, known),
        "struck": [
            {**_reading(teller, reading), "place": teller.say(reading["of"])}
            for reading in known["struck"]
        ],
        "instruments": first_page.instruments(teller, known),
        "people": first_page.people(teller, known["people"]),
        "signatures": [*(_sheet(teller, s) for s in known["signatures"]), _owner(teller, known)],
        "claims": [teller.say(words) for words in known["claims"]],
        "cautions": [teller.say(words) for words in known["cautions"]],
    }


def _door_words(drawing: Drawing) -> Msg:
    kind = drawing.data.get("door", "")
    return common.door_text(kind, len(drawing.panels), drawing.configuration)


def _notes(teller: Teller, notes: list[Json]) -> list[Json]:
    return [common.remark_of(teller.say(note["text"]), note["words"]) for note in notes]


def _open(teller: Teller, known: Json) -> list[Json]:
    """Return what is still open: steps, places out of reach, spoken concessions, queries."""
    out: list[tuple[Msg, str]] = []
    for step in known["steps"]:
        named = {"step": step["id"], "title": step["title"]}
        sign = step["sign"]
        if sign is None:
            out.append((Msg("{step} {title}: not signed", **named), ""))
        why = sign["why"] if sign is not None else []
        out += [(Msg("{step} {title}: {why}", **named, why=words), "") for words in why]
        anew = sign.get("anew") if sign is not None else None
        if anew is not None:
            who = common.who_when(teller, event_like(anew))
            judged = Msg(
                "{step} {title}: the office judged its sign-off anew, {who}", **named, who=who
            )
            out.append((judged, anew["words"]))
        out += [
            (
                Msg(
                    "{point}, {place}: could not be reached",
                    point=known["points"][reading["point"]]["title"],
                    place=reading["where"],
                ),
                reading["words"],
            )
            for reading in step["readings"]
            if reading["entry"] in step["out_of_reach"]
        ]
    for step, check in _checks(known):
        if "provisional" in check:
            words = {"step": step["key"], "what": check["provisional"], "check": check["title"]}
            out.append((Msg("{step} {check}: {what}", **words), ""))
    unanswered = [query for query in known["queries"] if query["answer"] is None]
    out += [(Msg("Query without an answer"), query["words"]) for query in unanswered]
    return [common.remark_of(teller.say(text), words) for text, words in out]


def _checks(known: Json) -> list[tuple[Json, Json]]:
    """Return every check with its step."""
    return [(step, check) for step in known["steps"] for check in step["checks"]]


def _concessions(teller: Teller, known: Json) -> list[Json]:
    out = []
    for step, check in _checks(known):
        given = check.get("conceded")
        if given is not None:
            text = Msg(
                "{step} {check}: left as it is, permitted by {who}",
                step=step["key"],
                check=check["title"],
                who=common.who_when(teller, event_like(given)),
            )
            words = [given["reason"], given["until"], given["answer"]]
            out.append(common.remark_of(teller.say(text), "; ".join(w for w in words if w)))
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


def _step(teller: Teller, known: Json, step: Json) -> Json:
    return {
        "id": step["id"],
        "anchor": step["key"].replace(":", "-"),
        "title": teller.say(step["title"]),
        "state_text": teller.say(step["standing"]),
        "good": step["sign"] is not None and step["sign"]["good"],
        "signed": _signed(teller, step["sign"]) if step["sign"] is not None else [],
        "entered": _entered(teller, step["entered"]),
        "tasks": [_task(teller, task) for task in step["tasks"]],
        "decisions": _decisions(teller, step),
        "checks": [_check(teller, check) for check in step["checks"]],
        "tables": _tables(teller, known["points"], step),
        "photos": [_photo(teller, photo) for photo in step["photos"]],
    }


SURE = {
    "pin": common.BY_PIN,
    "password": Msg("signed in under their own password"),
    "phone": Msg("on a phone that was paired for them"),
}


def _signed(teller: Teller, sign: Json) -> list[str]:
    """Return who signed and when, how that was made sure of, and when it came in."""
    who = Msg("Signed by {who}", who=common.who_when(teller, event_like(sign)))
    texts = [teller.say(who), teller.say(SURE[sign["sure"]]), _received(teller, sign)]
    return ["; ".join(text for text in texts if text)]


def _received(teller: Teller, fact: Json) -> str:
    """Return "received by the office 10 Mar 2026, 10:36"; "" where it is not known."""
    if not fact["received"]:
        return ""
    return teller.say(Msg("received by the office {when}", when=When(fact["received"])))


def _entered(teller: Teller, times: Json | None) -> str:
    """Return from when to when entries claim to be, and when they came in; "" for none."""
    if times is None:
        return ""
    claimed = Msg(
        "Entered {first} to {last}, as the devices' clocks claim.",
        first=When(times["first"]),
        last=When(times["last"]),
    )
    if not times["received"]:
        return teller.say(claimed)
    first, last = map(When, times["received"])
    came = Msg("Received by the office {first} to {last}.", first=first, last=last)
    return teller.say(claimed) + " " + teller.say(came)


def _task(teller: Teller, task: Json) -> Json:
    """Return a task with who did it; where there is no photo, the words why."""
    done = "who" in task
    by = common.done_by(teller, event_like(task), task.get("done_at", "")) if done else ""
    why = task.get("no_photo", "")
    if why:
        by = teller.say(Msg("No photo: {who}", who=by))
    return {"text": teller.say(task["text"]), "done": done, "by": by, "words": why}


def _decisions(teller: Teller, step: Json) -> list[Json]:
    """Return what was decided, and what was to be written down and nobody wrote."""
    out = []
    for made in step["decisions"]:
        choice = decided_words(teller, made["chosen"], event_like(made))
        text = Msg("{what} {choice}", what=made["text"], choice=choice)
        out.append(common.remark_of(teller.say(text), made["words"]))
    for title in step["unwritten"]:
        text = Msg("{what}: {words}", what=title, words=written.NOTHING)
        out.append(common.remark_of(teller.say(text)))
    return out


def _check(teller: Teller, check: Json) -> Json:
    """Return a check: what was found, nothing to fill in.

    What was only written down is not within anything; of what was out of reach no picture shows
    the rest as if it were all.
    """
    mark = common.verdict_mark(teller, check["verdict"])
    if check.get("only_noted"):
        mark = {"kind": "info", "word": teller.say(Msg("noted"))}
    return {
        "title": teller.say(check["title"]),
        "mark": mark,
        "picture": _figure(teller, check) if check["verdict"] != "unreachable" else None,
        "says": [teller.say(words) for words in check["says"]],
        "limit": "; ".join(teller.say(limit["words"]) for limit in check["limits"]),
        "basis": teller.say(check["basis"]["words"]),
        "reason": teller.say(check.get("reason", "")),
        "done": _notes(teller, check["done"]),
        "profile": results.profile_picture(check.get("profile"), teller.speaker),
    }


def _figure(teller: Teller, check: Json) -> Any:
    """Return the picture of the figure that decided, or None."""
    figure = check.get("figure")
    if figure is None:
        return None
    value, low, high, tilt = (
        int(figure[name]) if name in figure else None for name in ("value", "low", "high", "tilt")
    )
    outcome = Outcome(
        check["verdict"], [], None, value, low, high, quantity=figure["quantity"], tilt=tilt
    )
    return results.outcome_picture(outcome, teller.speaker)


def _tables(teller: Teller, points: Json, step: Json) -> list[Json]:
    """Return a step's readings, a table a point and panel."""
    groups: list[tuple[tuple[str, str], list[Json]]] = []
    for reading in step["readings"]:
        key = (reading["point"], reading["panel"])
        if not groups or groups[-1][0] != key:
            groups.append((key, []))
        groups[-1][1].append(reading)
    return [
        {
            "title": teller.say(_table_title(points[point])),
            "panel": panel,
            "readings": [_reading(teller, reading) for reading in readings],
        }
        for (point, panel), readings in groups
    ]


def _table_title(point: Json) -> Any:
    """Return what was measured, and with which kind of instrument that was asked for."""
    if not point["tool"]:
        return point["title"]
    return Msg("{point} (by {tool})", point=point["title"], tool=point["tool"])


def _reading(teller: Teller, reading: Json) -> Json:
    """Return a reading, with what became of it."""
    event = event_like(reading)
    return {
        "place": teller.say(reading["where"]),
        "typed": reading["typed"],
        "value": value_text(teller, reading),
        "at": history.both_times(teller, event),
        "who": history.origin_words(teller, event, reading if reading.get("taken_in") else None),
        "tool": teller.say(reading.get("tool") or reading.get("instrument", "")),
        "mark": common.verdict_mark(teller, "unreachable" if reading.get("unreached") else "none"),
        "fate_text": teller.say(reading["fate"]["words"]) if "fate" in reading else "",
        "words": reading.get("words", ""),
        "received": "; ".join(teller.say(words) for words in reading.get("clock", [])),
    }


def value_text(teller: Teller, reading: Json) -> str:
    """Return what was read."""
    if "chosen" in reading:
        return teller.say(reading["chosen"])
    if reading.get("unreached"):
        return teller.say(Msg("could not be reached"))
    return history.read_text(teller, reading["quantity"], reading["value"], reading["typed"])


def _photo(teller: Teller, photo: Json) -> Json:
    return {
        "sha256": photo["sha256"],
        "width": photo["width"],
        "height": photo["height"],
        "href": "",  # given by who shows it: each reader has a way of their own
        "text": teller.say(photo["text"]),
        "by": common.who_when(teller, event_like(photo)),
    }


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
    """Return the readings that say how the door was left."""
    by_entry = {reading["entry"]: reading for s in known["steps"] for reading in s["readings"]}
    readings = [by_entry[entry] for entry in known["as_left"]]
    if not readings:
        return None
    heads = (Msg("What"), Msg("Where"), Msg("As left"), Msg("When"))
    return {
        "says": [teller.say(text) for text in care.COMPARE],
        "heads": [teller.say(words) for words in heads],
        "rows": [
            [
                *_what_where(teller, known["points"][reading["point"]]["title"], reading["where"]),
                value_text(teller, reading),
                history.both_times(teller, event_like(reading)),
            ]
            for reading in readings
        ],
    }


def _what_where(teller: Teller, what: Any, where: Any) -> list[str]:
    """Return both in words; where there is but one place, it has the name of what is measured."""
    said = [teller.say(what), teller.say(where)]
    return said if said[0] != said[1] else [said[0], "–"]


def _sheet(teller: Teller, signed: Json) -> Json:
    """Return what the builder signed on the screen."""
    title = Msg("{step} {what}", step=signed["step"], what=signed["text"])
    return {
        **signature.signature_shown(teller, event_like(signed)),
        "title": teller.say(title),
        "choice": teller.say(signed["chosen"]),
        "later": teller.say(signed["later"]),
        "received": _received(teller, signed),
    }


def _owner(teller: Teller, known: Json) -> Json:
    """Return the owner's signature at the handover; where there is none, that it is not there."""
    title = {"title": teller.say(Msg("Handover: the owner")), "choice": "", "later": ""}
    owner = known["owner"]
    if owner is not None:
        received = _received(teller, owner)
        return {
            **signature.signature_shown(teller, event_like(owner)),
            **title,
            "received": received,
        }
    words = teller.say(Msg("The owner has not signed the handover on a screen."))
    return {"text": words, "words": "", "picture": None, **title, "received": ""}
