"""/field/o/ID~VISIT: a service visit: what to measure, what has moved, what to turn; signing.

The readings themselves are taken on the cards and points of the door's own steps (visits.py).
"""

from app.core.errors import InputError, RefusedError
from app.core.kinds import Any, Json
from app.core.pages import common, history, person, photo, tap_cards
from app.core.pages.request import VISIT, Page, Request, amount_of, event_draft
from app.core.pictures import drawings
from app.core.quantity.messages import Len, Msg, Plural
from app.core.record import visits
from app.core.record.judge import Result
from app.core.record.state import State, Step
from app.core.record.visits import Move

STATEMENT = Msg("I measured what stands here, and did what I wrote down.")
OTHER_TRACES = {
    "use": Msg("How the door is used or cleaned"),
    "house": Msg("The house has moved, or the weather"),
    "unclear": Msg("Not clear yet"),
}
LEFT = Plural("{count} place still to measure", "{count} places still to measure")
PHOTO = "visit"  # stands for a task where a visit's photo is kept


def get(request: Request) -> Page:
    """Return a visit's page."""
    if request.parts[2:3] not in ([], ["step"]):
        return Page(location=common.path_of(request.parts[1]))
    id = request.parts[1]
    own, _, visit = id.partition(VISIT)
    state, visited = request.state(own), request.state(id)
    signed = visits.signed_of(state, visit)
    moves = visits.moves_of(state, visited)
    rows = [move_shown(request, state, number, move) for number, move in enumerate_from_one(moves)]
    left = visits.places_left(visited) if signed is None else []
    opening = request.opening(id)
    back = common.page_link(common.path_of(own, "visit"), request.say(Msg("Service visits")))
    context = {
        "page": common.page_frame(request, request.say(Msg("Service visit")), opening, back),
        "why": common.remark_of(
            request.say(Msg("Begun by {who}", who=common.who_when(request, _begun(visited)))),
            _begun(visited)["body"]["words"],
        ),
        "measure": None,
        "moves": [row for row in rows if row["first"]],
        "others": [row for row in rows if not row["first"]],
        "picture_of": moves_picture(request, visited, moves),
        "trend": request.say(trend_words(moves)),
        "plan": _plan_shown(request, id, visited) if signed is None else None,
        "out": [_out_line(request, step, result) for step, result in visits.checks_out(visited)],
        "photos": _photos_shown(request, visited, signed is None),
        "signed": _signed_shown(request, state, signed),
        "sign": None if signed is not None or left else _sign_form(request, visited),
    }
    if left:
        words = request.say(LEFT.of(len(left)))
        context["measure"] = common.page_link(common.card_path(id, left[0][0]), words)
    return Page("field/visit.html", context)


def _begun(visited: State) -> Json:
    begun: Json = visited.visit or {}
    return begun


def enumerate_from_one(moves: "list[Move]") -> "list[tuple[int, Move]]":
    """Return the moves with their numbers, as list and picture have them."""
    return [(number + 1, moves[number]) for number in range(len(moves))]


def move_shown(request: Request, state: State, number: int, move: Move) -> Json:
    """Return a line of what was measured: as left, as found, the difference, and left now."""
    title, place = request.say(Msg(move.point["title"])), request.say(move.place.title)
    before = ""
    if move.before is not None:
        before = history.value_text(request, move.before.event, state)
    change = ""
    if move.change is not None:
        amount: Any = amount_of(move.point["quantity"], abs(move.change))
        if move.point["quantity"] == "length":  # finer than lengths are shown: it is a difference
            amount = Len(abs(move.change), grain=history.FINEST[request.units])
        words = Msg("+{size}") if move.change > 0 else Msg("−{size}")
        change = request.say(Msg(words.template, size=amount)) if move.change else "0"
    return {
        "number": str(number),
        "point": title,
        "place": place if place != title else "",
        "before": before,
        "found": history.value_text(request, move.found.event, state),
        "change": change,
        "now": history.value_text(request, move.now.event, state)
        if move.now is not move.found
        else "",
        "first": move.is_as_left or move.is_moved,
        "moved": move.is_moved,
    }


def moves_picture(request: Request, visited: State, moves: "list[Move]") -> "Json | None":
    """Return the door with each place that moved, by its number; None where nothing did."""
    marked = [(number, move.place) for number, move in enumerate_from_one(moves) if move.is_moved]
    return drawings.marked_places(visited.drawing, marked, request.speaker) if marked else None


def trend_words(moves: "list[Move]") -> Msg:
    """Return in a sentence whether the door has moved since it was handed over."""
    if not moves:
        return Msg("Nothing measured yet.")
    moved = len([move for move in moves if move.is_moved])
    if not moved:
        return Msg("Nothing has moved by {size} or more.", size=Len(visits.MOVED))
    words = Plural(
        "{count} place has moved since the handover.",
        "{count} places have moved since the handover.",
    )
    return words.of(moved)


