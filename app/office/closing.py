"""Closing an opening at its review: cancelled before it is accepted, archived after; reopened."""

from app.core.errors import RefusedError
from app.core.kinds import Json
from app.core.pages.request import Page, Request, event_draft
from app.core.quantity.messages import Msg
from app.core.record.standing import work_state
from app.core.record.state import State
from app.office.issue.work import JOB_CLOSED

REASON = Msg("Say why: the crew reads it.")


def closing_form(request: Request, state: State) -> Json:
    """Return the form that closes an opening, or opens it again.

    {"form", "title", "about", "button", "job": what must be reopened first, "" where nothing must}
    """
    job = "/office/jobs/" + request.opening(request.parts[1])["job"] + "/close"
    if state.closed() is not None:
        title = Msg("Reopen this opening")
        about = JOB_CLOSED if request.job_closed else Msg("It goes on where it stopped.")
        act, button = "reopen", Msg("Reopen it")
    elif work_state(state) == "done":
        title = Msg("Archive this opening")
        about = Msg("It leaves the lists. Its record and all entries are kept.")
        act, button = "close", Msg("Archive it")
    else:
        title = Msg("Cancel this opening")
        about = Msg("The crew can enter nothing more and reads why. All entries are kept.")
        act, button = "close", Msg("Cancel it")
    return {
        "form": request.make_form("closing", act, state, ("reason",)),
        "dangerous": act == "close",
        "job": job if act == "reopen" and request.job_closed else "",
        **{name: request.say(words) for name, words in
           (("title", title), ("about", about), ("button", button))},
    }  # fmt: skip


def post_close(request: Request) -> Page:
    """Archive an opening that is accepted; cancel any other."""
    state = request.state(request.parts[1])
    reason = request.required("reason", REASON)
    if state.closed() is not None and not _is_replay(request, state):
        raise RefusedError("closed-already", Msg("It is closed already. Nothing was changed."))
    result = "archived" if work_state(state) == "done" else "cancelled"
    return _closing_page(request, "opening.closed", {"result": result, "reason": reason}, "closed")


def post_reopen(request: Request) -> Page:
    """Open an opening again."""
    state = request.state(request.parts[1])
    reason = request.required("reason", REASON)
    if state.closed() is None and not _is_replay(request, state):
        raise RefusedError("open-already", Msg("It is open already. Nothing was changed."))
    if request.job_closed:
        raise RefusedError("job-closed", JOB_CLOSED)
    return _closing_page(request, "opening.reopened", {"reason": reason}, "reopened")


def _is_replay(request: Request, state: State) -> bool:
    return request.form.get("id", "") in state.ledger.by_id


def _closing_page(request: Request, kind: str, body: Json, said: str) -> Page:
    draft = event_draft(request, request.parts[1], kind, body)
    return Page(location=request.path + "?said=" + said, drafts=[draft])
