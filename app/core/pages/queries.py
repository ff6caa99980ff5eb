"""/field/o/ID/queries: drawing and site disagree; questions to the office that bar named steps."""

from app.core.errors import InputError
from app.core.kinds import Json
from app.core.pages import common, history
from app.core.pages.request import Page, Request, event_draft
from app.core.quantity.messages import Msg
from app.core.record import judge
from app.core.record.events import TEXT_LIMIT
from app.core.record.standing import ids_not_signed, next_step
from app.core.record.state import State

ANSWERS = {
    "revised": Msg("Revised drawing"),
    "build": Msg("Build as is"),
    "wait": Msg("Wait"),
}


def get(request: Request) -> Page:
    """Return the queries of an opening and the form to raise one."""
    id = request.parts[1]
    opening = request.opening(id)
    state = request.state(id)
    back = common.page_link(common.path_of(id), request.say(Msg("Opening")))
    form = request.make_form("raise", "raise", state, ("what", "measured", "drawn"))
    if request.trouble is None:
        form["typed"]["what"] = _what_is_out(request, state)
        form["typed"]["measured"] = _what_was_read(request, state)
    following = next_step(state) if state.queries() and state.cancelled() is None else None
    context = {
        "page": common.page_frame(request, request.say(Msg("Queries")), opening, back),
        "queries": [query_shown(request, query, answer) for query, answer in state.queries()],
        "next": None if following is None else common.onward_link(request, id, following),
        "ask": {"form": form, "steps": _step_choices(request, state)},
    }
    return Page("field/queries.html", context)


def _what_is_out(request: Request, state: State) -> str:
    """Return the check that a card leads here from, and what it says; "" where none is named."""
    key = request.query.get("step", "").replace("-", ":")
    for step in state.steps:
        for result in judge.results_of(state, step) if step.key == key else []:
            if result.check["id"] == request.query.get("check", ""):
                outcome = judge.so_far(state, result.check, step.panel) or result.outcome
                says = " ".join([request.say(words) for words in outcome.says])
                words = Msg("{check}: {says}", check=Msg(result.check["title"]), says=says)
                return request.say(words)[:TEXT_LIMIT]
    return ""


def _what_was_read(request: Request, state: State) -> str:
    """Return the reading that a card leads here from, and where; "" where none is named."""
    event = state.ledger.by_id.get(request.query.get("reading", ""))
    if event is None or event["kind"] != "reading.taken":
        return ""
    place = history.place_text(request, state, event["body"])
    value = history.value_text(request, event, state)
    return request.say(Msg("{place}: {value}", place=place, value=value))[:TEXT_LIMIT]


def _step_choices(request: Request, state: State) -> "list[Json]":
    """Return the steps that can wait: those that are not signed; all where all are."""
    left = ids_not_signed(state) or [step.id for step in state.steps]
    typed = {"bars." + request.query.get("step", "").partition("-")[0]: "yes"}
    if request.trouble is not None:
        typed = request.trouble["typed"]
    out = []
    for step in state.procedure["steps"]:
        if step["id"] not in left:
            continue
        text = request.say(Msg("{id} {title}", id=step["id"], title=Msg(step["title"])))
        out.append(common.form_choice(step["id"], text, typed.get("bars." + step["id"]) == "yes"))
    return out


def query_shown(request: Request, query: Json, answer: "Json | None") -> Json:
    """Return a query for a template."""
    body = query["body"]
    bars = ", ".join(body["bars"])
    is_open = answer is None or answer["body"]["answer"] == "wait"
    since = Msg("open since {when}", when=common.time_words(request, query["at"]))
    return {
        "id": query["id"],
        "open": is_open,
        "state_text": request.say(since if is_open else Msg("answered")),
        "what": body["words"],
        "measured": body.get("measured", ""),
        "drawn": body.get("drawn", ""),
        "bars": request.say(Msg("bars {step}", step=bars)) if bars else "",
        "by": common.who_when(request, query),
        "answer": None if answer is None else answer_shown(request, answer),
        "form": None,
        "answers": [],
    }


def answer_shown(request: Request, answer: Json) -> Json:
    """Return the office's answer as a remark: what it chose, who and when, and its words."""
    text = Msg(
        "{answer}: {who}",
        answer=ANSWERS.get(answer["body"]["answer"], Msg("unknown answer")),
        who=common.who_when(request, answer),
    )
    return common.remark_of(request.say(text), answer["body"]["words"])


def post_raise(request: Request) -> Page:
    """Keep a query."""
    id = request.parts[1]
    state = request.state(id)
    words = request.required("what", Msg("Say what drawing and site disagree on."))
    steps = [step["id"] for step in state.procedure["steps"]]
    barred = [step for step in steps if request.form.get("bars." + step) == "yes"]
    if not barred:
        raise InputError("bars-missing", Msg("Choose the steps that must wait for the answer."))
    body: Json = {"words": words, "bars": barred}
    for field in ("measured", "drawn"):
        if request.typed(field):
            body[field] = request.typed(field)
    return Page(location=request.path, drafts=[event_draft(request, id, "query.raised", body)])


POSTS = {"raise": post_raise}
