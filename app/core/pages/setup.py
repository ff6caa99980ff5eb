"""A level line set up anew: tied to the first set-up at a place that both have read.

The readings stay as typed; those that come after the tie are taken higher or lower by it.
"""

from app.core.errors import InputError, MissingError
from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Page, Request, event_draft
from app.core.quantity.measure import parse_amount
from app.core.quantity.messages import Len, Msg
from app.core.record.state import State
from app.core.where.place import Place


def setups_shown(
    request: Request, state: State, point: Json, panel: str, how: str
) -> "Json | None":
    """Return the ties of a line so far and the form for a new one; None where there is no line.

    A form that was refused comes back even where nothing is read any more: it has what was typed.
    """
    read = _places_read(state, point, panel)
    refused = request.trouble is not None and request.trouble["form"] == "tie"
    if point["how"] != "level" or not (refused or (how and read)):
        return None
    form = request.make_form("tie", "tie", state, ("at", "value"))
    chosen = form["typed"]["at"]
    return {
        "form": form,
        "places": [
            common.form_choice(place.id, request.say(place.title), place.id == chosen)
            for place in read
        ],
        "ties": [_tie_shown(request, state, tie) for tie in state.ties(point["id"], panel)],
    }


def _places_read(state: State, point: Json, panel: str) -> "list[Place]":
    out = []
    for place in state.places(point["id"], panel):
        readings = state.readings(point["id"], panel, place.id)
        if place.side != "closing" and readings and readings[-1].reached:
            out.append(place)
    return out


def _tie_shown(request: Request, state: State, tie: Json) -> Json:
    shift = int(tie["body"]["shift"])
    words = Msg("New set-up: the line stands as before.")
    if shift > 0:
        words = Msg("New set-up: the line stands {size} HIGHER.", size=Len(shift))
    elif shift < 0:
        words = Msg("New set-up: the line stands {size} LOWER.", size=Len(-shift))
    text = Msg("{what} {who}", what=words, who=common.who_when(request, tie))
    return {
        "text": request.say(text),
        "words": tie["body"]["text"],
        "strike": request.make_form("untie-" + tie["id"], "untie", state, (), target=tie["id"]),
    }


def post_tie(request: Request) -> Page:
    """Keep what the same place reads from the new set-up."""
    id, point, panel, state = _asked_point(request)
    places = [
        place for place in _places_read(state, point, panel) if place.id == request.typed("at")
    ]
    if not places:
        raise InputError("place-missing", Msg("Choose a place that was read before the move."))
    text = request.typed("value", 64)
    if not text:
        raise InputError("empty", Msg("Type what that place reads from the new set-up."))
    value = parse_amount("length", text, request.units)
    how = state.how_read(point["id"], panel)
    before = state.readings(point["id"], panel, places[0].id)[-1].height
    tied = sum([int(tie["body"]["shift"]) for tie in state.ties(point["id"], panel)])
    shift = before - (-value if how == "down" else value) - tied
    body = {
        "point": point["id"],
        "panel": panel,
        "place": places[0].id,
        "text": text,
        "shift": str(shift),
    }
    return Page(location=request.path, drafts=[event_draft(request, id, "setup.tied", body)])


def post_untie(request: Request) -> Page:
    """Strike a tie that was mistaken."""
    id, _point, _panel, state = _asked_point(request)
    target = state.ledger.by_id.get(request.typed("target"))
    if target is None or target["kind"] != "setup.tied":
        raise MissingError("tie-unknown", Msg("There is no such set-up."))
    body = {"target": target["id"], "why": request.say(Msg("tied by mistake"))}
    return Page(location=request.path, drafts=[event_draft(request, id, "entry.struck", body)])


def _asked_point(request: Request) -> "tuple[str, Json, str, State]":
    id = request.parts[1]
    state = request.state(id)
    point = state.point(request.parts[3] if len(request.parts) > 3 else "")
    if point["how"] != "level":
        raise MissingError("no-line", Msg("This is not read off a level line."))
    return id, point, request.parts[4] if len(request.parts) > 4 else "", state
