"""A concession by voice, on the phone: a number to read out, and the office's code typed in.

Only a phone that has its own secret shows it; a browser without a book has a network anyway. What
opens so is provisional until the office says the same by its own entry.
"""

from app.core.errors import InputError, MissingError, RefusedError
from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Page, Request, event_draft
from app.core.quantity.messages import Msg
from app.core.record import judge, spoken
from app.core.record.state import State, Step
from app.core.record.written import judged_by
from app.core.trade.verdicts import CLOSE, OUT

MOST_MISSES = 5
NEVER = Msg("This cannot be conceded. It concerns safety: it is put right, or it waits.")


def spoken_form(request: Request, state: State, result: judge.Result) -> "Json | None":
    """Return what a check says of a spoken concession; None where there is none to be had."""
    if not _is_offered(request, result):
        return None
    number = judge.number_of(state, result)
    check = result.check["id"]
    closed = _why_closed(state, result, number)
    made = request.make_form("voice-" + check, "voice", state, ("code",), check=check)
    return {
        "form": made,
        "number": spoken.grouped_digits(number),
        "closed": request.say(closed) if closed is not None else "",
        "misses": _missed_words(request, state, result, number),
    }


def _is_offered(request: Request, result: judge.Result) -> bool:
    fit = result.verdict in (OUT, CLOSE) and not result.settled
    return fit and bool(request.phone.get("secret")) and result.check["rank"] != "never"


def _why_closed(state: State, result: judge.Result, number: str) -> "Msg | None":
    """Return why no code is taken any more; None while one is."""
    if judge.is_refused(state, result):
        return Msg("The office has refused to concede this with these readings.")
    if count_misses(state, result, number) >= MOST_MISSES:
        return Msg(
            "{count} wrong codes were typed for this number. No more are taken: put it right, "
            "measure again, or wait until there is a network.",
            count=MOST_MISSES,
        )
    return None


def count_misses(state: State, result: judge.Result, number: str) -> int:
    """Return how many wrong codes were typed for a check with these readings."""
    key = (result.check["id"], result.panel, number)
    missed = [event["body"] for event in state.ledger.of_kind("concession.missed")]
    return len([b for b in missed if (b["check"], b["panel"], b["number"]) == key])


def _missed_words(request: Request, state: State, result: judge.Result, number: str) -> str:
    count = count_misses(state, result, number)
    if not count or count >= MOST_MISSES:
        return ""
    return request.say(Msg("Wrong codes so far: {count} of {most}", count=count, most=MOST_MISSES))


def check_code(request: Request) -> Page:
    """Check the code that was read out: the gate opens provisionally, or a miss is counted.

    Errors: RefusedError 'never-conceded', 'voice-closed'; InputError 'code-form'.
    """
    id, state, step, result = _check_of_form(request)
    number = judge.number_of(state, result)
    if state.ledger.by_id.get(request.form.get("id", "")) is None:
        _must_be_open(request, state, result, number)
    code = spoken.plain_digits(request.typed("code", 64))
    if len(code) != spoken.CODE_DIGITS:
        words = Msg("The code has {count} digits. Ask for it again.", count=spoken.CODE_DIGITS)
        raise InputError("code-form", words)
    day = spoken.day_of(
        request.phone["secret"], request.now[:10], id, result.check["id"], step.panel, number, code
    )
    body: Json = {"check": result.check["id"], "panel": step.panel, "number": number}
    if not day:
        missed = event_draft(request, id, "concession.missed", body)
        return Page(location=request.address, drafts=[missed])
    body.update({"readings": result.readings, "code": code, "day": day})
    body.update(judged_by(state, [{"check": result.check["id"], "verdict": result.verdict}]))
    return Page(
        location=request.address, drafts=[event_draft(request, id, "concession.spoken", body)]
    )


def _check_of_form(request: Request) -> "tuple[str, State, Step, judge.Result]":
    id = request.parts[1]
    state = request.state(id)
    step = state.step(request.parts[3].replace("-", ":") if len(request.parts) > 3 else "")
    for result in judge.results_of(state, step):
        if result.check["id"] == request.typed("check"):
            return id, state, step, result
    raise MissingError("check-unknown", Msg("There is no such check."))


def _must_be_open(request: Request, state: State, result: judge.Result, number: str) -> None:
    if result.check["rank"] == "never":
        raise RefusedError("never-conceded", NEVER)
    if not _is_offered(request, result):
        raise RefusedError("voice-closed", Msg("There is nothing here to be conceded by voice."))
    closed = _why_closed(state, result, number)
    if closed is not None:
        raise RefusedError("voice-closed", closed)


def provisional_notes(request: Request, state: State) -> "list[Json]":
    """Return what an opening's gates stand open by provisionally: acceptance waits for it."""
    out = []
    for step in state.steps:
        for result in judge.results_of(state, step):
            if result.provisional is not None:
                words = Msg("{step} {check}: {what}", step=step.key,
                what=provisional_words(request, result),
                            check=Msg(result.check["title"]))  # fmt: skip
                out.append(common.remark_of(request.say(words)))
    return out


def provisional_words(request: Request, result: judge.Result) -> Msg:
    """Return a provisional concession in words."""
    event = result.provisional
    who = common.who_when(request, event) if event is not None else ""
    return Msg(
        "opened PROVISIONALLY by a spoken concession ({who}). The office must still confirm it in "
        "writing; until then it is not accepted, and not in a record.",
        who=who,
    )
