"""The office's judgement of what a phone said: made when all is here that its signer had seen.

It is made once, by the rules of that day, and written into the log; written.py says how it counts.
"""

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.record import events as ev
from app.core.record import gate, judge, rules
from app.core.record.state import State
from app.core.record.written import DISPUTED, TRUE, judged_by
from app.core.trade.verdicts import CLOSE, OUT

UNSEALED = "0" * 64  # stands in a judgement until the office has put its seal on it


def judgement(state: State, event: Json, anew: bool = False) -> "Json | None":
    """Return how today's rules judge a sign-off or a concession by voice.

    state: of all that the office has. Returns the body of a judgement.given but for its seal;
    None while part of what the signer had seen is missing. What was judged before of that past
    stays so judged, also where the signer did not know of it. anew: but for the same step.
    """
    # what the office's own devices said and it has not, was lost in a restore: it never comes
    if not gate.past_is_here(state, event, "phone-"):
        return None
    past = None
    try:
        past = State(_past(state, event, anew), state.procedures, state.truths)
        signed = event["kind"] == "step.signed"
        true, lines = _signed(past, event) if signed else _conceded(past, event)
    except AppError:  # a past without an issue, or of another door: it was said over nothing
        true, lines = False, []
    out: Json = {"target": event["id"], "result": TRUE if true else DISPUTED}
    out.update(judged_by(past if past is not None else state, lines))
    return out


def _past(state: State, event: Json, anew: bool) -> "list[Json]":
    seen = [other for other in state.ledger.events if ev.has_seen(event, other)]
    out = [other for other in seen if other["kind"] != "judgement.given"]
    known = {other["id"]: other for other in out}
    for given in state.ledger.of_kind("judgement.given"):
        target = known.get(given["body"]["target"])
        if target is not None and not (anew and _is_alike(target, event)):
            out.append(given)
    return out


def _is_alike(one: Json, other: Json) -> bool:
    """Return whether two events are about one step, or about one check of one panel."""
    if one["kind"] != other["kind"]:
        return False
    fields = ("step",) if one["kind"] == "step.signed" else ("check", "panel")
    return all([one["body"][field] == other["body"][field] for field in fields])


def _signed(past: State, event: Json) -> "tuple[bool, list[Json]]":
    step = past.step(event["body"]["step"])
    return gate.is_sound(past, step, event), gate.verdict_lines(past, step)


def _conceded(past: State, event: Json) -> "tuple[bool, list[Json]]":
    """Return whether a concession by voice is true over its past, with its check's verdict.

    By the same rules the check must have had the verdict that the phone says.
    """
    body = event["body"]
    for step in past.steps:
        for result in judge.results_of(past, step) if step.panel == body["panel"] else ():
            if result.check["id"] == body["check"]:
                true = _may_stand(past, result, body) and _is_so_judged(result, body)
                return true, [gate.verdict_line(past, step, result)]
    return False, []


def _may_stand(past: State, result: judge.Result, body: Json) -> bool:
    same = sorted(result.readings) == sorted(body["readings"])
    right = same and body["number"] == judge.number_of(past, result)
    return right and result.check["rank"] != "never" and not judge.is_refused(past, result)


def _is_so_judged(result: judge.Result, body: Json) -> bool:
    if body["rules"] != rules.RULES:
        return True  # under its own rules there was something to concede
    says = [{"check": result.check["id"], "verdict": result.verdict}]
    return bool(body["verdicts"] == says) and result.verdict in (OUT, CLOSE)
