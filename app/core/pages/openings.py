"""/field: the openings to be set, each with how far it is."""

from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Page, Request
from app.core.record.events import has_seen
from app.core.record.gate import sign_of
from app.core.record.state import State, step_title
from app.core.words import Msg


def get(request: Request) -> Page:
    """Return the list of openings, one group a job."""
    groups: list[Json] = []
    for opening in request.book["openings"]:
        group = _group(groups, opening)
        group["openings"].append(card(request, opening, common.path_of(opening["id"])))
    empty = (
        ""
        if groups
        else request.say(Msg("No opening is on your list yet. The office puts them there."))
    )
    page = common.frame(request, request.say(Msg("Openings")))
    return Page("field/list.html", {"page": page, "groups": groups, "empty": empty})


def _group(groups: "list[Json]", opening: Json) -> Json:
    for group in groups:
        if group["id"] == opening["job"]:
            return group
    made: Json = {"id": opening["job"], "title": opening["job_title"], "openings": []}
    groups.append(made)
    return made


def card(request: Request, opening: Json, href: str) -> Json:
    """Return an opening as it stands on a list."""
    told = told_of(request, opening["id"])
    steps = told["steps"]
    done = len([step for step in steps if step["state"] == "signed"])
    progress = Msg("{done} of {total} steps signed", done=done, total=len(steps))
    return {
        "href": href,
        "letter": opening["letter"],
        "room": opening["room"],
        "address": opening["address"],
        "door": request.say(common.door_text(told["door"], told["panels"], told["letters"])),
        "progress": request.say(progress),
        "next": request.say(_next(told["next"])) if told["next"] else "",
        "state": told["state"],
        "state_text": request.say(_STATES[told["state"]]),
        "scale": [_tick(request, step) for step in steps],
    }


def told_of(request: Request, id: str) -> Json:
    """Return how an opening stands: as it was told, or worked out and told from now on."""
    if id not in request.summaries:
        request.summaries[id] = summary(request.state(id))
    found: Json = request.summaries[id]
    return found


def summary(state: State) -> Json:
    """Return how an opening stands, in no language: what its line on the list is made of."""
    following = common.next_step(state)
    drawing = state.drawing
    return {
        "door": drawing.data.get("door", ""),
        "panels": len(drawing.panels),
        "letters": drawing.configuration,
        "steps": [{"key": s.key, "state": common.step_state(state, s)} for s in state.steps],
        "next": {"id": following.id, "title": following.data["title"], "panel": following.panel}
        if following is not None
        else None,
        "state": opening_state(state),
    }


def _next(step: Json) -> Msg:
    title = step_title(step["title"], step["panel"])
    return Msg("Next: {id} {title}", id=step["id"], title=title)


def _tick(request: Request, step: Json) -> Json:
    words = Msg("{step}: {state}", step=step["key"], state=common.STEP_WORDS[step["state"]])
    return {"id": step["key"], "state": step["state"], "text": request.say(words)}


_STATES = {
    "new": Msg("not begun"),
    "open": Msg("under way"),
    "broken": Msg("a sign-off is broken"),
    "disputed": Msg("a sign-off is disputed"),
    "signed": Msg("all signed: waits for the office"),
    "returned": Msg("returned by the office"),
    "done": Msg("accepted"),
}


def opening_state(state: State) -> str:
    """Return where an opening is: new, open, broken, disputed, signed, returned or done."""
    review = state.review()
    kinds = [common.sign_state(state, step) for step in state.steps]
    if "broken" in kinds or "disputed" in kinds:
        returned = review is not None and review["body"]["result"] == "returned"
        return "returned" if returned else ("broken" if "broken" in kinds else "disputed")
    if all([kind == "signed" for kind in kinds]):
        return "done" if _accepts(state, review) else "signed"
    return "new" if len(state.ledger.events) <= 1 else "open"


def _accepts(state: State, review: "Json | None") -> bool:
    """Return whether the office accepted every sign-off that stands: one made since waits again."""
    if review is None or review["body"]["result"] != "accepted":
        return False
    signs = [sign_of(state, step) for step in state.steps]
    return all([sign is not None and has_seen(review, sign.event) for sign in signs])
