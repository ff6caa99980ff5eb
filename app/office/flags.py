"""What the review says where today's rules would judge otherwise than was judged.

It is for the office to look at: it bars nothing and breaks nothing.
"""

from app.core.kinds import Json
from app.core.pages.common import MARKS
from app.core.pages.request import Request
from app.core.quantity.messages import Msg
from app.core.record.gate import Sign, bars_of, sign_of
from app.core.record.judge import results_of
from app.core.record.state import State, Step
from app.core.record.written import TRUE, judgement_of


def rules_notes(request: Request, state: State) -> list[Json]:
    """Return one line for each check and sign-off that today's rules would judge otherwise."""
    out = []
    for step in state.steps:
        sign = sign_of(state, step)
        if sign is not None and sign.holds:
            out.extend(_check_flags(state, step))
            out.extend(_sign_flags(state, step, sign))
    return [{"text": request.say(words), "words": ""} for words in out]


def _check_flags(state: State, step: Step) -> list[Msg]:
    return [
        Msg(
            "{step}, {check}: judged “{was}” by the rules of its day; today's rules would say "
            "“{now}”. What was judged stays.",
            step=step.key,
            check=Msg(result.check["title"]),
            was=MARKS[result.verdict],
            now=MARKS[result.today],
        )
        for result in results_of(state, step)
        if result.today != result.verdict
    ]


def _sign_flags(state: State, step: Step, sign: Sign) -> list[Msg]:
    given = judgement_of(state.ledger, sign.event["id"])
    if given is None:
        return []
    out = []
    if given["body"]["result"] != TRUE and not bars_of(state, step):
        words = Msg(
            "{step}: the sign-off was disputed when it came in; today's rules would open its gate. "
            "It stays disputed until the step is signed anew.",
            step=step.key,
        )
        out.append(words)
    if sign.event["body"]["rules"] != given["body"]["rules"] and _differ(sign.event, given):
        words = Msg(
            "{step}: the phone judged by rules {theirs}, the office by rules {ours}, and came to "
            "other verdicts. The office's count.",
            step=step.key,
            theirs=sign.event["body"]["rules"],
            ours=given["body"]["rules"],
        )
        out.append(words)
    return out


def _differ(sign: Json, given: Json) -> bool:
    lines = [{"check": v["check"], "verdict": v["verdict"]} for v in given["body"]["verdicts"]]
    return bool(sign["body"]["verdicts"] != lines)
