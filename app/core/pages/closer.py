"""A closer look at what was too close to call: a gauge as thick as the limit, or three readings.

Only under guard bands is a figure too close to call; the crew is never left there.
"""

from app.core.checks.decide import gauge_verdict, middle_of, verdict_of
from app.core.checks.index import spec_of
from app.core.errors import InputError, MissingError
from app.core.kinds import Json
from app.core.pages.request import Page, Request, amount_text, event_draft
from app.core.quantity.measure import parse_amount
from app.core.quantity.messages import Msg
from app.core.record import judge
from app.core.record.state import State
from app.core.trade.verdicts import CLOSE

FIELDS = ("first", "second", "third")
GAUGES = {"enters": Msg("It goes in"), "stays-out": Msg("It does not go in")}


def closer_form(request: Request, state: State, result: judge.Result) -> "Json | None":
    """Return the form for a closer look, None where nothing is too close to call."""
    outcome = result.outcome
    if outcome.verdict != CLOSE or result.settled_by is not None or outcome.quantity == "count":
        return None
    if result.clock is not None:
        return None  # a clock in doubt is run again
    name = "settle-" + result.check["id"]
    made = request.make_form(name, "settle", state, FIELDS + ("gauge",), check=result.check["id"])
    limit = _near_limit(result)
    gauge = ""
    can_be_gauged = spec_of(result.check["calc"]).gauged and outcome.quantity == "length"
    if can_be_gauged and limit is not None:
        words = Msg(
            "Gauge of {limit}, at the worst place", limit=amount_text(request, "length", limit)
        )
        gauge = request.say(words)
    thrice = Msg("Read the figure three times, each time anew: the middle one counts.")
    return {
        "form": made,
        "gauge": gauge,
        "choices": [
            {
                "value": key,
                "text": request.say(GAUGES[key]),
                "chosen": made["typed"]["gauge"] == key,
            }
            for key in ("enters", "stays-out")
        ],
        "thrice": request.say(thrice),
        "fields": [
            {"name": field, "text": request.say(words), "typed": made["typed"][field]}
            for field, words in (
                ("first", Msg("First")),
                ("second", Msg("Second")),
                ("third", Msg("Third")),
            )
        ],
    }


def _near_limit(result: judge.Result) -> "int | None":
    """Return the limit that is near: the nearer of the two ends."""
    outcome = result.outcome
    ends = [end for end in (outcome.low, outcome.high) if end is not None]
    if not ends or outcome.value is None:
        return None
    near = ends[0]
    for end in ends[1:]:
        if abs(end - outcome.value) < abs(near - outcome.value):
            near = end
    return near


def keep_closer(request: Request) -> Page:
    """Keep a closer look; it decides for just the readings that were too close to call."""
    id = request.parts[1]
    state = request.state(id)
    step = state.step(request.parts[3].replace("-", ":") if len(request.parts) > 3 else "")
    for result in judge.results_of(state, step):
        if result.check["id"] == request.typed("check"):
            by, texts, found = _closer_look(request, result)
            body = {
                "step": step.key,
                "check": result.check["id"],
                "panel": step.panel,
                "readings": result.readings,
                "by": by,
                "texts": texts,
                "verdict": found,
            }
            return Page(
                location=request.address, drafts=[event_draft(request, id, "close.settled", body)]
            )
    raise MissingError("check-unknown", Msg("There is no such check."))


def _closer_look(request: Request, result: judge.Result) -> "tuple[str, list[str], str]":
    """Return how it was looked at, what was seen as typed, and the verdict."""
    outcome = result.outcome
    gauge = request.typed("gauge")
    bound = _near_limit(result)
    if gauge in GAUGES and bound is not None:
        side = "most" if bound == outcome.high else "least"
        size = amount_text(request, "length", bound)
        seen = request.say(Msg("gauge {size}: {answer}", size=size, answer=GAUGES[gauge]))
        return "gauge", [seen], gauge_verdict(gauge == "enters", side)
    texts = [request.typed(field, 64) for field in FIELDS]
    if not all(texts):
        raise InputError("three-readings", Msg("Try the gauge, or type all three readings."))
    values = [parse_amount(outcome.quantity, text, request.units) for text in texts]
    return "three readings", texts, verdict_of(middle_of(values), outcome.low, outcome.high)
