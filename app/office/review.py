"""/office/o/ID: an opening step by step, to be accepted, returned, conceded, answered."""

from app.core.errors import InputError, MissingError, RefusedError
from app.core.kinds import Json
from app.core.pages import common, history, photo, queries, results
from app.core.pages.opening import review_notes
from app.core.pages.request import Page, Request, event_draft
from app.core.pictures import drawings
from app.core.quantity.messages import Len, Msg, Plural
from app.core.record import gate, judge
from app.core.record.predicted import greatest_miss, predicted_gaps
from app.core.record.standing import opening_state
from app.core.record.state import State, Step
from app.core.record.written import judged_by
from app.core.trade.verdicts import WITHIN
from app.homeowner.receipts import Receipts
from app.homeowner.tables import step_decisions, step_photos, step_tables, step_tasks, struck
from app.office import clocks, closing
from app.office.exceptions import (
    RANKS,
    check_anchor,
    exceptions_of,
    is_exception,
    worst_place,
)
from app.office.flags import post_judge, rules_flags

MOST_STEPS = 3  # that bar the acceptance by name; of more the first
AGAIN = "again."  # how the fields begin that choose what is to be measured again
SAID = {
    "accepted": Msg("Accepted. The completion record is issued."),
    "returned": Msg("Returned. The crew sees it as soon as their phones have a network."),
    "conceded": Msg("Conceded, in your name."),
    "refused": Msg("The spoken concession is refused: its gate is shut again."),
    "answered": Msg("The answer is on its way to the crew."),
    "judged": Msg("Judged anew."),
    "closed": Msg("Closed. Phones hear of it as soon as they have a network."),
    "reopened": Msg("Reopened."),
}
_NOT_SIGNED = Plural(
    "{step} {title} is not signed for good.",
    "{count} steps are not signed for good. The first: {step} {title}.",
)
_WITHIN_OF = Plural("{within} of {count} check within", "{within} of {count} checks within")
STATES = {
    "new": Msg("not begun"),
    "open": Msg("under way"),
    "broken": Msg("a sign-off is broken"),
    "disputed": Msg("a sign-off is disputed"),
    "signed": Msg("all signed: waits for you"),
    "returned": Msg("returned to the crew"),
    "done": Msg("accepted"),
    "cancelled": Msg("cancelled"),
    "archived": Msg("archived"),
}


def get(request: Request) -> Page:
    """Return the review of an opening."""
    id = request.parts[1]
    opening = request.opening(id)
    state = request.state(id)
    kind = opening_state(state)
    barred = accept_bars(request, state)
    page = common.page_frame(request, request.say(Msg("Review")), opening)
    page["where"]["href"] = request.path
    page["where"]["back"] = common.page_link("/office", request.say(Msg("Openings")))
    said = SAID.get(request.query.get("said", ""))
    if said is not None:
        page["notices"].append(common.page_notice("good", request.say(said)))
    taken = history.all_readings(state)
    exceptions = exceptions_of(request, id, state)
    picture_of = _door_with_verdicts(request, state, exceptions)
    for one in exceptions:
        del one["result"]  # no part of what a template is given
    receipts = Receipts(request, state, request.received)
    context = {
        "page": page,
        "door": request.say(common.door_words(state)),
        "result": common.progress_words(request, state),
        "picture_of": picture_of,
        "here": {"state": kind, "state_text": request.say(STATES[kind])},
        "notes": review_notes(request, state, state.review())
        + clocks.clock_notes(request, state, receipts)
        + clocks.timed_notes(request, state)
        + _model_notes(request, state),
        "exceptions": exceptions,
        "count": request.say(_count_words(len(exceptions))),
        "flags": rules_flags(request, state),
        "record": "/record/" + id,
        "field": common.path_of(id),
        "voice": "/office/o/" + id + "/voice",
        "job": {"href": "/office/jobs/" + opening["job"], "title": opening["job_title"]},
        "drawing": "/office/drawing/" + id,
        "shop": "/office/shop/" + id,
        "template": "/office/templates/new/" + id,
        "history": common.path_of(id, "history"),
        "entries": "/office/o/" + id + "/entries",
        "practice": "/office/practice/" + id if state.practice is not None else "",
        "steps": [_step_review(request, id, state, step, taken, receipts) for step in state.steps],
        "queries": [_query_review(request, state, q, answer) for q, answer in state.queries()],
        "struck": struck(request, id, state, taken),
        "accept": None
        if barred or kind in ("done", "archived")
        else _acceptance_form(request, state),
        "bars": barred,
        "send_back": _return_form(request, state),
        "next": _next_review(request),
        "closing": closing.closing_form(request, state),
    }
    return Page("office/review.html", context)


