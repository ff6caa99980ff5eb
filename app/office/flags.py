"""What the review says where today's rules would judge otherwise than was judged.

It is for the office to look at: it bars nothing and breaks nothing. The office may judge a
sign-off anew, with a reason; from then on every book goes by that.
"""

from app.core.errors import RefusedError
from app.core.kinds import Json
from app.core.pages.common import VERDICT_WORDS
from app.core.pages.request import Page, Request, event_draft
from app.core.quantity.messages import Msg
from app.core.record import gate
from app.core.record.judging import UNSEALED, judgement
from app.core.record.otherwise import Otherwise, judged_otherwise
from app.core.record.state import State
from app.core.record.written import TRUE, judgement_of


def rules_flags(request: Request, state: State) -> list[Json]:
    """Return each signed step that today's rules would judge otherwise, with a form to do so."""
    return [_flag_shown(request, state, flag) for flag in judged_otherwise(state)]


def _flag_shown(request: Request, state: State, flag: Otherwise) -> Json:
    key = flag.step.key
    anew = judgement(state, flag.sign, anew=True)
    form = None
    if anew is not None and flag.given is not None:
        form = request.make_form("judge-" + key, "judge", state, ("reason",), step=key)
    would = Msg("Judged anew, this sign-off stands.")
    if anew is not None and anew["result"] != TRUE:
        would = Msg("Judged anew, this sign-off is disputed: the crew signs the step again.")
    return {
        "id": key.replace(":", "-"),
        "lines": [request.say(words) for words in _flag_words(flag)],
        "form": form,
        "would": request.say(would),
    }


def _flag_words(flag: Otherwise) -> list[Msg]:
    step = flag.step.key
    out = [
        Msg(
            "{step}, {check}: judged “{was}” by the rules of its day; today's rules would say "
            "“{now}”. What was judged stays.",
            step=step,
            check=Msg(result.check["title"]),
            was=VERDICT_WORDS[result.verdict],
            now=VERDICT_WORDS[result.today],
        )
        for result in flag.results
    ]
    if flag.opens:
        words = Msg(
            "{step}: the sign-off was disputed when it came in; today's rules would open its gate. "
            "It stays disputed until the step is signed anew, or you judge it anew.",
            step=step,
        )
        out.append(words)
    if flag.foreign and flag.given is not None:
        words = Msg(
            "{step}: the phone judged by rules {theirs}, the office by rules {ours}, and came to "
            "other verdicts. The office's count.",
            step=step,
            theirs=flag.sign["body"]["rules"],
            ours=flag.given["body"]["rules"],
        )
        out.append(words)
    return out


def post_judge(request: Request) -> Page:
    """Judge a sign-off anew by today's rules, with a reason; RefusedError where there is nothing.

    The draft carries no seal yet: the server puts it on (store/judging.py).
    """
    id = request.parts[1]
    state = request.state(id)
    step = state.step(request.typed("step"))
    sign = gate.sign_of(state, step)
    given = judgement_of(state.ledger, sign.event["id"]) if sign is not None else None
    body = judgement(state, sign.event, anew=True) if sign is not None and given else None
    if body is None:
        words = Msg("There is no sign-off here that you could judge anew.")
        raise RefusedError("not-judged", words)
    body["reason"] = request.required("reason", Msg("Give the reason in writing."))
    body["seal"] = UNSEALED
    draft = event_draft(request, id, "judgement.given", body)
    return Page(location=request.path + "?said=judged#flags-title", drafts=[draft])
