"""/field/o/ID/sheet/STEP/DECISION: one page for the builder's person: the opening is not ready.

What was found, in pictures, photos and amounts, what can be done and what each way costs in height
and time; signed or declined on this screen. The answer is the step's decision; the signature
stands beside it and names the readings that were on the page.
"""

from app.core.checks.index import spec_of
from app.core.errors import InputError, MissingError
from app.core.kinds import Json
from app.core.pages import common, photo, results, signature
from app.core.pages.request import Page, Request, event_draft
from app.core.pictures import drawings
from app.core.quantity.messages import Msg
from app.core.record import gate, judge
from app.core.record.state import State, Step

STATEMENT = Msg(
    "I have seen these figures. I choose the answer above for this opening, and may do so "
    "for the builder."
)
BAD = ("out", "close", "conflict", "unreachable", "missing")


def link_to(request: Request, step: Step, decision: Json) -> str:
    """Return the way to a decision's sheet; "" where the decision is not somebody else's."""
    if not decision.get("name"):
        return ""
    key = step.key.replace(":", "-")
    return common.path_of(request.parts[1], "sheet", key, decision["id"])


def _sheet_of_path(request: Request) -> "tuple[State, Step, Json]":
    state = request.state(request.parts[1])
    if len(request.parts) == 5:
        step = state.step(request.parts[3].replace("-", ":"))
        for decision in step.data["decisions"]:
            if decision["id"] == request.parts[4] and decision.get("name"):
                return state, step, decision
    raise MissingError("sheet-unknown", Msg("There is no such sheet."))


def get(request: Request) -> Page:
    """Return the sheet."""
    id = request.parts[1]
    state, step, decision = _sheet_of_path(request)
    title = request.say(step.title)
    back = common.page_link(common.step_path(id, step), step.id + " " + title)
    found = judge.results_of(state, step)
    shown = _each_once(results.all_shown(request, id, state, step, found))
    told = any([check["ways"] for check in shown])
    for i in range(len(found)):
        # on paper the work place by place stands in the ways; where there are none, with its survey
        shown[i]["surveyed"] = not told and spec_of(found[i].check["calc"]).ways is not None
    bad = [i for i in range(len(found)) if found[i].verdict in BAD]
    good = [i for i in range(len(found)) if i not in bad]
    drawn = state.drawing.data
    context = {
        "page": common.page_frame(
            request, request.say(Msg("Is the opening ready?")), request.opening(id), back
        ),
        "title": title,
        "result": _result_words(request, shown, bad),
        "drawing": request.say(
            Msg(
                "{number}, revision {revision}",
                number=drawn.get("number", ""),
                revision=drawn.get("revision", ""),
            )
        ),
        "picture_of": drawings.elevation_picture(state.drawing, request.speaker),
        "checks": [shown[i] for i in bad if shown[i]["badge"]["kind"] != "missing"],
        "unmeasured": [shown[i] for i in bad if shown[i]["badge"]["kind"] == "missing"],
        "within": [shown[i] for i in good],
        "photos": [task for task in photo.photo_section(request, state, step) if task["taken"]],
        "answer": _answer_shown(request, state, step, decision),
        "form": _answer_form(request, state, step, decision),
    }
    return Page("field/sheet.html", context)


def _each_once(shown: "list[Json]") -> "list[Json]":
    """Leave out the ways and sums that an earlier check has told: two lines are worked together."""
    ways: list[Json] = []
    said: list[str] = []
    for check in shown:
        if check["ways"] in ways:
            check["ways"] = []
        ways.append(check["ways"])
        fresh = [text for text in check["says"] if text not in said]
        check["says"] = fresh or check["says"]
        said.extend(fresh)
    return shown


