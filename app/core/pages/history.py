"""/field/o/ID/history: every reading of an opening; those that no longer count, and why."""

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Page, Request, amount_text
from app.core.quantity.measure import is_strong
from app.core.quantity.messages import Len, Msg
from app.core.quantity.moments import moment_of
from app.core.quantity.units import INCH
from app.core.record.state import State
from app.core.record.taken import origin_of
from app.core.record.tools import came_after, check_passed, time_of

FINEST = {"in": INCH // 64, "mm": 50000}


def get(request: Request) -> Page:
    """Return all readings, point by point."""
    id = request.parts[1]
    opening = request.opening(id)
    state = request.state(id)
    taken = all_readings(state)
    back = common.page_link(common.path_of(id), request.say(Msg("Opening")))
    context = {
        "page": common.page_frame(request, request.say(Msg("Readings")), opening, back),
        "sum": request.say(Msg("Readings: {count}", count=len(taken))),
        "groups": reading_groups(request, id, state, taken),
    }
    return Page("field/history.html", context)


def all_readings(state: State) -> "list[Json]":
    """Return every reading event that counts or once counted, causes first."""
    kinds = ("reading.taken", "reading.unreachable")
    return [
        event
        for event in state.ledger.events
        if event["kind"] in kinds and state.ledger.counts(event)
    ]


def reading_groups(request: Request, id: str, state: State, taken: "list[Json]") -> "list[Json]":
    """Return readings in groups, one a point and panel, in the procedure's order.

    Those of points that only an earlier procedure of the opening had come last.
    """
    out = []
    listed: list[str] = []
    for step in state.steps:
        for point in step.data["points"]:
            key = (point["id"], state.panel_for(point["id"], step.panel))
            here = [e for e in taken if (e["body"]["point"], e["body"]["panel"]) == key]
            if here:
                listed.extend([event["id"] for event in here])
                title = Msg("{step} · {point}", step=step.key, point=Msg(point["title"]))
                out.append(
                    {
                        "id": "g-" + step.key.replace(":", "-") + "-" + point["id"],
                        "title": request.say(title),
                        "readings": [reading_shown(request, id, state, event) for event in here],
                    }
                )
    rest = [event for event in taken if event["id"] not in listed]
    if rest:
        title = Msg("Points that the procedure in force does not have")
        readings = [reading_shown(request, id, state, event) for event in rest]
        out.append({"id": "g-former", "title": request.say(title), "readings": readings})
    return out


def reading_shown(request: Request, id: str, state: State, event: Json) -> Json:
    """Return a reading for a template, with what became of it."""
    body = event["body"]
    fate, fate_text, words = fate_of(request, state, event)
    origin = origin_of(state.ledger, event["id"])
    if origin is not None:
        words = words or origin["body"]["reason"]
    return {
        "id": event["id"],
        "href": common.path_of(id, "reading", event["id"]),
        "place": place_text(request, state, body),
        "typed": body.get("text", ""),
        "value": value_text(request, event, state),
        "at": both_times(request, event),
        "who": origin_words(request, event, origin),
        "tool": tool_text(request, state, event),
        "badge": common.verdict_badge(
            request, "unreachable" if event["kind"] == "reading.unreachable" else "none"
        ),
        "fate": fate,
        "fate_text": fate_text,
        "words": words or body.get("why", "") or body.get("note", ""),
    }


def measured_by(request: Request, event: Json) -> str:
    """Return who measured, and who typed where that was somebody else."""
    typed = request.name(event["person"])
    measured = event["body"].get("measured_by", "")
    if not measured or measured == event["person"]:
        return typed
    return request.say(Msg("{who}; typed by {other}", who=request.name(measured), other=typed))


def origin_words(request: Request, event: Json, origin: "Json | None") -> str:
    """Return who measured and typed; of an entry that was set aside first, that too."""
    known = measured_by(request, event)
    if origin is None:
        return known
    return request.say(Msg("{who}; set aside first, taken in by the office", who=known))


def both_times(request: Request, event: Json) -> str:
    """Return when a reading was measured; where it was entered later, both times."""
    entered = common.time_words(request, event["at"])
    measured = event["body"].get("measured_at", "")
    if not measured:
        return entered
    words = Msg(
        "measured {then}, entered {now}", then=common.time_words(request, measured), now=entered
    )
    return request.say(words)


def tool_text(request: Request, state: State, event: Json) -> str:
    """Return what a reading was taken with, and how its last check went by then; "" for nothing."""
    tool = state.tool_of(event)
    if tool is None:
        return str(event["body"].get("instrument", ""))
    seen = [check for check in tool.checks if came_after(event, check) or _told_later(event, check)]
    if not seen:
        return request.say(Msg("{name}, no check seen", name=tool.name))
    when = common.time_words(request, time_of(seen[-1]))
    if check_passed(seen[-1]):
        return request.say(Msg("{name}, checked good {when}", name=tool.name, when=when))
    return request.say(Msg("{name}, failed its check {when}", name=tool.name, when=when))


def _told_later(event: Json, check: Json) -> bool:
    """Return whether the office told of a check that by its own time was made before a reading."""
    measured = moment_of(event["body"].get("measured_at", "") or event["at"])
    made = moment_of(time_of(check))
    known = measured is not None and made is not None
    return known and bool(check["body"].get("relayed")) and (made or 0) <= (measured or 0)


def place_text(request: Request, state: State, body: Json) -> str:
    """Return where a reading was taken; its id where drawing or procedure no longer have it."""
    try:
        known = state.places(body["point"], body["panel"])
    except AppError:  # a point of another version of the procedure, or of another door
        known = []
    for place in known:
        if place.id == body["place"]:
            return request.say(place.title)
    return str(body["place"])


def value_text(request: Request, event: Json, state: "State | None" = None) -> str:
    """Return a reading's value as this person reads it; with the state, a choice in its words."""
    body = event["body"]
    if event["kind"] == "reading.unreachable":
        return request.say(Msg("could not be reached"))
    quantity = body["quantity"]
    if quantity == "choice" and state is not None:
        return _choice_text(request, state, body)
    return read_text(request, quantity, body["value"], body["text"])


def read_text(request: Request, quantity: str, value: str, typed: str) -> str:
    """Return a value as this person reads it; words and choices as they were typed."""
    if quantity in ("text", "choice"):
        return typed
    if quantity == "yes-no":
        return request.say(Msg("yes") if value == "1" else Msg("no"))
    if quantity == "length" and is_strong(typed):
        # said back exactly: half a division is finer than lengths are shown
        exact = Len(int(value), grain=FINEST[request.units])
        return request.say(Msg("{value} (typed {text})", value=exact, text=typed))
    return amount_text(request, quantity, int(value))


def _choice_text(request: Request, state: State, body: Json) -> str:
    """Return the words of what was chosen; its id where the procedure no longer has it."""
    point = state.points.get(body["point"])
    for choice in point.get("choices", []) if point is not None else []:
        if choice["id"] == body["text"]:
            return request.say(Msg(choice["text"]))
    return str(body["text"])


def spoiled_by(request: Request, event: Json) -> Msg:
    """Return why a reading must be taken again, for the event that spoils it."""
    who = common.who_when(request, event)
    if event["kind"] == "instrument.checked":
        name = event["body"]["name"]
        return Msg("measure again: {name} failed its check ({who})", name=name, who=who)
    if event["kind"] == "opening.reviewed":
        return Msg("measure again: returned by {who}", who=who)
    return Msg("measure again: changed by {who}", who=who)


def fate_of(request: Request, state: State, event: Json) -> "tuple[str, str, str]":
    """Return what became of a reading: a kind, our words, and what a person wrote."""
    removal = state.ledger.removed.get(event["id"])
    if removal is not None:
        moved = removal["body"].get("moved_to", "")
        words = Msg("moved to another opening by {who}") if moved else Msg("struck by {who}")
        text = request.say(Msg(words.template, who=common.who_when(request, removal)))
        return ("moved" if moved else "struck"), text, removal["body"]["why"]
    if event["body"].get("info"):
        return "info", request.say(Msg("for information only")), ""
    later = state.ledger.replaced_by(event)
    if later is not None:
        text = request.say(Msg("measured again by {who}", who=common.who_when(request, later)))
        return "replaced", text, ""
    spoiled = state.stale_by(event)
    if spoiled is not None:
        return "stale", request.say(spoiled_by(request, spoiled)), spoiled["body"].get("words", "")
    return "", "", ""
