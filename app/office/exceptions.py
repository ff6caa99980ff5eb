"""What a review must look at: everything that is not simply within, each thing once, gravest first.

Each is {"id": of its element, "number": on the drawing, "kind", "step", "title", "badge" (a
verdict's, or None), "says", "limit", "done" (remarks), "more" (of those, folded: text and done, or
None), "href", "return_href", "result" (a check's, or None)} and the forms that settle it:
"concede", "deny". A check that is within, a task that is ticked: those are no exception.
"""

from statistics import median
from urllib.parse import urlencode

from app.core.kinds import Json
from app.core.pages import common, photo, results
from app.core.pages.nights import moved_text
from app.core.pages.request import Request
from app.core.quantity.messages import Msg, Plural
from app.core.quantity.speaker import LANGUAGES, Speaker
from app.core.record import gate, judge
from app.core.record.judge import CONFLICT, Result
from app.core.record.nights import Repeat, repeats_moved
from app.core.record.state import State, Step
from app.core.trade.verdicts import CLOSE, OUT, UNREACHABLE
from app.core.where.place import Place
from app.homeowner.tables import step_photos
from app.words.catalogs import catalog

RANKS = {
    "supervisor": Msg("A supervisor may concede this, in writing."),
    "author": Msg(
        "Only with the written answer of the drawing's author or the engineer: say who, and when."
    ),
}
MOST_PHOTOS = 3  # that are missing, before they are folded away
_MORE_PHOTOS = Plural("{count} more photo", "{count} more photos")
_GRAVITY = (OUT, CONFLICT, CLOSE, UNREACHABLE)


def exceptions_of(request: Request, id: str, state: State) -> list[Json]:
    """Return all that a reviewer must look at before accepting."""
    broken = [_broken_sign(request, id, step, state) for step in state.steps]
    checks = [
        (result, _excepted_check(request, id, state, step, result))
        for step in state.steps
        for result in judge.results_of(state, step)
        if is_exception(result)
    ]
    checks.sort(key=lambda pair: _gravity(pair[0]))
    moved = [_moved_place(request, id, repeat) for repeat in repeats_moved(state)]
    photos = _missing_photos(request, state)
    every = [*broken, *(one for _, one in checks), *moved, photos]
    return [one for one in every if one is not None]


def is_exception(result: Result) -> bool:
    """Return whether a check is to be looked at: not within, or settled by somebody's word."""
    by_word = result.conceded or result.provisional or result.settled_by
    return result.verdict in _GRAVITY or by_word is not None


def _gravity(result: Result) -> tuple[bool, int]:
    worst = _GRAVITY.index(result.verdict) if result.verdict in _GRAVITY else len(_GRAVITY)
    return (result.settled and result.provisional is None, worst)


def _exception(id: str, kind: str, step: str, title: str, href: str) -> Json:
    return {
        "id": id,
        "number": "",
        "result": None,
        "kind": kind,
        "step": step,
        "title": title,
        "href": href,
        "badge": None,
        "says": [],
        "limit": "",
        "done": [],
        "more": None,
        "concede": None,
        "deny": None,
        "return_href": "",
    }


def return_href(step: Step, points: "list[str] | tuple[()]" = ()) -> str:
    """Return the address of the form that returns an opening at a step, these points chosen."""
    return "?" + urlencode({"return": step.key, "again": " ".join(points)}) + "#return"


def check_anchor(step: Step, check: str) -> str:
    """Return the id of a check's element on the review page."""
    return f"check-{step.key.replace(':', '-')}-{check}"


def _excepted_check(request: Request, id: str, state: State, step: Step, result: Result) -> Json:
    told = results.check_words(request, id, state, step, result)
    anchor = check_anchor(step, result.check["id"])
    out = _exception(anchor, "check", step.key, told["title"], common.step_path(id, step))
    out["result"] = result
    out.update({name: told[name] for name in ("badge", "says", "limit", "done")})
    here = [point["id"] for point in step.data["points"]]
    again = [point for point in judge.needed_points(result.check) if point in here]
    out["return_href"] = return_href(step, again)
    out["concede"] = _concession_form(request, state, step, result)
    out["deny"] = _denial_form(request, state, step, result)
    return out


def worst_place(state: State, result: Result) -> Place | None:
    """Return the place of a result's reading that is farthest from the median of all of them.

    Among equals the last, as of a jamb that leans it is the top that is moved. None where none of
    them is at a place of the door as it is seen from outside.
    """
    bodies = [state.ledger.by_id[id]["body"] for id in reversed(result.readings)]
    figures = {body["place"]: int(body["value"]) for body in bodies if "value" in body}
    middle = median(figures.values()) if figures else 0
    for body in sorted(bodies, key=lambda b: -abs(figures.get(b["place"], middle) - middle)):
        for place in state.places(body["point"], body["panel"]):
            if place.id == body["place"] and place.x is not None:
                return place
    return None


