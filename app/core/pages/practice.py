"""/field/o/ID/practice: what an instrument shows in practice, and what came of it in the end."""

from app.core.errors import RefusedError
from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Page, Request, amount_of
from app.core.pictures.shown import draw_scale
from app.core.quantity.messages import Msg, Plural
from app.core.record.debrief import (
    FaultStory,
    Misread,
    fault_stories,
    is_over,
    misreads,
    step_named,
)
from app.core.record.practised import Simulated, at_table, division
from app.core.record.state import State
from app.core.where.place import Place


def shown_reading(
    request: Request, state: State, point: Json, panel: str, place: Place
) -> "Json | None":
    """Return what the instrument shows at a place in practice at a table; None elsewhere."""
    if not at_table(state):
        return None
    if point["quantity"] == "yes-no":
        return _in_words(request, Msg("Practice: all there is as it should be."))
    value = Simulated(state).shown(point["id"], panel, place, request.units)
    if value is None:
        return _in_words(request, Msg("Practice: nothing is simulated here. Enter what you like."))
    if point["quantity"] == "length":
        scale = draw_scale(value, division(point, request.units), request.speaker)
        return {"text": "", "picture": scale}
    return _in_words(request, Msg("The instrument shows {size}.",
                                  size=amount_of(point["quantity"], value)))  # fmt: skip


def _in_words(request: Request, words: Msg) -> Json:
    return {"text": request.say(words), "picture": None}


def get(request: Request) -> Page:
    """Return the debrief, once the trainee has signed every step or the office has reviewed it."""
    id = request.parts[1]
    state = request.state(id)
    if state.practice is None or not is_over(state):
        raise RefusedError("not-over", Msg("The debrief opens once every step is signed."))
    back = common.page_link(common.path_of(id), request.say(Msg("Opening")))
    page = common.page_frame(request, request.say(Msg("Debrief")), request.opening(id), back)
    context = debrief_shown(request, state)
    context["page"] = page
    return Page("field/practice.html", context)


def debrief_shown(request: Request, state: State) -> Json:
    """Return the debrief for a template: each fault with what came of it; readings read wrong."""
    stories, wrong = fault_stories(state), misreads(state)
    found = len([one for one in stories if one.out])
    mended = len([one for one in stories if one.mended])
    count = Plural(
        "{count} fault was planted: {found} found, {mended} put right.",
        "{count} faults were planted: {found} found, {mended} put right.",
    ).of(len(stories), found=found, mended=mended)
    none = Msg("No fault was planted in this door.")
    return {
        "sum": request.say(count if stories else none),
        "faults": [
            _fault_shown(request, state, number + 1, stories[number])
            for number in range(len(stories))
        ],
        "misreads": [_misread_shown(request, state, one) for one in wrong],
        "simulated": at_table(state),
    }


def _fault_shown(request: Request, state: State, number: int, story: FaultStory) -> Json:
    lines = [_found_words(state, story), _mended_words(story)]
    for key in story.signed:
        step = step_named(state, key)
        if step is not None:
            lines.append(Msg("Step {step} {title} was signed while it stood.",
                             step=step.id, title=step.title))  # fmt: skip
    return {
        "number": str(number),
        "title": request.say(story.fault.words()),
        "lines": [request.say(line) for line in lines],
    }


def _found_words(state: State, story: FaultStory) -> Msg:
    if not story.out:
        if not story.asked:
            return Msg("Not found: nothing was asked at this depth where it shows.")
        return Msg("Not found: no check that was read came out.")
    checks = [Msg(check["title"]) for check in story.out]
    if story.reading is None:
        return Msg("Found: {checks} OUT.", checks=checks)
    body = story.reading["body"]
    return Msg(
        "Found: {checks} OUT. It shows most in {point}, {place}: {size}.",
        checks=checks,
        point=Msg(state.point(body["point"])["title"]),
        place=_place_title(state, body),
        size=amount_of(body["quantity"], int(body["value"])),
    )


def _place_title(state: State, body: Json) -> "Msg | str":
    for place in state.places(body["point"], body["panel"]):
        if place.id == body["place"]:
            return place.title
    return str(body["place"])


def _mended_words(story: FaultStory) -> Msg:
    if not story.rounds:
        return Msg("Not put right.")
    words = Plural("Put right in {count} round.", "Put right in {count} rounds.")
    left = Plural(
        "{count} round, and still out or not measured again.",
        "{count} rounds, and still out or not measured again.",
    )
    return (words if story.mended else left).of(story.rounds)


def _misread_shown(request: Request, state: State, wrong: Misread) -> Json:
    body = wrong.event["body"]
    quantity = body["quantity"]
    words = Msg(
        "entered {entered}, the instrument showed {shown}",
        entered=amount_of(quantity, int(body["value"])),
        shown=amount_of(quantity, wrong.shown),
    )
    off = Msg("{size} too much", size=amount_of(quantity, wrong.off))
    if wrong.off < 0:
        off = Msg("{size} too little", size=amount_of(quantity, -wrong.off))
    title = Msg(state.point(body["point"])["title"])
    return {
        "title": request.say(Msg("{point}, {place}", point=title, place=wrong.place.title)),
        "text": request.say(words),
        "off": request.say(off),
    }
