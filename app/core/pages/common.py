"""The pieces that every field page is put together from."""

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.pages.request import Request
from app.core.quantity.messages import Msg, Plural, When
from app.core.record.course import things_left, things_of
from app.core.record.gate import Sign, holds_before, sign_of
from app.core.record.judge import asked_points
from app.core.record.standing import step_state
from app.core.record.state import State, Step
from app.core.trade.door_systems import system_words

VERDICT_WORDS = {
    "within": Msg("within"),
    "unreachable": Msg("could not be reached"),
    "close": Msg("too close to call"),
    "missing": Msg("not measured"),
    "out": Msg("OUT"),
    "conflict": Msg("readings disagree"),
    "info": Msg("for information"),
    "none": Msg(""),
}


STEP_WORDS = {
    "signed": Msg("signed"),
    "ready": Msg("ready to sign"),
    "open": Msg("open"),
    "barred": Msg("barred"),
    "broken": Msg("sign-off broken"),
    "disputed": Msg("sign-off disputed"),
}


# A paired phone is nobody's session: what is on it stays, and its pairing is ended at the office.
_SIGN_OUT = {"id": "sign-out", "action": "/sign-out", "hidden": [], "error": "", "typed": {}}


PRACTICE = Msg("Practice: not a door that is set")


def practice_words(request: Request, opening: str) -> str:
    """Return the words that stand over each page of an opening to practise on, "" for others."""
    try:
        practice = request.state(opening).practice
    except AppError:  # not issued yet, or it cannot be read: what is wrong is said elsewhere
        return ""
    return request.say(PRACTICE) if practice is not None else ""


def page_frame(
    request: Request, title: str, opening: "Json | None" = None, back: "Json | None" = None
) -> Json:
    """Return the `page` part of a context: title, where we are, who is signed in."""
    where = None
    if opening is not None:
        where = {
            "letter": opening["letter"],
            "room": opening["room"],
            "address": opening["address"],
            "href": path_of(opening["id"]),
            "back": back,
        }
        title = title + " · " + opening["letter"] + " " + opening["room"]
    return {
        "lang": request.person.get("lang", "en"),
        "title": title,
        "where": where,
        "person": request.person["name"],
        "nav": request.tabs,
        "sign_out": None if request.phone else _SIGN_OUT,
        "notices": [],
        "practice": practice_words(request, opening["id"]) if opening is not None else "",
    }


def page_notice(kind: str, text: str, words: str = "", href: str = "", link: str = "") -> Json:
    """Return a line of `page.notices`; kind is good, warn, stop or plain."""
    return {"kind": kind, "text": text, "words": words, "href": href, "link": link}


def path_of(opening: str, *more: str) -> str:
    """Return the path of an opening's page."""
    return "/".join(["/field/o", opening] + [part for part in more if part])


def step_path(opening: str, step: Step) -> str:
    """Return the path of a step's page."""
    return path_of(opening, "step", step.key.replace(":", "-"))


def onward_link(request: Request, opening: str, step: Step) -> Json:
    """Return the way to the cards of the step that comes next."""
    title = Msg("Go on: {id} {title}", id=step.id, title=step.title)
    return page_link(card_path(opening, step), request.say(title))


def card_path(opening: str, step: "Step | None" = None) -> str:
    """Return the path of the card of what comes next, in a step or in the opening."""
    return path_of(opening, "next", step.key.replace(":", "-") if step is not None else "")


def point_path(opening: str, point: str, panel: str) -> str:
    """Return the path where a point is measured."""
    return path_of(opening, "point", point, panel)


def page_link(href: str, text: str) -> Json:
    """Return a link for a template."""
    return {"href": href, "text": text}


BY_PIN = Msg("confirmed by PIN on a shared phone")


def verdict_badge(request: Request, kind: str) -> Json:
    """Return a verdict's badge: its kind (for the picture) and its word."""
    shown = "out" if kind == "conflict" else kind
    return {"kind": shown, "word": request.say(VERDICT_WORDS[kind])}


def form_choice(value: str, text: str, chosen: bool = False) -> Json:
    """Return one choice of a select, a radio group or a row of buttons."""
    return {"value": value, "text": text, "chosen": chosen}


def remark_of(text: str, words: str = "") -> Json:
    """Return a remark: our text, and what a person wrote."""
    return {"text": text, "words": words}


