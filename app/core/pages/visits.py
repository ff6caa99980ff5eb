"""/field/o/ID/visit: the service visits at an accepted door; another one is begun here."""

from app.core.errors import RefusedError
from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import VISIT, Page, Request, event_draft
from app.core.quantity.messages import Msg
from app.core.record import visits
from app.core.record.state import State


def get(request: Request) -> Page:
    """Return the list of an opening's visits, with the form that begins another."""
    id = request.parts[1]
    opening = request.opening(id)
    state = request.state(id)
    back = common.page_link(common.path_of(id), request.say(Msg("Opening")))
    context = {
        "page": common.page_frame(request, request.say(Msg("Service visits")), opening, back),
        "visits": [_visit_row(request, id, state, begun) for begun in visits.visits_of(state)],
        "begin": None,
        "complaints": [],
    }
    if visits.is_visited(state):
        form = request.make_form("begin", "begin", state, ("words", "callback"))
        context["begin"] = form
        context["complaints"] = [
            common.form_choice(one["id"], one["words"], one["id"] == form["typed"]["callback"])
            for one in opening.get("callbacks", [])
        ]
    return Page("field/visits.html", context)


def visit_id(id: str, visit: str) -> str:
    """Return what an opening is called in paths while it is at a visit."""
    return id + VISIT + visit


def _visit_row(request: Request, id: str, state: State, begun: Json) -> Json:
    signed = visits.signed_of(state, begun["id"])
    words = Msg("begun: {who}", who=common.who_when(request, begun))
    if signed is not None:
        words = Msg("signed: {who}", who=common.who_when(request, signed))
    return {
        "href": common.path_of(visit_id(id, begun["id"])),
        "words": begun["body"]["words"],
        "state": "signed" if signed is not None else "open",
        "state_text": request.say(words),
    }


def post_begin(request: Request) -> Page:
    """Begin a visit: why somebody was called, and which complaint it answers."""
    id = request.parts[1]
    if not visits.is_visited(request.state(id)):
        words = Msg(
            "A service visit is for a door that the office has accepted. Go on in its steps."
        )
        raise RefusedError("not-accepted", words)
    asked = {one["id"]: one["words"] for one in request.opening(id).get("callbacks", [])}
    callback = request.typed("callback")
    body = {"words": request.typed("words") or asked.get(callback, "")}
    if not body["words"]:
        body["words"] = request.required("words", Msg("Say why you were called."))
    if callback in asked:
        body["callback"] = callback
    draft = event_draft(request, id, "visit.begun", body)
    return Page(location=common.path_of(visit_id(id, draft["id"])), drafts=[draft])


POSTS = {"begin": post_begin}