def _concession_form(request: Request, state: State, step: Step, result: Result) -> Json | None:
    rank = result.check["rank"]
    if result.verdict not in (OUT, CLOSE) or result.conceded is not None or rank not in RANKS:
        return None
    given = _given_by_voice(request, result)
    form = request.make_form(
        "concede-" + step.key + "-" + result.check["id"],
        "concede",
        state,
        ("reason", "answer"),
        step=step.key,
        check=result.check["id"],
    )
    for name in ("reason", "answer"):
        form["typed"][name] = form["typed"][name] or given.get(name, "")
    rank_words = request.say(RANKS[rank])
    return {"form": form, "rank": rank_words, "needs_answer": rank == "author"}


def _given_by_voice(request: Request, result: Result) -> Json:
    """Return what the office noted when it gave the code; {} where there is no such note."""
    event = result.provisional
    for row in reversed(request.voices) if event is not None else ():
        same = (row["check_id"], row["panel"], row["number"], row["device"])
        if event is not None and same == (
            result.check["id"], result.panel, event["body"]["number"], event["device"],
        ):  # fmt: skip
            found: Json = row
            return found
    return {}


def _denial_form(request: Request, state: State, step: Step, result: Result) -> Json | None:
    """Return the form that refuses a spoken concession, and who gave its code; None without one."""
    if result.provisional is None:
        return None
    given = _given_by_voice(request, result)
    words = Msg("The office has no note of having given this code.")
    if given:
        when = common.time_words(request, given["at"])
        words = Msg("The code was given by {who}, {when}.", who=request.name(given["person"]),
                    when=when)  # fmt: skip
    name = "deny-" + step.key + "-" + result.check["id"]
    check = result.check["id"]
    return {
        "form": request.make_form(name, "deny", state, ("reason",), step=step.key, check=check),
        "given": request.say(words),
    }


def _broken_sign(request: Request, id: str, step: Step, state: State) -> Json | None:
    why = common.why_not(gate.sign_of(state, step))
    if not why:
        return None
    title = request.say(Msg("Sign-off broken or disputed"))
    anchor = "sign-" + step.key.replace(":", "-")
    out = _exception(anchor, "sign", step.key, title, common.step_path(id, step))
    out["return_href"] = return_href(step)
    out["says"] = [request.say(words) for words in why]
    return out


def _moved_place(request: Request, id: str, repeat: Repeat) -> Json:
    """Return a place that had moved when it was read again after a night; its step is signed."""
    title = request.say(repeat.place.title)
    href = common.step_path(id, repeat.step)
    out = _exception("moved-" + repeat.point, "moved", repeat.step.key, title, href)
    out["says"] = [request.say(moved_text(repeat))]
    out["return_href"] = return_href(repeat.step, [repeat.point])
    return out


def _missing_photos(request: Request, state: State) -> Json | None:
    """Return the photos that nobody took, with why, and those that have not reached the office."""
    missing = [line for step in state.steps for line in _photo_lines(request, state, step)]
    if not missing:
        return None
    title = request.say(Msg("Photos missing"))
    out = {**_exception("photos-missing", "photo", "", title, ""), "done": missing[:MOST_PHOTOS]}
    rest = missing[MOST_PHOTOS:]
    if rest:
        out["more"] = {"text": request.say(_MORE_PHOTOS.of(len(rest))), "done": rest}
    return out


def _photo_lines(request: Request, state: State, step: Step) -> list[Json]:
    out = []
    for task in state.tasks(step):
        none = photo.no_photo_words(request, state, step, task)
        if none is not None and none["words"] not in _answers_of(task):
            text = request.say(Msg(task["text"]))
            out.append(_photo_line(request, step, text, none["text"], none["words"]))
    for shown in step_photos(request, state, step):
        where = photo.photo_whereabouts(request, shown["sha256"])
        if where:
            out.append(_photo_line(request, step, shown["text"], where, ""))
    return out


def _answers_of(task: Json) -> list[str]:
    """Return the reason that one tap gives ("No damage found"), in every language: an answer."""
    none = task.get("none", "")
    return [Speaker(catalog(lang)).word(none) for lang, _name in LANGUAGES] if none else []


def _photo_line(request: Request, step: Step, text: str, what: str, words: str) -> Json:
    """Return what is so of a photo. text: what it shows, in words."""
    said = Msg("{step}, {photo}: {what}", step=step.key, photo=text, what=what)
    return common.remark_of(request.say(said), words)
