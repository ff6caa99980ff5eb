"""One tap for many things that need no judgement: all parts here, all tasks yes; and its undo.

What somebody said already stays as it was said. A judged length, a photo, a decision, a task of
rank never and one that starts or ends a clock are not among them: each is answered by itself.
"""

from app.core.errors import MissingError, RefusedError
from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Page, Request, event_draft
from app.core.quantity.messages import Msg, Plural
from app.core.record.course import goes_together, timed_tasks
from app.core.record.events import has_seen
from app.core.record.ledger import slots_of
from app.core.record.state import State, Step

FEWEST = 2  # one thing alone has a button of its own
SAID = {
    "parts.stated": Plural(
        "{count} part here, said at once by {who}", "{count} parts here, said at once by {who}"
    ),
    "tasks.ticked": Plural(
        "{count} task ticked at once by {who}", "{count} tasks ticked at once by {who}"
    ),
}


def unsaid_parts(state: State) -> "list[str]":
    """Return the marks of the parts of which nobody has said anything."""
    return [part["mark"] for part, stated in state.parts() if stated is None]


def unsaid_tasks(state: State, step: Step) -> "list[str]":
    """Return the tasks of a step that nobody touched and that may be ticked together."""
    timed = timed_tasks(state)
    return [
        task["id"]
        for task in state.tasks(step)
        if goes_together(task, timed)
        and state.ledger.last("task|" + step.key + "|" + task["id"]) is None
    ]


def all_words(kind: str, count: int) -> Msg:
    """Return what the button for all that is unsaid says."""
    if kind == "parts.stated":
        return Msg("All here: {count}", count=count)
    return Msg("All yes: {count}", count=count)


def act_shown(
    request: Request, state: State, kind: str, unsaid: "list[str]", step: str = ""
) -> Json:
    """Return the button for all that is unsaid, None where that is little; and the acts so far.

    kind: parts.stated or tasks.ticked. step: the step's key for tasks.
    """
    form = None
    if len(unsaid) >= FEWEST:
        form = request.make_form("all", "all", state, ())
        form["text"] = request.say(all_words(kind, len(unsaid)))
    said = [event for event in state.ledger.of_kind(kind) if event["body"].get("step", "") == step]
    return {
        "form": form,
        "acts": [_act_so_far(request, state, event) for event in said if _stands(state, event)],
    }


def _stands(state: State, event: Json) -> bool:
    """Return whether an act still says something that nobody has said otherwise since."""
    return any([state.ledger.last(slot) is event for slot in slots_of(event)])


def _act_so_far(request: Request, state: State, event: Json) -> Json:
    things = event["body"].get("marks", event["body"].get("tasks", []))
    words = SAID[event["kind"]].of(len(things), who=common.who_when(request, event))
    name = "undo-" + event["id"]
    return {
        "text": request.say(words),
        "undo": request.make_form(name, "undo-all", state, (), target=event["id"]),
    }


def keep_all(request: Request, id: str, state: State, kind: str, body: Json) -> Page:
    """Keep one act for all that is unsaid; `body` says what that is now.

    Errors: RefusedError 'changed-since' where the list itself changed after the page was shown,
    'nothing-left' where all of it has been said.
    """
    draft = event_draft(request, id, kind, body)
    known = state.ledger.by_id.get(draft["id"])
    if known is not None and known["kind"] == kind:  # the same form once more: as it was kept
        draft["body"] = known["body"]
        return Page(location=request.address, drafts=[draft])
    for listed in (state.drawing_event, state.procedure_event):
        if not has_seen(draft, listed):
            words = Msg("The list was changed since this page was shown. Look at it again.")
            raise RefusedError("changed-since", words)
    if not body.get("marks", body.get("tasks")):
        raise RefusedError("nothing-left", Msg("All of it has been said already."))
    return Page(location=request.address, drafts=[draft])


def undo_all(request: Request, id: str, state: State, kind: str) -> Page:
    """Strike an act of all at once: nothing has been said then of what it said."""
    target = state.ledger.by_id.get(request.typed("target"))
    if target is None or target["kind"] != kind:
        raise MissingError("act-missing", Msg("There is nothing to undo."))
    body = {"target": target["id"], "why": request.say(Msg("undone at once"))}
    return Page(location=request.address, drafts=[event_draft(request, id, "entry.struck", body)])
