"""Where today's rules would judge otherwise than was judged: told for the office to look at.

It bars nothing and breaks nothing; the office may judge a sign-off anew, with a reason.
"""

from app.core.kinds import Json
from app.core.record import gate, judge
from app.core.record.state import State, Step
from app.core.record.written import TRUE, judgement_of


class Otherwise:
    """One signed step that today's rules see otherwise.

    sign: the sign-off that holds. given: the office's judgement of it, or None. results: checks
    with another verdict today. opens: it is disputed, and today its gate would open. foreign: the
    phone judged by other rules, and came to other verdicts than the office.
    """

    def __init__(
        self,
        step: Step,
        sign: Json,
        given: "Json | None",
        results: "list[judge.Result]",
        opens: bool,
        foreign: bool,
    ) -> None:
        self.step = step
        self.sign = sign
        self.given = given
        self.results = results
        self.opens = opens
        self.foreign = foreign


def judged_otherwise(state: State) -> "list[Otherwise]":
    """Return the signed steps that today's rules would judge otherwise, in their order."""
    out = []
    for step in state.steps:
        sign = gate.sign_of(state, step)
        if sign is None or not sign.holds:
            continue
        results = [r for r in judge.results_of(state, step) if r.today != r.verdict]
        given = judgement_of(state.ledger, sign.event["id"])
        opens = given is not None and given["body"]["result"] != TRUE
        opens = opens and not gate.bars_of(state, step)
        foreign = given is not None and _judged_by_other_rules(sign.event, given)
        if results or opens or foreign:
            out.append(Otherwise(step, sign.event, given, results, opens, foreign))
    return out


def _judged_by_other_rules(sign: Json, given: Json) -> bool:
    if sign["body"]["rules"] == given["body"]["rules"]:
        return False
    lines = [{"check": v["check"], "verdict": v["verdict"]} for v in given["body"]["verdicts"]]
    return bool(sign["body"]["verdicts"] != lines)
