"""/field/o/ID/reading/EVENT: one reading; strike it, or move it to the opening it belongs to."""

from app.core.errors import InputError, MissingError
from app.core.kinds import Json
from app.core.pages import common, history, photo
from app.core.pages.request import Page, Request, draft
from app.core.quantity.messages import Msg
from app.core.record.state import State


def get(request: Request) -> Page:
    """Return a reading's own page."""
    id = request.parts[1]
    opening = request.opening(id)
    state = request.state(id)
    event = _event(request, state)
    body = event["body"]
    point = state.point(body["point"])
    path = common.point_path(id, point["id"], body["panel"])
    shown = history.shown(request, id, state, event)
    alive = shown["fate"] in ("", "info", "stale")
    back = common.link(path, request.say(Msg(point["title"])))
    context = {
        "page": common.frame(request, request.say(Msg("Reading")), opening, back),
        "step": common.link(common.path_of(id), request.say(Msg("Opening"))),
        "point": back,
        "reading": shown,
        "photos": photo.beside(request, state, event),
        "facts": _facts(request, event),
        "again": path + "?place=" + body["place"] if alive and not body.get("info") else "",
        "strike": request.make_form("strike", "strike", state, ("words",)) if alive else None,
        "move": _move(request, state, event) if alive else None,
    }
    return Page("field/reading.html", context)


def _event(request: Request, state: State) -> Json:
    wanted = request.parts[3] if len(request.parts) > 3 else ""
    for event in history.all_readings(state):
        if event["id"] == wanted:
            return event
    raise MissingError("reading-unknown", Msg("There is no such reading."))


def _facts(request: Request, event: Json) -> "list[Json]":
    measured = event["body"].get("measured_at", "")
    if not measured:
        return []
    return [
        common.fact(request.say(Msg("Measured")), common.when(request, measured)),
        common.fact(request.say(Msg("Entered")), common.when(request, event["at"])),
    ]


def _move(request: Request, state: State, event: Json) -> "Json | None":
    others = []
    for opening in request.book["openings"]:
        if opening["id"] != request.parts[1]:
            name = opening["letter"] + " " + opening["room"] + ", " + opening["address"]
            others.append(common.choice(opening["id"], name))
    if not others or event["kind"] != "reading.taken":
        return None
    return {
        "form": request.make_form("move", "move", state, ("opening", "words")),
        "openings": others,
    }


def post_strike(request: Request) -> Page:
    """Strike a reading: it stays in the record, and counts no more."""
    id = request.parts[1]
    event = _event(request, request.state(id))
    why = request.required("words", Msg("Say in a word why it is struck."))
    body = {"target": event["id"], "why": why}
    path = common.point_path(id, event["body"]["point"], event["body"]["panel"])
    return Page(location=path, drafts=[draft(request, id, "entry.struck", body)])


def post_move(request: Request) -> Page:
    """Move a reading to the opening it was taken at: struck here, entered there, said so."""
    id = request.parts[1]
    event = _event(request, request.state(id))
    target = request.required("opening", Msg("Choose the opening it belongs to."))
    if target == id:
        raise InputError("same-opening", Msg("It is already at this opening."))
    there = request.state(target)
    body = dict(event["body"])
    _fits(there, body)
    body["moved_from"] = id
    why = request.typed("words") or request.say(Msg("entered at the wrong opening"))
    struck = {"target": event["id"], "why": why, "moved_to": target}
    arrival = draft(request, target, "reading.taken", body, "moved")
    arrival["seen"] = there.heads
    path = common.point_path(id, event["body"]["point"], event["body"]["panel"])
    return Page(location=path, drafts=[draft(request, id, "entry.struck", struck), arrival])


def _fits(there: State, body: Json) -> None:
    known = there.places(body["point"], body["panel"]) if body["point"] in there.points else []
    if body["place"] in [place.id for place in known]:
        return
    raise InputError(
        "place-unknown",
        Msg("That opening has no such place. Strike it here and enter it there by hand."),
    )


POSTS = {"strike": post_strike, "move": post_move}