def _door_with_verdicts(request: Request, state: State, exceptions: list[Json]) -> Json:
    """Return the door with each exception by its number where that is on it, else the plain door.

    The list has the numbers too.
    """
    marked, remarks = [], []
    for number, one in enumerate(exceptions, 1):
        place = worst_place(state, one["result"]) if one["result"] is not None else None
        if place is None:
            continue
        one["number"] = str(number)
        words = Msg("{number} {title}: {verdict}", number=number, title=one["title"],
                    verdict=one["badge"]["word"])  # fmt: skip
        marked.append((number, place))
        remarks.append(words)
    drawn = drawings.marked_places(state.drawing, marked, request.speaker, remarks)
    return drawn or drawings.elevation_picture(state.drawing, request.speaker)


def _model_notes(request: Request, state: State) -> list[Json]:
    """Return how far the door model was off, once the gaps were measured."""
    gaps = predicted_gaps(state)
    off = greatest_miss(gaps)
    if off is None:
        return []
    words = Msg("The door model foretold the gaps within {size}.", size=Len(off))
    worse = [gap.where for gap in gaps if gap.off is not None and gap.off > gap.spread]
    if worse:
        words = Msg(
            "The door model foretold the gaps within {size}; off by more than it said: {where}.",
            size=Len(off),
            where=worse,
        )
    return [common.remark_of(request.say(words))]


def _step_review(
    request: Request, id: str, state: State, step: Step, taken: list[Json], receipts: Receipts
) -> Json:
    sign = gate.sign_of(state, step)
    signed = ""
    if sign is not None:
        words = Msg("Signed by {who}", who=common.who_when(request, sign.event))
        told = [request.say(words), receipts.of(sign.event), receipts.remark(sign.event)]
        signed = " · ".join(one for one in told if one)
    judged = judge.results_of(state, step)
    plain = [result for result in judged if not is_exception(result)]
    found = [_check_review(request, id, state, step, result) for result in plain]
    checks, waiting = results.begun_and_waiting(found)
    within = len([result for result in judged if result.verdict == WITHIN])
    return {
        "id": step.key.replace(":", "-"),
        "within": request.say(_WITHIN_OF.of(len(judged), within=within)) if judged else "",
        "row": common.step_row(request, id, state, step, ""),
        "signed": signed,
        "tasks": step_tasks(request, state, step),
        "decisions": step_decisions(request, state, step),
        "tables": step_tables(request, id, state, step, taken, receipts.remark),
        "photos": _step_photos(request, state, step),
        "checks": checks,
        "waiting": waiting,
    }


def _check_review(
    request: Request, id: str, state: State, step: Step, result: judge.Result
) -> Json:
    out = results.check_words(request, id, state, step, result)
    out.update({"correct": None, "settle": None, "voice": None})  # those are the crew's
    out["id"] = check_anchor(step, out["id"]).removeprefix("check-")
    return out


def _count_words(count: int) -> Msg:
    if not count:
        return Msg("Nothing is out, conceded, missing or broken.")
    return Plural("{count} thing to look at", "{count} things to look at").of(count)


def _next_review(request: Request) -> Json | None:
    """Return the opening that waits longest for a review, but for this one; None for none."""
    waiting = request.next_review
    if not waiting:
        return None
    words = Plural("Next review: {letter} {room}", "Next review: {letter} {room} ({count} wait)")
    text = words.of(waiting["count"], letter=waiting["letter"], room=waiting["room"])
    return common.page_link("/office/o/" + waiting["opening"], request.say(text))


def _step_photos(request: Request, state: State, step: Step) -> list[Json]:
    """Return the photos of a step; of one that has not come, the words for it in its place."""
    out = step_photos(request, state, step)
    for shown in out:
        shown["where"] = photo.photo_whereabouts(request, shown["sha256"])
        shown["href"] = "" if shown["where"] else "/photos/" + shown["sha256"]
    return out


