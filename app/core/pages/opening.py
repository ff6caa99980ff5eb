"""/field/o/ID: one opening, its steps and what bars them."""

from app.core.errors import RefusedError
from app.core.kinds import Json
from app.core.pages import clocks, common, openings, outlook, queries, voice
from app.core.pages.request import Page, Request, event_draft
from app.core.quantity.messages import Msg
from app.core.record import gate, judge
from app.core.record.debrief import is_over
from app.core.record.standing import (
    clocks_running,
    ids_not_signed,
    next_step,
    opening_state,
    step_state,
    work_state,
)
from app.core.record.state import State, Step
from app.core.record.visits import is_visited, visits_of
from app.core.trade.verdicts import OUT
from app.core.where.places import SHORT


def get(request: Request) -> Page:
    """Return an opening's own page."""
    id = request.parts[1]
    opening = request.opening(id)
    state = request.state(id)
    following = next_step(state) if state.cancelled() is None else None
    key = following.key if following is not None else ""
    back = common.page_link("/field", request.say(Msg("Openings")))
    steps = [_how_far(state, one) for one in state.steps]
    context = {
        "page": common.page_frame(request, request.say(Msg("Opening")), opening, back),
        "door": request.say(common.door_words(state)),
        "progress": common.progress_words(request, state),
        "clocks": clocks.clock_lines(request, clocks_running(state)),
        "next": None,
        "so_far": openings.progress_shown(request.speaker, steps),
        # the list of steps says the rest
        "out": openings.progress_said(request.speaker, steps, "out"),
        "outlook": outlook.outlook_line(request, state),
        "notes": review_notes(request, state, _review_to_tell(state))
        + _answer_notes(request, state)
        + _raised_notes(request, state),
        "depth": _depth_form(request, state),
        "steps": _step_rows(request, id, state, key),
        "links": _page_links(id, opening),
        "mate": "/pair/opening/" + id + "/qr.svg",
        "visit": _visit_link(request, id, state),
        "debrief": _debrief_link(request, id, state),
        "parts_text": _parts_text(request, state),
        "queries_text": _queries_text(request, state),
    }
    if following is not None:
        context["next"] = common.onward_link(request, id, following)
    return Page("field/opening.html", context)


def _step_rows(request: Request, id: str, state: State, key: str) -> "list[Json]":
    """Return a line for each step; what bars it, or who signed: what the line above said, once."""
    rows = []
    above = ("", "")
    barred = ""
    for step in state.steps:
        row = common.step_row(request, id, state, step, key)
        sign = gate.sign_of(state, step)
        who = ("", "")
        if sign is not None and row["state"] == "signed":
            at = sign.event["at"]
            who = (sign.event["person"], at[:10])
            row["state_text"] = at[11:16] if who == above else common.who_when(request, sign.event)
        above = who
        if row["state"] == "barred":
            said, barred = barred, row["state_text"]
            row["state_text"] = "" if said == barred else barred
        rows.append(row)
    return rows


def _answer_notes(request: Request, state: State) -> "list[Json]":
    """Return what the office answered, as long as a step that waited for it is not signed."""
    left = ids_not_signed(state)
    return [
        queries.answer_shown(request, answer)
        for query, answer in state.queries()
        if answer is not None and any([step in left for step in query["body"]["bars"]])
    ]


def _visit_link(request: Request, id: str, state: State) -> "Json | None":
    """Return the way to the service visits of a door that was accepted; None before."""
    if not is_visited(state):
        return None
    begun = len(visits_of(state))
    words = Msg("Service visits: {count}", count=begun) if begun else Msg("Service visit")
    return common.page_link(common.path_of(id, "visit"), request.say(words))


def _debrief_link(request: Request, id: str, state: State) -> "Json | None":
    """Return the way to what came of the practice, once it is over; None before."""
    if state.practice is None or not is_over(state):
        return None
    return common.page_link(common.path_of(id, "practice"), request.say(Msg("Debrief")))


def _how_far(state: State, step: Step) -> Json:
    """Return how a step stands, for the drawing of the door: "out" where a check of it is out."""
    kind = step_state(state, step)
    return {"key": step.key, "state": "out" if kind == "open" and _has_out(state, step) else kind}


def _has_out(state: State, step: Step) -> bool:
    """Return whether a check of a step is out, half measured ones too, and not conceded."""
    for result in judge.results_of(state, step) if state.judged else []:
        outcome = judge.so_far(state, result.check, step.panel)
        if not result.settled and outcome is not None and outcome.verdict == OUT:
            return True
    return False


