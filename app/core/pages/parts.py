"""/field/o/ID/parts: the parts list, each line here, short, damaged or wrong."""

from app.core.errors import InputError
from app.core.kinds import Json
from app.core.pages import at_once, common
from app.core.pages.request import Page, Request, are_digits, event_draft
from app.core.quantity.messages import Msg
from app.core.record.state import State

STATES = {
    "here": Msg("here"),
    "short": Msg("short"),
    "damaged": Msg("damaged"),
    "wrong": Msg("wrong part"),
}


def state_words(state: str) -> Msg:
    """Return a part's state in words; of one that this version does not know, that it is so."""
    words: Msg = STATES.get(state, Msg("unknown"))
    return words


def get(request: Request) -> Page:
    """Return the parts list."""
    id = request.parts[1]
    opening = request.opening(id)
    state = request.state(id)
    listed = state.parts()
    here = len([1 for _, stated in listed if stated is not None and _is_here(stated)])
    back = common.page_link(common.path_of(id), request.say(Msg("Opening")))
    context = {
        "page": common.page_frame(request, request.say(Msg("Parts")), opening, back),
        "sum": request.say(Msg("{here} of {total} here", here=here, total=len(listed))),
        "all": at_once.act_shown(request, state, "parts.stated", at_once.unsaid_parts(state)),
        "parts": [_part_line(request, state, part, stated) for part, stated in listed],
    }
    return Page("field/parts.html", context)


def _is_here(stated: Json) -> bool:
    return bool(stated["body"]["state"] == "here")


def _part_line(request: Request, state: State, part: Json, stated: "Json | None") -> Json:
    now = stated["body"]["state"] if stated is not None else ""
    name = "part-" + part["mark"]
    form = request.make_form(name, "state", state, ("state", "words", "count"), mark=part["mark"])
    chosen = form["typed"]["state"] or now
    bars = request.say(Msg("bars {step}", step=part["step"])) if part["step"] else ""
    return {
        "id": form["id"],
        "form": form,
        "mark": part["mark"],
        "what": part["what"],
        "count": str(part["count"]),
        "step": bars,
        "state": now,
        "state_text": request.say(state_words(now)) if now else "",
        "choices": [
            common.form_choice(state_name, request.say(STATES[state_name]), state_name == chosen)
            for state_name in ("here", "short", "damaged", "wrong")
        ],
        "by": common.who_when(request, stated) if stated is not None else "",
        "words": stated["body"].get("words", "") if stated is not None else "",
    }


def post_state(request: Request) -> Page:
    """Keep what was said of a part."""
    id = request.parts[1]
    marks = [part["mark"] for part, _ in request.state(id).parts()]
    if request.typed("mark") not in marks:
        raise InputError("part-unknown", Msg("There is no such line on the parts list."))
    said = request.typed("state")
    if said not in STATES:
        raise InputError("choice-missing", Msg("Choose: here, short, damaged or wrong part."))
    words = _words_of(request)
    if said != "here" and not words:
        raise InputError(
            "words-missing",
            Msg("Say what is short, damaged or wrong, so that the office can reorder."),
        )
    body = {"mark": request.typed("mark"), "state": said}
    if words:
        body["words"] = words
    return Page(location=request.path, drafts=[event_draft(request, id, "part.stated", body)])


def _words_of(request: Request) -> str:
    """Return what was said of a line: how many are here and right, as typed, and the note."""
    here, words = request.typed("count"), request.typed("words")
    if not here:
        return words
    if not are_digits(here):
        raise InputError("count-unfit", Msg("How many are here: type a whole number, like 10."))
    counted = request.say(Msg("{here} here and right", here=here))
    return counted + ": " + words if words else counted


def post_all(request: Request) -> Page:
    """Keep that all parts are here of which nobody has said anything."""
    id = request.parts[1]
    state = request.state(id)
    body = {"marks": at_once.unsaid_parts(state), "state": "here"}
    return at_once.keep_all(request, id, state, "parts.stated", body)


def post_undo_all(request: Request) -> Page:
    """Take back what was said of all parts at once."""
    id = request.parts[1]
    return at_once.undo_all(request, id, request.state(id), "parts.stated")


POSTS = {"state": post_state, "all": post_all, "undo-all": post_undo_all}