def _query_review(request: Request, state: State, query: Json, answer: Json | None) -> Json:
    out = queries.query_shown(request, query, answer)
    out["revise"] = ""
    if out["open"]:
        out["revise"] = "/office/drawing/" + request.parts[1] + "?query=" + query["id"]
        name = "answer-" + query["id"]
        out["form"] = request.make_form(
            name, "answer", state, ("answer", "words"), query=query["id"]
        )
        chosen = out["form"]["typed"]["answer"]
        out["answers"] = [
            common.form_choice(value, request.say(queries.ANSWERS[value]), value == chosen)
            for value in ("build", "wait")
        ]
    return out


def accept_bars(request: Request, state: State) -> list[Json]:
    """Return what bars the acceptance: steps without a good sign-off, open queries.

    Of many steps the first one is named.
    """
    cancelled = state.cancelled()
    if cancelled is not None:
        words = Msg("It is cancelled: reopen it first.")
        return [common.page_link("#closing", request.say(words))]
    out = _steps_not_signed(request, state)
    for step in state.steps:
        for result in judge.results_of(state, step):
            if result.provisional is not None:
                words = Msg("{step} {check}: a spoken concession waits for your word in writing.",
                            step=step.key, check=Msg(result.check["title"]))  # fmt: skip
                anchor = "#" + check_anchor(step, result.check["id"])
                out.append(common.page_link(anchor, request.say(words)))
    for query, answer in state.queries():
        if answer is None:
            text = Msg("Query without an answer: {words}", words=query["body"]["words"])
            out.append(common.page_link("#query-" + query["id"], request.say(text)))
    return out


def _steps_not_signed(request: Request, state: State) -> list[Json]:
    signs = [(step, gate.sign_of(state, step)) for step in state.steps]
    left = [step for step, sign in signs if sign is None or not sign.good]
    shown = left if len(left) <= MOST_STEPS else left[:1]
    return [
        common.page_link(
            common.step_path(request.parts[-1], step),
            request.say(_NOT_SIGNED.of(1 + len(left) - len(shown), step=step.id, title=step.title)),
        )
        for step in shown
    ]


def _acceptance_form(request: Request, state: State) -> Json:
    return {
        "form": request.make_form("accept", "accept", state, ("confirm",)),
        "statement": request.say(
            Msg(
                "I have reviewed every step, reading and open item of this opening, and accept it "
                "as it is recorded."
            )
        ),
        "name": request.person["name"],
    }


def _return_form(request: Request, state: State) -> Json | None:
    """Return the form that returns the opening at a step; None before anything was signed.

    The step, and the points chosen in it, come from the address, or from what was typed.
    """
    signed = [step for step in state.steps if gate.sign_of(state, step) is not None]
    if not signed:
        return None
    form = request.make_form("return", "return", state, ("step", "words"))
    key = form["typed"]["step"] or request.query.get("return", "")
    step = next((step for step in signed if step.key == key), None)
    typed = request.trouble["typed"] if request.trouble is not None and form["error"] else {}
    chosen = request.query.get("again", "").split() + [
        name.removeprefix(AGAIN) for name in typed if name.startswith(AGAIN)
    ]
    return {
        "form": form,
        "open": not chosen,
        "steps": [_step_choice(request, one, one.key == key) for one in signed],
        "step": _step_choice(request, step, True) if step is not None else None,
        "points": [
            common.form_choice(
                AGAIN + point["id"], request.say(Msg(point["title"])), point["id"] in chosen
            )
            for point in (judge.asked_points(state, step) if step is not None else ())
        ],
    }


def _step_choice(request: Request, step: Step, chosen: bool) -> Json:
    text = Msg("{id} {title}", id=step.id, title=step.title)
    return common.form_choice(step.key, request.say(text), chosen)


