"""Done as planned: one tap for a remedy that the program planned; what was done is filled in.

Where the plan tells the positions of the work, only the readings that these concern are taken
again, with one check shot; where it tells the panels, those at these panels and their edges.
Else what was moved makes stale what its adjustment names.
"""

from app.core.checks.index import spec_of
from app.core.errors import MissingError, RefusedError
from app.core.kinds import Json
from app.core.pages.request import Page, Request, event_draft
from app.core.quantity.messages import Msg, Plural
from app.core.record import judge
from app.core.record.canonical import digest
from app.core.record.concerned import (
    adjustments_of,
    count_read,
    places_concerned,
    places_of_panels,
)
from app.core.record.events import TEXT_LIMIT
from app.core.record.state import State, Step
from app.core.trade.verdicts import OUT

AGAIN = Plural(
    "Then {count} place again, check shot too.",
    "Then {count} places again, check shot too.",
)

AGAIN_ALL = Plural("Then {count} place again.", "Then {count} places again.")

AGAIN_AT_PANELS = Plural(
    "{count} place at turned panels.",
    "{count} places at turned panels.",
)


def planned_form(request: Request, state: State, step: Step, result: judge.Result) -> "Json | None":
    """Return the form that says that a remedy was carried out as planned; None without a plan."""
    plan = _plan_of(request, state, step, result)
    if plan is None:
        return None
    check = result.check["id"]
    form = request.make_form(
        "planned-" + check, "as-planned", state, (), check=check, plan=digest(plan)
    )
    form["again"] = ""
    if "places" in plan:
        again = AGAIN_AT_PANELS
        if spec_of(result.check["calc"]).touched is not None:
            shot = any([key.endswith("|closing") for key in plan["places"]])
            again = AGAIN if shot else AGAIN_ALL
        count = count_read(state, plan["places"])
        form["again"] = request.say(again.of(count)) if count else ""
    return form


def _plan_of(request: Request, state: State, step: Step, result: judge.Result) -> "Json | None":
    """Return the body of the correction that a plan comes to; None where there is no plan."""
    spec = spec_of(result.check["calc"])
    remedies = result.outcome.remedies
    if result.verdict != OUT or not remedies or not (spec.touched or spec.whole_door):
        return None
    words = " ".join([request.say(one) for one in remedies])
    body = {
        "step": step.key,
        "check": result.check["id"],
        "panel": step.panel,
        "words": words if len(words) <= TEXT_LIMIT else words[: TEXT_LIMIT - 1] + "…",
    }
    if spec.touched is not None:
        touched = spec.touched(judge.ask_for_check(state, result.check, step.panel))
        if not any([touched[input] for input in touched]):
            return None
        body["places"] = places_concerned(state, step, result.check, touched)
    if spec.turned is not None:
        turned = spec.turned(judge.ask_for_check(state, result.check, step.panel))
        if turned is None:  # it asks for a reading, or sends to the office: nothing is carried out
            return None
        if turned:
            body["places"] = places_of_panels(state, step, result.check, turned)
    return body


def keep_planned(request: Request, id: str, state: State, step: Step) -> Page:
    """Keep that a remedy was carried out as planned, in the plan's own words.

    Errors: MissingError 'check-unknown'; RefusedError 'changed-since' where the plan is another
    one by now.
    """
    draft = event_draft(request, id, "correction.made", {})
    known = state.ledger.by_id.get(draft["id"])
    if known is not None and known["kind"] == "correction.made":  # the same form once more
        draft["body"] = known["body"]
        return Page(location=request.address, drafts=[draft])
    for result in judge.results_of(state, step):
        if result.check["id"] == request.typed("check"):
            plan = _plan_of(request, state, step, result)
            if plan is None or digest(plan) != request.typed("plan"):
                words = Msg("The plan is another one by now. Look at it again.")
                raise RefusedError("changed-since", words)
            draft = event_draft(request, id, "correction.made", plan)
            moved = [] if "places" in plan else _moved_drafts(request, id, step, result.check)
            return Page(location=request.address, drafts=[draft] + moved)
    raise MissingError("check-unknown", Msg("There is no such check."))


def _moved_drafts(request: Request, id: str, step: Step, check: Json) -> "list[Json]":
    return [
        event_draft(
            request,
            id,
            "adjustment.made",
            {
                "step": step.key,
                "adjustment": moved["id"],
                "panel": step.panel,
                "words": request.say(Msg(moved["text"])),
            },
            "moved-" + moved["id"],
        )
        for moved in adjustments_of(step, check)
    ]