def _plan_shown(request: Request, id: str, visited: State) -> "Json | None":
    """Return what the door model says to turn: the first check out that has a plan, or None."""
    for step, _result in visits.checks_out(visited):
        out = tap_cards.out_of_step(request, id, visited, step)
        if out is not None and out["remedies"]:
            out["card"] = common.card_path(id, step)
            return out
    return None


def _out_line(request: Request, step: Step, result: Result) -> Json:
    words = Msg("{step} {check}", step=step.key, check=Msg(result.check["title"]))
    return {
        "text": request.say(words),
        "badge": common.verdict_badge(request, result.verdict),
        "says": [request.say(one) for one in result.outcome.says[:1]],
    }


def _photos_shown(request: Request, visited: State, goes_on: bool) -> Json:
    step = visited.steps[-1]
    form = None
    if request.phone and goes_on:
        form = request.make_form("photo", "photo", visited, ())
    return {
        "taken": photo.photos_of_task(request, visited, step, PHOTO),
        "form": form,
        "none": not request.phone,
    }


def _sign_form(request: Request, visited: State) -> Json:
    form = request.make_form("sign", "sign", visited, ("words", "trace", "confirm"))
    chosen = form["typed"]["trace"]
    choices = [(step["id"], Msg("{id} {title}", id=step["id"], title=Msg(step["title"])))
               for step in visited.procedure["steps"]]  # fmt: skip
    choices += [(key, OTHER_TRACES[key]) for key in visits.OTHER_TRACES]
    return {
        "form": form,
        "statement": request.say(STATEMENT),
        "traces": [
            common.form_choice(key, request.say(words), key == chosen) for key, words in choices
        ],
        "likely": request.say(_likely_words(visited)),
        "name": request.person["name"],
        "shared": person.is_shared(request),
        "pin": person.has_pin(request, request.person["id"]),
    }


def _likely_words(visited: State) -> Msg:
    """Return which steps move what is out now, as the procedure has it."""
    steps: list[str] = []
    for step, _result in visits.checks_out(visited):
        if step.id not in steps:
            steps.append(step.id)
    return Msg("Out now: checks of step {steps}.", steps=steps) if steps else Msg("")


def _signed_shown(request: Request, state: State, signed: "Json | None") -> "Json | None":
    if signed is None:
        return None
    return {
        "text": request.say(Msg("Signed by {who}", who=common.who_when(request, signed))),
        "words": signed["body"]["words"],
        "trace": request.say(trace_words(state.procedure, signed["body"]["trace"])),
    }


def trace_words(procedure: Json, trace: str) -> Msg:
    """Return in words what a visit's trouble comes from, as its crew said."""
    for step in procedure["steps"]:
        if step["id"] == trace:
            return Msg("{id} {title}", id=trace, title=Msg(step["title"]))
    return OTHER_TRACES.get(trace, OTHER_TRACES["unclear"])


def post_photo(request: Request) -> Page:
    """Keep a photo of the visit."""
    id = request.parts[1]
    step = request.state(id).steps[-1]
    body = photo.photo_body(request, step, PHOTO)
    draft = event_draft(request, id, "photo.taken", body)
    return Page(location=common.path_of(id) + "#photos", drafts=[draft])


def post_sign(request: Request) -> Page:
    """Sign a visit: all that it asks is measured, and its crew says what was done and why."""
    id = request.parts[1]
    own, _, visit = id.partition(VISIT)
    state, visited = request.state(own), request.state(id)
    if state.ledger.by_id.get(request.form.get("id", "")) is None:
        left = visits.places_left(visited)
        if left or visits.signed_of(state, visit) is not None:
            words = LEFT.of(len(left)) if left else Msg("This service visit is signed.")
            raise RefusedError("visit-open", words)
        if request.typed("confirm") != "yes":
            raise InputError("confirm-missing", Msg("Tick the statement first, then sign."))
        if person.is_shared(request):
            person.must_be_right(request, request.person["id"])
    trace = request.typed("trace")
    if trace not in [step["id"] for step in state.procedure["steps"]] + list(visits.OTHER_TRACES):
        raise InputError("choice-missing", Msg("Choose where the trouble comes from."))
    body = {
        "visit": visit,
        "words": request.required("words", Msg("Say what was found, and what was done.")),
        "trace": trace,
        "covers": [event["id"] for event in visits.entries_of(state, visit)],
    }
    if person.is_shared(request):
        body["confirmed"] = "pin"
    draft = event_draft(request, own, "visit.signed", body)
    return Page(location=common.path_of(id), drafts=[draft])


POSTS = {"sign": post_sign, "photo": post_photo}