def post_accept(request: Request) -> Page:
    """Accept an opening; everything must be signed for good, and every query answered."""
    id = request.parts[1]
    state = request.state(id)
    barred = accept_bars(request, state)
    if barred:
        raise RefusedError(
            "accept-barred", Msg("This opening cannot be accepted yet."), reasons=barred
        )
    if request.typed("confirm") != "yes":
        raise InputError("confirm-missing", Msg("Tick the statement first, then accept."))
    body: Json = {"result": "accepted", "words": request.typed("words")}
    lines = [line for step in state.steps for line in gate.verdict_lines(state, step)]
    body.update(judged_by(state, lines))
    return _settled(request, "accepted", "judging", "opening.reviewed", body)


def post_return(request: Request) -> Page:
    """Return an opening to its crew at a step; the step's sign-off is broken until signed again.

    What was chosen to be measured again is stale from then on: the step is not signed without it.
    """
    id = request.parts[1]
    state = request.state(id)
    step = state.step(request.required("step", Msg("Choose a step.")))
    words = request.required("words", Msg("Say what the crew should do."))
    body: Json = {"result": "returned", "step": step.key, "words": words}
    again = [
        point["id"]
        for point in judge.asked_points(state, step)
        if request.typed(AGAIN + point["id"]) == "yes"
    ]
    if again:
        body["again"] = again
    return _settled(request, "returned", "judging", "opening.reviewed", body)


def post_concede(request: Request) -> Page:
    """Permit in writing that a failed check stays as it is, for just its present readings."""
    id = request.parts[1]
    state = request.state(id)
    step = state.step(request.typed("step"))
    result = _result_of(state, step, request.typed("check"))
    if result.check["rank"] not in RANKS:
        raise RefusedError(
            "never-conceded",
            Msg("This cannot be conceded. It concerns safety: it is put right, or it waits."),
        )
    body: Json = {
        "check": result.check["id"],
        "panel": step.panel,
        "readings": result.readings,
        "reason": request.required("reason", Msg("Give the reason in writing.")),
    }
    body.update(judged_by(state, [gate.verdict_line(state, step, result)]))
    if result.check["rank"] == "author":
        body["answer"] = request.required(
            "answer", Msg("Copy the written answer of the drawing's author: who, when, what.")
        )
    anchor = check_anchor(step, result.check["id"])
    return _settled(request, "conceded", anchor, "concession.given", body)


def post_deny(request: Request) -> Page:
    """Refuse a spoken concession: the gate is shut again, and what was signed over it is broken."""
    id = request.parts[1]
    state = request.state(id)
    step = state.step(request.typed("step"))
    result = _result_of(state, step, request.typed("check"))
    known = state.ledger.by_id.get(request.form.get("id", "")) is not None
    if result.provisional is None and not known:
        words = Msg("There is no spoken concession here that waits for you.")
        raise RefusedError("not-provisional", words)
    reason = request.required("reason", Msg("Give the reason in writing."))
    body = {"check": result.check["id"], "panel": step.panel, "reason": reason}
    anchor = check_anchor(step, result.check["id"])
    return _settled(request, "refused", anchor, "concession.withdrawn", body)


def _settled(request: Request, said: str, anchor: str, kind: str, body: Json) -> Page:
    """Return where a settled form leads: back to its place, with words for what was done."""
    draft = event_draft(request, request.parts[1], kind, body)
    return Page(location=request.path + "?said=" + said + "#" + anchor, drafts=[draft])


def _result_of(state: State, step: Step, check: str) -> judge.Result:
    for result in judge.results_of(state, step):
        if result.check["id"] == check:
            return result
    raise MissingError("check-unknown", Msg("There is no such check."))


def post_answer(request: Request) -> Page:
    """Answer a query of the crew."""
    id = request.parts[1]
    state = request.state(id)
    query = request.typed("query")
    if query not in [raised["id"] for raised, _ in state.queries()]:
        raise MissingError("query-unknown", Msg("There is no such query."))
    if request.typed("answer") not in queries.ANSWERS:
        raise InputError("choice-missing", Msg("Choose one answer."))
    words = request.required("words", Msg("Say it in words, so that the crew knows what to do."))
    body = {"query": query, "answer": request.typed("answer"), "words": words}
    return _settled(request, "answered", "query-" + query, "query.answered", body)


POSTS = {
    "accept": post_accept,
    "return": post_return,
    "concede": post_concede,
    "deny": post_deny,
    "answer": post_answer,
    "judge": post_judge,
    "close": closing.post_close,
    "reopen": closing.post_reopen,
}
