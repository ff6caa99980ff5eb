"""How a check stands on a page: verdict, sentences, remedies, limit and its basis."""

from app.core.checks.base import Outcome
from app.core.checks.index import spec_of
from app.core.checks.limit_words import joined_limits, limit_words
from app.core.errors import AppError
from app.core.kinds import Any, Json
from app.core.order import sort_by
from app.core.pages import closer, common, planned, voice, working
from app.core.pages.request import Request, amount_of
from app.core.pictures import drawings
from app.core.quantity.messages import Len, Msg, Qty
from app.core.quantity.speaker import Speaker
from app.core.record import judge
from app.core.record.judge import CONFLICT, Result
from app.core.record.state import State, Step
from app.core.trade.verdicts import CLOSE, MISSING, OUT


def result_shown(request: Request, opening: str, state: State, step: Step, result: Result) -> Json:
    """Return a check for a page of the crew: what it says, and the forms that it offers."""
    out = check_words(request, opening, state, step, result)
    correct = None
    if result.verdict in (OUT, CONFLICT, CLOSE):
        name = "correct-" + result.check["id"]
        correct = request.make_form(name, "correct", state, ("words",), check=result.check["id"])
    out["correct"] = correct
    out["planned"] = planned.planned_form(request, state, step, result)
    out["settle"] = closer.closer_form(request, state, result)
    out["voice"] = voice.spoken_form(request, state, result)
    return out


def check_words(request: Request, opening: str, state: State, step: Step, result: Result) -> Json:
    """Return what a check says, without forms: a record is made of these words alone."""
    check = result.check
    outcome = result.outcome
    verdict = result.verdict
    looked = sort_by([check["points"][input] for input in check["points"]], lambda point: point)
    doubted = working.doubt_words(request, state, looked, step.panel)
    return {
        "id": check["id"],
        "title": request.say(Msg(check["title"])),
        "badge": common.verdict_badge(request, verdict),
        "picture": result_picture(request, result),
        "says": doubted + [request.say(words) for words in outcome.says],
        "remedies": [request.say(words) for words in outcome.remedies],
        "limit": limit_text(request, result),
        "basis": basis_text(request, state, result),
        "reason": request.say(Msg(check["reason"])) if check.get("reason") else "",
        "rule": rule_text(request, state),
        "begun": bool(doubted) or _says_something(state, step, result),
        "asks": _what_to_measure(request, opening, state, step, result),
        "planned": None,
        "done": done_about(request, state, step, result),
        "query": common.path_of(opening, "queries") if verdict == OUT else "",
        "many": len(outcome.remedies) > MANY,
        "ways": _ways_shown(request, state, step, result),
        "profile": profile_picture(profile_given(state, step, result), request.speaker),
    }


MANY = 4  # more remedies than this are shown as a list to work through, in smaller type


def _ways_shown(request: Request, state: State, step: Step, result: Result) -> "list[Json]":
    """Return the ways to put a check right, side by side; [] where it is not out."""
    spec = spec_of(result.check["calc"])
    if spec.ways is None or result.verdict != OUT:
        return []
    return [
        {
            "title": request.say(way["title"]),
            "advised": way["advised"],
            "says": [request.say(words) for words in way["says"]],
        }
        for way in spec.ways(judge.ask_for_check(state, result.check, step.panel))
    ]


def profile_given(state: State, step: Step, result: Result) -> "Json | None":
    """Return what a picture of the readings is drawn from: see Spec; None before all is in."""
    spec = spec_of(result.check["calc"])
    if spec.picture is None or result.outcome.missing:
        return None
    return spec.picture(judge.ask_for_check(state, result.check, step.panel))


def profile_picture(given: "Json | None", speaker: Speaker) -> "Json | None":
    """Return the picture that is drawn from what profile_given gives."""
    if given is None:
        return None
    if "frame" in given:
        return drawings.opening_picture(given["frame"], speaker)
    return drawings.floor_profile(given["floor"], speaker)


def all_shown(
    request: Request, opening: str, state: State, step: Step, results: "list[Result]"
) -> "list[Json]":
    """Return several checks; work that an earlier one already lists is not listed again."""
    out: list[Json] = []
    for result in results:
        check = result_shown(request, opening, state, step, result)
        for before in out:
            if check["remedies"] and check["remedies"] == before["remedies"]:
                words = Msg(
                    "The work listed under “{check}” fixes this too.", check=before["title"]
                )
                check["remedies"] = [request.say(words)]
                check["many"] = False
                check["ways"] = []
        out.append(check)
    return out


def begun_and_waiting(checks: "list[Json]") -> "tuple[list[Json], list[Json]]":
    """Return the shown checks that have something to say, and those that wait for readings.

    One that is half measured waits, unless what is there is out already, or cannot be right.
    """
    return [c for c in checks if c["begun"]], [c for c in checks if not c["begun"]]


def _says_something(state: State, step: Step, result: Result) -> bool:
    """Return whether a check is judged, or says more than that readings are still to be taken."""
    if result.verdict != MISSING or result.outcome.remedies:
        return True
    if result.clock is not None:
        return result.clock.start is not None
    now = judge.so_far(state, result.check, step.panel)
    out = now is not None and now.verdict == OUT
    return out or bool(state.corrections(result.check["id"], step.panel))


def rule_text(request: Request, state: State) -> str:
    """Return the decision rule of an opening in words."""
    return request.say(rule_words(state.guarded))