def _result_words(request: Request, shown: "list[Json]", bad: "list[int]") -> str:
    counts = dict.fromkeys(BAD, 0)
    for i in bad:
        counts[shown[i]["badge"]["kind"]] += 1
    if not bad:
        return request.say(Msg("Every check of the opening is within its limit."))
    words = Msg(
        "Of {total} checks, within: {within}; out or too close to call: {out}; not measured or not "
        "reached: {missing}.",
        total=len(shown),
        within=len(shown) - len(bad),
        out=counts["out"] + counts["close"],
        missing=counts["missing"] + counts["unreachable"],
    )
    return request.say(words)


def must_be_true(state: State, step: Step, decision: Json, chosen: str) -> None:
    """Raise InputError 'choice-unfit' for the choice "within" while a check is not within."""
    if chosen not in [c["id"] for c in gate.choices_of(state, step, decision)]:
        raise InputError("choice-unfit", Msg("A check is not within. Choose another answer."))


def _answer_form(request: Request, state: State, step: Step, decision: Json) -> Json:
    form = request.make_form("sheet", "answer", state, ("choice",) + signature.FIELDS)
    return {
        "form": form,
        "text": request.say(Msg(decision["text"])),
        "statement": request.say(STATEMENT),
        "choices": [
            common.form_choice(
                c["id"], request.say(Msg(c["text"])), c["id"] == form["typed"]["choice"]
            )
            for c in gate.choices_of(state, step, decision)
        ],
    }


def _answer_shown(request: Request, state: State, step: Step, decision: Json) -> "Json | None":
    """Return the answer that stands, with its signature where one was given on this page."""
    signed = state.sheet_answer(step.key, decision["id"])
    if signed is None:
        return None
    return shown_answer(request, state, step, decision, signed)


def shown_answer(request: Request, state: State, step: Step, decision: Json, signed: Json) -> Json:
    """Return a signed sheet for a template: its choice, its signature, whether it still fits."""
    out = signature.signature_shown(request, signed)
    out["choice"] = request.say(choice_words(decision, signed["body"]["choice"]))
    out["later"] = request.say(changed_since(state, step, decision, signed))
    return out


def changed_since(state: State, step: Step, decision: Json, signed: Json) -> "Msg | str":
    """Return what has changed since a sheet was signed; "" where it still fits."""
    made = state.decided(step.key, decision["id"])
    if made is not None and made["body"]["choice"] != signed["body"]["choice"]:
        return Msg("Decided again since, without a signature.")
    if signed["body"]["covers"] != covered_readings(state, step):
        return Msg("Readings changed after this was signed.")
    return ""


def choice_words(decision: Json, id: str) -> "Msg | str":
    """Return a choice of a decision in words; its id where the procedure no longer has it."""
    for choice in decision["choices"]:
        if choice["id"] == id:
            return Msg(choice["text"])
    return id


def covered_readings(state: State, step: Step) -> "list[str]":
    """Return the ids of the readings that the sheet shows, each once, in order."""
    out: list[str] = []
    for result in judge.results_of(state, step):
        out.extend([id for id in result.readings if id not in out])
    return out


def post_answer(request: Request) -> Page:
    """Keep the builder's answer: the step's decision, and the signature under the sheet."""
    id = request.parts[1]
    state, step, decision = _sheet_of_path(request)
    chosen = request.typed("choice")
    if chosen not in [c["id"] for c in decision["choices"]]:
        raise InputError("choice-missing", Msg("Choose one."))
    must_be_true(state, step, decision, chosen)
    signed = signature.signature_given(request)
    decided: Json = {
        "step": step.key,
        "decision": decision["id"],
        "choice": chosen,
        "name": signed["name"],
    }
    if signed.get("words"):
        decided["words"] = signed["words"]
    sheet: Json = {
        "step": step.key,
        "decision": decision["id"],
        "choice": chosen,
        "covers": covered_readings(state, step),
    }
    sheet.update(signed)
    drafts = [
        event_draft(request, id, "decision.made", decided),
        event_draft(request, id, "sheet.signed", sheet, "sheet"),
    ]
    return Page(location=request.path, drafts=drafts)


POSTS = {"answer": post_answer}
