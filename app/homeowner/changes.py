"""What a new revision says has changed since the one before, in words of whoever asks."""

from app.core.kinds import Json
from app.core.pages import common, history
from app.core.pages.request import Request
from app.core.quantity.messages import Msg
from app.core.record import judge
from app.core.record.events import is_of_visit
from app.core.record.state import State


def since(request: Request, was: State | None, now: State) -> list[Json]:
    """Return what is new since the revision before: entries, then verdicts. [] for the first."""
    if was is None:
        return []
    known = was.ledger.by_id
    new = [event for event in now.ledger.events if event["id"] not in known]
    out = [found for event in new for found in [_entry(request, was, now, event)] if found]
    return out + _verdicts(request, was, now)


def about(request: Request, was: Json, now: Json) -> list[Json]:
    """Return what has changed of where the opening is and whose work it is."""
    return [
        common.remark_of(
            request.say(
                Msg(
                    "{what}: was {old}, is {new}",
                    what=what,
                    old=was.get(name) or "–",
                    new=now.get(name) or "–",
                )
            )
        )
        for name, what in ABOUT
        if was.get(name, "") != now.get(name, "")
    ]


ABOUT = (
    ("address", Msg("Address")),
    ("letter", Msg("Opening")),
    ("room", Msg("Room")),
    ("job_title", Msg("Job")),
    ("company", Msg("Company")),
    ("telephone", Msg("Telephone")),
    ("company_address", Msg("Address of the company")),
)


def _entry(request: Request, was: State, state: State, event: Json) -> Json | None:
    """Return an entry in words; None for those that stand for themselves elsewhere."""
    if is_of_visit(event):
        return None  # its own sheet has it
    kind = event["kind"]
    who = common.who_when(request, event)
    if kind in ("reading.taken", "reading.unreachable"):
        return _reading(request, was, state, event)
    if kind not in WORDS:
        return None
    words = event["body"].get("words") or event["body"].get("why") or event["body"].get("reason")
    step = event["body"].get("step", "")
    text = Msg(WORDS[kind].template, step=step, who=who)
    return common.remark_of(request.say(text), words or "")


WORDS = {
    "drawing.revised": Msg("The drawing was revised: {who}"),
    "entry.struck": Msg("An entry was struck: {who}"),
    "entry.set-aside": Msg("An entry was set aside: {who}"),
    "entry.taken-in": Msg("An entry that was set aside was taken in: {who}"),
    "correction.made": Msg("{step}: put right by {who}"),
    "adjustment.made": Msg("{step}: moved by {who}"),
    "concession.given": Msg("A concession was given: {who}"),
    "concession.withdrawn": Msg("A concession was withdrawn: {who}"),
    "decision.made": Msg("{step}: decided anew, {who}"),
    "step.signed": Msg("{step}: signed again by {who}"),
    "handover.signed": Msg("The owner signed: {who}"),
    "sheet.signed": Msg("{step}: the builder signed, {who}"),
    "query.answered": Msg("A query was answered: {who}"),
    "photo.taken": Msg("{step}: a photo was added by {who}"),
    "opening.reviewed": Msg("Reviewed by {who}"),
}


def _reading(request: Request, was: State, state: State, event: Json) -> Json:
    """Return a new reading, with what stood at its place in the revision before."""
    body = event["body"]
    point = Msg(state.point(body["point"])["title"])
    old = _before(request, was, body)
    words = Msg("{point}, {place}: {value}, {who}")
    if old:
        words = Msg("{point}, {place}: was {old}, is {value}, {who}")
    text = Msg(
        words.template,
        old=old,
        point=Msg("{point}, panel {letter}", point=point, letter=body["panel"])
        if body["panel"]
        else point,
        place=history.place_text(request, state, body),
        value=history.value_text(request, event, state),
        who=common.who_when(request, event),
    )
    return common.remark_of(request.say(text), body.get("why", "") or body.get("note", ""))


def _before(request: Request, was: State, body: Json) -> str:
    """Return what was read at a place in the revision before; "" for nothing."""
    if body["point"] not in was.points:
        return ""
    readings = was.readings(body["point"], body["panel"], body["place"])
    return history.value_text(request, readings[-1].event, was) if readings else ""


def _verdicts(request: Request, was: State, now: State) -> list[Json]:
    before = _by_check(was)
    out = []
    for key, (title, verdict) in _by_check(now).items():
        old = before.get(key, (title, "missing"))[1]
        if old != verdict:
            text = Msg(
                "{step} {check}: was {old}, is {new}",
                step=key[0],
                check=title,
                old=common.VERDICT_WORDS[old],
                new=common.VERDICT_WORDS[verdict],
            )
            out.append(common.remark_of(request.say(text)))
    return out


def _by_check(state: State) -> dict[tuple[str, str], tuple[Msg, str]]:
    return {
        (step.key, result.check["id"]): (Msg(result.check["title"]), result.verdict)
        for step in state.steps
        for result in judge.results_of(state, step)
    }