def rule_words(guarded: bool) -> Msg:
    """Return a decision rule in words."""
    if guarded:
        return Msg("guard bands: within only where the instrument can prove it")
    return Msg("simple acceptance: on the limit is within")


def result_picture(request: Request, result: Result) -> Any:
    """Return the level vial of a level or plumb check, or a bar for a one-sided limit; or None."""
    return outcome_picture(result.outcome, request.speaker)


def outcome_picture(outcome: Outcome, speaker: Speaker) -> Any:
    """Return the picture of what a calculation found, or None."""
    if outcome.verdict == MISSING:
        return None
    if outcome.tilt is not None:
        return drawings.vial_picture(outcome.tilt, speaker)
    if outcome.value is None or (outcome.low is None and outcome.high is None):
        return None
    if outcome.quantity in ("yes-no", "text", "choice"):
        return None
    words: Any = Qty(outcome.quantity, outcome.value)
    if outcome.quantity == "length":
        words = Len(outcome.value)
    return drawings.bar_picture(outcome.value, outcome.low, outcome.high, speaker, words)


def limit_text(request: Request, result: Result) -> str:
    """Return the limits of a check in words: "max 1/16" in any 1 ft"."""
    return "; ".join([request.say(words) for _limit, words in limits_in_words(result)])


def limit_text_at(request: Request, state: State, result: Result, point: str, panel: str) -> str:
    """Return the limits that readings of one point are held to by a check at this door, in words.

    A limit for frames or panels of another size is left out: nobody needs to choose.
    """
    points, named = result.check["points"], spec_of(result.check["calc"]).limits_of
    idle = _idle_limits(state, result, panel)
    inputs = [input for input in points if points[input] == point]
    every = list(result.check["limits"])
    names = [name for input in inputs for name in list(named.get(input, every))]
    values = [
        (limit["name"], amount_of(limit_quantity(result, limit["name"]), limit["value"]))
        for limit in result.limits
        if limit["value"] is not None and limit["name"] in names and limit["name"] not in idle
    ]
    return "; ".join([request.say(words) for words in joined_limits(result.check, values)])


def _idle_limits(state: State, result: Result, panel: str) -> "list[str]":
    idle = spec_of(result.check["calc"]).idle
    if idle is None:
        return []
    try:
        return idle(judge.ask_for_check(state, result.check, panel))
    except AppError:  # the drawing is silent: all are shown
        return []


def limits_in_words(result: Result) -> "list[tuple[Json, Msg]]":
    """Return the limits of a check that have a value, each with its words."""
    return [
        (limit, limit_words(result.check, limit["name"], amount_of(quantity, limit["value"])))
        for limit in result.limits
        if limit["value"] is not None
        for quantity in [limit_quantity(result, limit["name"])]
    ]


def limit_quantity(result: Result, name: str) -> str:
    """Return of which quantity a limit of a check is."""
    found: str = spec_of(result.check["calc"]).limits.get(name, "length")
    return result.quantity if found == "any" else found


def basis_of(result: Result) -> Json:
    """Return where a check's limit comes from: {"kind": drawing, standard or practice, "text"}."""
    found: Json = result.limits[0]["basis"] if result.limits else result.check["basis"]
    return found


def basis_text(request: Request, state: State, result: Result) -> str:
    """Return where the limit comes from, in words; the drawing's own limit is shown as such."""
    basis = basis_of(result)
    if basis["kind"] == "drawing":
        drawing = state.drawing.data
        words = Msg(
            "the drawing, {number} revision {revision}",
            number=drawing.get("number", ""),
            revision=drawing.get("revision", ""),
        )
        return request.say(words)
    if basis["kind"] == "standard":
        return str(basis["text"])
    if basis["kind"] == "product":
        return request.say(Msg("the product’s data sheet"))
    return request.say(Msg("company limit, no published standard"))


def _what_to_measure(
    request: Request, opening: str, state: State, step: Step, result: Result
) -> "list[Json]":
    if result.verdict != MISSING:
        return []
    out: list[Json] = []
    for input in result.check["points"]:
        point = state.point(result.check["points"][input])
        panel = state.panel_for(point["id"], step.panel)
        href = common.point_path(opening, point["id"], panel)
        if not any([ask["href"] == href for ask in out]):
            out.append(common.page_link(href, request.say(Msg(point["title"]))))
    return sort_by(out, lambda ask: ask["href"])


def done_about(request: Request, state: State, step: Step, result: Result) -> "list[Json]":
    """Return what was done about a check: put right, looked at closer, conceded."""
    out = []
    for event in state.corrections(result.check["id"], step.panel):
        text = Msg("Put right: {who}", who=common.who_when(request, event))
        out.append(common.remark_of(request.say(text), event["body"]["words"]))
    if result.settled_by is not None:
        text = Msg("A closer look: {who}", who=common.who_when(request, result.settled_by))
        out.append(
            common.remark_of(request.say(text), ", ".join(result.settled_by["body"]["texts"]))
        )
    if result.provisional is not None:
        text = Msg("Provisional: {what}", what=voice.provisional_words(request, result))
        out.append(common.remark_of(request.say(text)))
    if result.conceded is not None:
        text = Msg("Conceded by the office: {who}", who=common.who_when(request, result.conceded))
        out.append(common.remark_of(request.say(text), result.conceded["body"]["reason"]))
    return out