def labelled_fact(label: str, words: str, hint: str = "") -> Json:
    """Return a labelled value; one that is not given says so in the template."""
    return {"label": label, "words": words, "given": bool(words), "hint": hint}


def time_words(request: Request, at: str) -> str:
    """Return a claimed wall time as people read it: "2 Mar 2026, 14:05"; as claimed if odd."""
    return request.say(When(at))


def who_when(request: Request, event: Json) -> str:
    """Return "Name, 2 Mar 2026, 14:05" for an event."""
    words = Msg("{who}, {when}", who=request.name(event["person"]), when=When(event["at"]))
    return request.say(words)


def done_by(request: Request, event: Json, done_at: str) -> str:
    """Return who ticked a task and when; where they typed when it was done, that too."""
    who = who_when(request, event)
    if not done_at:
        return who
    return request.say(Msg("{who}; done {then}", who=who, then=When(done_at)))


def count_measured(state: State, step: Step) -> "tuple[int, int]":
    """Return how many places of a step have an answer, and how many there are."""
    done = total = 0
    for point in asked_points(state, step):
        if point.get("info"):
            continue
        kept = state.panel_for(point["id"], step.panel)
        here = state.places(point["id"], kept)
        total += len(here)
        done += len([p for p in here if state.readings(point["id"], kept, p.id)])
    return done, total


def count_ticks(state: State, step: Step) -> "tuple[int, int]":
    """Return how many tasks of a step are ticked, and how many there are."""
    tasks = state.tasks(step)
    return len([t for t in tasks if state.task_done(step.key, t) is not None]), len(tasks)


def step_row(request: Request, opening: str, state: State, step: Step, next_key: str) -> Json:
    """Return a line of the list of steps."""
    kind = step_state(state, step)
    sign = sign_of(state, step)
    return {
        "id": step.id,
        "title": request.say(step.title),
        "href": step_path(opening, step),
        "state": kind,
        "state_text": request.say(_done_words(state, step))
        if kind in ("open", "ready")
        else state_text(request, state, step, kind),
        "hold": step.hold and kind != "signed",  # then it holds nothing any more
        "next": step.key == next_key,
        "why": [request.say(words) for words in why_not(sign)],
        "notes": [],
    }


def _done_words(state: State, step: Step) -> Msg:
    """Return how far a step is, counted as its cards count it."""
    total = len(things_of(state, step))
    done = total - len(things_left(state, step))
    return Msg("Done: {done} of {total}", done=done, total=total)


def why_not(sign: "Sign | None") -> "list[Msg]":
    """Return why a sign-off is broken or disputed; empty where it is good or absent."""
    if sign is None:
        return []
    if not sign.true:
        return [Msg("When it was signed, the gate was not open.")] + sign.why
    return sign.why


def state_text(request: Request, state: State, step: Step, kind: str) -> str:
    """Return where a step is, in words that need no page around them."""
    sign = sign_of(state, step)
    if sign is not None and kind == "signed":
        return request.say(Msg("signed: {who}", who=who_when(request, sign.event)))
    if kind == "broken":
        return request.say(Msg("sign-off broken: sign again"))
    if kind == "disputed":
        return request.say(Msg("sign-off disputed"))
    if kind == "barred":
        return request.say(holds_before(state, step)[0].message)
    return _counted_words(request, state, step)


def _counted_words(request: Request, state: State, step: Step) -> str:
    done, total = count_measured(state, step)
    ticked, tasks = count_ticks(state, step)
    words = Msg(
        "{done} of {total} readings, {ticked} of {tasks} tasks",
        done=done, total=total, ticked=ticked, tasks=tasks,
    )  # fmt: skip
    return request.say(words)


def progress_words(request: Request, state: State) -> str:
    """Return "4 of 13 signed"."""
    done = len([step for step in state.steps if step_state(state, step) == "signed"])
    return request.say(Msg("{done} of {total} signed", done=done, total=len(state.steps)))


def door_words(state: State) -> "Msg":
    """Return the door in words: kind, panels, configuration seen from outside."""
    drawing = state.drawing
    return door_text(drawing.data.get("door", ""), len(drawing.panels), drawing.configuration)


def door_text(door: str, panels: int, letters: str) -> "Msg":
    """Return a door in words: its kind, how many panels, configuration seen from outside."""
    return Plural(
        "{door}, {count} panel, {letters} seen from outside",
        "{door}, {count} panels, {letters} seen from outside",
    ).of(panels, door=system_words(door), letters=letters)
