"""After a night: the cards that ask again what was signed, and the one that says what moved."""

from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Page, Request
from app.core.pages.step import moved_words
from app.core.pictures import drawings
from app.core.quantity.messages import Len, Msg, When
from app.core.record.nights import Repeat, repeats_left, repeats_of_day
from app.core.record.standing import next_step
from app.core.record.state import State

MOST_MOVES = 3


def card_first(request: Request, id: str, state: State) -> "Page | None":
    """Return the way to what is read again first; None where the card that was asked for comes.

    It comes before a step's first card, and after another one of them, unless that one has moved.
    What is put off (`after`) or named is not held up.
    """
    kept = repeat_kept(request, state)
    if kept is not None and not kept.has_moved:
        return Page(location=_onward(request, id, state))
    begins = not request.query and not request.form and request.trouble is None
    if begins and next_step(state) is not None and repeats_left(state, request.now[:10]):
        return Page(location=_onward(request, id, state))
    return None


def _onward(request: Request, id: str, state: State) -> str:
    left = repeats_left(state, request.now[:10])
    return _path_to(id, left[0]) if left else common.card_path(id)


def _path_to(id: str, repeat: Repeat) -> str:
    query = "?point=" + repeat.point + "&place=" + repeat.place.id
    return common.card_path(id, repeat.step) + query


def repeat_kept(request: Request, state: State) -> "Repeat | None":
    """Return what was read again just now, by the entry that the address names; or None."""
    for repeat in repeats_of_day(state, request.now[:10]):
        if repeat.again is not None and repeat.again["id"] == request.query.get("kept", ""):
            return repeat
    return None


def ask_for_information(request: Request, state: State, point: str, place: str, card: Json) -> None:
    """Let the card of a reading ask it for information, where that is what the night asks."""
    every = repeats_of_day(state, request.now[:10])
    asked = [one for one in every if (one.point, one.place.id) == (point, place)]
    if not asked:
        return
    form = card["entry"]["form"]
    form["hidden"].append({"name": "info", "value": "yes"})
    form["typed"]["words"] = form["typed"]["words"] or request.say(Msg("after a night"))
    card["entry"]["again"] = ""  # who knows what was read reads it again
    card["entry"]["nth"] = ""
    card["before"] = ""
    card["wanted"] = [request.say(_limit_words(asked[0]))]
    card["stale"] = request.say(Msg("After a night, before you go on: has it moved?"))
    onward = next_step(state)
    card["cannot"] = common.card_path(request.parts[1], onward) + "?after=night"


def moved_shown(request: Request, id: str, state: State, repeat: Repeat, event: Json) -> Json:
    """Return what a card says of a place that has moved: by how much, and which step to look at."""
    look = Msg(
        "Look at step {id} {title} before you go on. Say there what was moved.",
        id=repeat.step.id,
        title=repeat.step.title,
    )
    return {
        "says": request.say(moved_text(repeat)),
        "why": [request.say(Msg(repeat.night["reason"]))] if repeat.night["reason"] else [],
        "remedies": [request.say(look)],
        "limit": request.say(_limit_words(repeat)),
        "basis": request.say(Msg("company limit, no published standard")),
        "spot": drawings.place_picture(state.drawing, repeat.place, request.speaker),
        "again": _path_to(id, repeat),
        "planned": None,
        "moves": _moves_of(request, state, repeat),
        "onward": _onward(request, id, state),
        "check": common.step_path(id, repeat.step),
        "ask_office": common.path_of(id, "queries")
        + "?step="
        + repeat.step.key.replace(":", "-")
        + "&reading="
        + event["id"],
    }


def _limit_words(repeat: Repeat) -> Msg:
    return Msg("at most {size} moved", size=Len(int(repeat.night["most"]["value"])))


def moved_text(repeat: Repeat) -> Msg:
    """Return by how much a place has moved, and since when."""
    size, since = Len(abs(repeat.change)), When(repeat.since)
    if repeat.change > 0:
        return Msg("{size} more than on {day}: it has moved.", size=size, day=since)
    return Msg("{size} less than on {day}: it has moved.", size=size, day=since)


def _moves_of(request: Request, state: State, repeat: Repeat) -> "list[Json]":
    """Return a form for each adjustment of the step that asks this point again, up to three."""
    step = repeat.step
    moves = [one for one in step.data["adjustments"] if repeat.point in one["stale"]]
    return [
        {
            "text": request.say(moved_words(state, step, move, "")),
            "form": request.make_form(
                "move-" + move["id"], "adjust", state, (), adjustment=move["id"], at=""
            ),
        }
        for move in moves[:MOST_MOVES]
    ]