def _depth_form(request: Request, state: State) -> "Json | None":
    """Return the form by which anybody on site has all asked; None where none is to be."""
    if state.depth != SHORT or opening_state(state) == "done":
        return None
    return request.make_form("raise-depth", "raise-depth", state, ("reason",))


def _raised_notes(request: Request, state: State) -> "list[Json]":
    raised = state.raised()
    if raised is None:
        return []
    words = Msg("Full depth, asked for by {who}", who=common.who_when(request, raised))
    return [common.remark_of(request.say(words), raised["body"]["reason"])]


def post_raise_depth(request: Request) -> Page:
    """Keep that all is to be asked on this opening, whatever was agreed before."""
    id = request.parts[1]
    if opening_state(request.state(id)) == "done":
        words = Msg(
            "The office has accepted this door. What is measured now belongs to a service visit."
        )
        raise RefusedError("accepted", words)
    reason = request.required("reason", Msg("Say why everything is to be measured here."))
    draft = event_draft(request, id, "depth.raised", {"reason": reason})
    return Page(location=request.path, drafts=[draft])


POSTS = {"raise-depth": post_raise_depth}


def _page_links(id: str, opening: Json) -> Json:
    out = {
        name: common.path_of(id, name)
        for name in ("drawing", "setout", "parts", "queries", "history", "instruments")
    }
    out["record"] = "/record/" + id
    out["shop"] = common.path_of(id, "shop") if opening.get("shop") else ""
    return out


MOST_NOTES = 10


def _review_to_tell(state: State) -> "Json | None":
    """Return the office's review that a crew goes by; None once what it returned is signed."""
    return None if work_state(state) == "signed" else state.review()


def review_notes(request: Request, state: State, review: "Json | None") -> "list[Json]":
    """Return what the office said in a review of the opening, and what is odd about its entries."""
    out = closed_notes(request, state)
    if review is not None:
        who = common.who_when(request, review)
        if review["body"]["result"] == "accepted":
            words = Msg("Accepted by {who}", who=who)
        else:
            words = Msg("Returned by {who}", who=who)
        out.append(common.remark_of(request.say(words), review["body"]["words"]))
    out.extend(voice.provisional_notes(request, state))
    out.extend(taken_in_notes(request, state))
    if not state.judged:
        newer = Msg("Entries from a newer version of Sillbook are here: nothing is judged.")
        out.append(common.remark_of(request.say(newer)))
    out.extend(unfit_notes(request, state))
    return out


def closed_notes(request: Request, state: State) -> "list[Json]":
    """Return who closed the opening, and why; nothing where it is open."""
    closed = state.closed()
    if closed is None:
        return []
    who = common.who_when(request, closed)
    words = Msg("Archived by {who}", who=who)
    if closed["body"]["result"] == "cancelled":
        words = Msg("Cancelled by {who}. It takes no more entries; what is here is kept.", who=who)
    return [common.remark_of(request.say(words), closed["body"]["reason"])]


def unfit_notes(request: Request, state: State) -> "list[Json]":
    """Return who made entries that count for nothing: they lack what their kind must have."""
    left = [one for one in state.ledger.unfit if one["id"] not in state.ledger.removed]
    return [common.remark_of(request.say(_unfit_words(request, one))) for one in left[:MOST_NOTES]]


def _unfit_words(request: Request, event: Json) -> Msg:
    return Msg(
        "An entry of {person} cannot be shown and counts for nothing: {kind}.",
        person=request.name(event["person"]),
        kind=event["kind"],
    )


def taken_in_notes(request: Request, state: State) -> "list[Json]":
    """Return what was set aside and then entered by the office, with its reason."""
    return [
        common.remark_of(request.say(taken_in(request, event)), event["body"]["reason"])
        for event in state.ledger.of_kind("entry.taken-in")
    ]


def taken_in(request: Request, event: Json) -> Msg:
    """Return who took an entry in, and whose it was first."""
    body = event["body"]
    return Msg(
        "Taken in by {who}, after it had been set aside: first entered by {person}, {when}",
        who=common.who_when(request, event),
        person=request.name(body["person"]),
        when=common.time_words(request, body["at"]),
    )


def _parts_text(request: Request, state: State) -> str:
    wrong = [s for _, s in state.parts() if s is not None and s["body"]["state"] != "here"]
    if not wrong:
        return ""
    return request.say(Msg("{count} not here or not right", count=len(wrong)))


def _queries_text(request: Request, state: State) -> str:
    open_ones = [q for q, answer in state.queries() if answer is None]
    return request.say(Msg("{count} open", count=len(open_ones))) if open_ones else ""
