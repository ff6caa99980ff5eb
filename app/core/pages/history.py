"""/field/o/ID/history: every reading of an opening; those that no longer count, and why."""

from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Page, Request, amount_text
from app.core.record.state import State
from app.core.words import Msg


def get(request: Request) -> Page:
    """Return all readings, point by point."""
    id = request.parts[1]
    opening = request.opening(id)
    state = request.state(id)
    taken = all_readings(state)
    back = common.link(common.path_of(id), request.say(Msg("Opening")))
    context = {
        "page": common.frame(request, request.say(Msg("Readings")), opening, back),
        "sum": request.say(Msg("{count} readings", count=len(taken))),
        "groups": groups(request, id, state, taken),
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


def groups(request: Request, id: str, state: State, taken: "list[Json]") -> "list[Json]":
    """Return readings in groups, one a point and panel, in the procedure's order."""
    out = []
    for step in state.steps:
        for point in step.data["points"]:
            key = (point["id"], state.unit_for(point["id"], step.unit))
            here = [e for e in taken if (e["body"]["point"], e["body"]["unit"]) == key]
            if here:
                title = Msg("{step} · {point}", step=step.key, point=Msg(point["title"]))
                out.append(
                    {
                        "id": "g-" + step.key.replace(":", "-") + "-" + point["id"],
                        "title": request.say(title),
                        "readings": [shown(request, id, state, event) for event in here],
                    }
                )
    return out


def shown(request: Request, id: str, state: State, event: Json) -> Json:
    """Return a reading for a template, with what became of it."""
    body = event["body"]
    fate, fate_text, words = fate_of(request, state, event)
    return {
        "id": event["id"],
        "href": common.path_of(id, "reading", event["id"]),
        "place": place_text(request, state, body),
        "typed": body.get("text", ""),
        "value": value_text(request, event),
        "at": common.when(request, body.get("measured_at") or event["at"]),
        "who": who(request, event),
        "tool": body.get("instrument", ""),
        "mark": common.mark(
            request, "unreachable" if event["kind"] == "reading.unreachable" else "none"
        ),
        "fate": fate,
        "fate_text": fate_text,
        "words": words or body.get("why", "") or body.get("note", ""),
    }


def who(request: Request, event: Json) -> str:
    """Return who measured, and who typed where that was somebody else."""
    typed = request.name(event["person"])
    measured = event["body"].get("measured_by", "")
    if not measured or measured == event["person"]:
        return typed
    return request.say(Msg("{who}; typed by {other}", who=request.name(measured), other=typed))


def place_text(request: Request, state: State, body: Json) -> str:
    """Return where a reading was taken; its id where the drawing no longer has the place."""
    for place in state.places(body["point"], body["unit"]):
        if place.id == body["place"]:
            return request.say(place.title)
    return str(body["place"])


def value_text(request: Request, event: Json) -> str:
    """Return a reading's value as this person reads it."""
    body = event["body"]
    if event["kind"] == "reading.unreachable":
        return request.say(Msg("could not be reached"))
    quantity = body["quantity"]
    if quantity in ("text", "choice"):
        return str(body["text"])
    if quantity == "yes-no":
        return request.say(Msg("yes") if body["value"] == "1" else Msg("no"))
    return amount_text(request, quantity, int(body["value"]))


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
        words = Msg("measure again: changed by {who}", who=common.who_when(request, spoiled))
        return "stale", request.say(words), spoiled["body"]["words"]
    return "", "", ""
