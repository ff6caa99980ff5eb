"""/field/o/ID/reading/EVENT: one reading; strike it, or move it to the opening it belongs to."""

from app.core.errors import InputError, MissingError
from app.core.kinds import Json
from app.core.pages import common, history, photo
from app.core.pages.request import Page, Request, event_draft
from app.core.quantity.messages import Msg
from app.core.record.state import State


def get(request: Request) -> Page:
    """Return a reading's own page."""
    id = request.parts[1]
    opening = request.opening(id)
    state = request.state(id)
    event = _event_of(request, state)
    body = event["body"]
    former = body["point"] not in state.points  # the procedure in force does not have it
    path = _way_back(id, state, event)
    title = Msg("Readings") if former else Msg(state.points[body["point"]]["title"])
    shown = history.reading_shown(request, id, state, event)
    alive = shown["fate"] in ("", "info", "stale")
    again = ""
    if alive and not former and not body.get("info"):
        again = path + "?place=" + body["place"]
    back = common.page_link(path, request.say(title))
    context = {
        "page": common.page_frame(request, request.say(Msg("Reading")), opening, back),
        "step": common.page_link(common.path_of(id), request.say(Msg("Opening"))),
        "point": back,
        "reading": shown,
        "photos": photo.photos_beside(request, state, event),
        "facts": _reading_facts(request, event),
        "again": again,
        "strike": request.make_form("strike", "strike", state, ("words",)) if alive else None,
        "move": _move_form(request, state, event) if alive else None,
    }
    return Page("field/reading.html", context)


def _way_back(id: str, state: State, event: Json) -> str:
    """Return the path of a reading's point; of all readings, where there is no such point now."""
    if event["body"]["point"] not in state.points:
        return common.path_of(id, "history")
    return common.point_path(id, event["body"]["point"], event["body"]["panel"])


def _event_of(request: Request, state: State) -> Json:
    wanted = request.parts[3] if len(request.parts) > 3 else ""
    for event in history.all_readings(state):
        if event["id"] == wanted:
            return event
    raise MissingError("reading-unknown", Msg("There is no such reading."))


def _reading_facts(request: Request, event: Json) -> "list[Json]":
    measured = event["body"].get("measured_at", "")
    if not measured:
        return []
    return [
        common.labelled_fact(request.say(Msg("Measured")), common.time_words(request, measured)),
        common.labelled_fact(request.say(Msg("Entered")), common.time_words(request, event["at"])),
    ]


def _move_form(request: Request, state: State, event: Json) -> "Json | None":
    others = []
    for opening in request.book["openings"]:
        if opening["id"] != request.parts[1]:
            name = opening["letter"] + " " + opening["room"] + ", " + opening["address"]
            others.append(common.form_choice(opening["id"], name))
    if not others or event["kind"] != "reading.taken":
        return None
    return {
        "form": request.make_form("move", "move", state, ("opening", "words")),
        "openings": others,
    }


def post_strike(request: Request) -> Page:
    """Strike a reading: it stays in the record, and counts no more."""
    id = request.parts[1]
    state = request.state(id)
    event = _event_of(request, state)
    why = request.required("words", Msg("Say in a word why it is struck."))
    body = {"target": event["id"], "why": why}
    path = _way_back(id, state, event)
    return Page(location=path, drafts=[event_draft(request, id, "entry.struck", body)])


def post_move(request: Request) -> Page:
    """Move a reading to the opening it was taken at: struck here, entered there, said so."""
    id = request.parts[1]
    state = request.state(id)
    event = _event_of(request, state)
    target = request.required("opening", Msg("Choose the opening it belongs to."))
    if target == id:
        raise InputError("same-opening", Msg("It is already at this opening."))
    there = request.state(target)
    body = dict(event["body"])
    _must_fit(there, body)
    body["moved_from"] = id
    why = request.typed("words") or request.say(Msg("entered at the wrong opening"))
    struck = {"target": event["id"], "why": why, "moved_to": target}
    arrival = event_draft(request, target, "reading.taken", body, "moved")
    arrival["seen"] = there.heads
    path = _way_back(id, state, event)
    return Page(location=path, drafts=[event_draft(request, id, "entry.struck", struck), arrival])


def _must_fit(there: State, body: Json) -> None:
    known = there.places(body["point"], body["panel"]) if body["point"] in there.points else []
    if body["place"] in [place.id for place in known]:
        return
    raise InputError(
        "place-unknown",
        Msg("That opening has no such place. Strike it here and enter it there by hand."),
    )


POSTS = {"strike": post_strike, "move": post_move}
