"""A step's cautions: a card before its first task, once a day a person; afterwards one line."""

from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Page, Request, event_draft
from app.core.quantity.messages import Msg, When
from app.core.record.canonical import digest
from app.core.record.state import State, Step


def read_today(request: Request, state: State, step: Step) -> "Json | None":
    """Return the event by which this person read the step's cautions today; None without one.

    A step that is done panel by panel is one step here. Cautions in other words are read anew.
    """
    shown = digest(step.data["cautions"])
    for event in state.ledger.of_kind("cautions.read"):
        mine = event["person"] == request.person["id"] and event["at"][:10] == request.now[:10]
        of_step = event["body"]["step"].partition(":")[0] == step.id
        if mine and of_step and event["body"]["cautions"] == shown:
            found: Json = event
            return found
    return None


def _has_read_today(request: Request, state: State) -> bool:
    """Return whether this person has read the cautions of any step of this opening today."""
    return any(
        [
            event["person"] == request.person["id"] and event["at"][:10] == request.now[:10]
            for event in state.ledger.of_kind("cautions.read")
        ]
    )


def are_due(request: Request, state: State, step: Step) -> bool:
    """Return whether the step has cautions that this person has not read today."""
    return bool(step.data["cautions"]) and read_today(request, state, step) is None


def cautions_card(request: Request, state: State, step: Step) -> Json:
    """Return what the card of a step's cautions shows, with the form that keeps the reading."""
    shown = digest(step.data["cautions"])
    return {
        "kind": "cautions",
        "cautions": [request.say(Msg(text)) for text in step.data["cautions"]],
        "first_today": not _has_read_today(request, state),
        "form": request.make_form("cautions", "cautions", state, (), cautions=shown),
    }


def cautions_line(request: Request, id: str, state: State, step: Step) -> "Json | None":
    """Return a step's cautions as its page has them; None where it has none.

    reminders: what is never folded away. line: when this person read them today; "" where due.
    """
    if not step.data["cautions"]:
        return None
    read = read_today(request, state, step)
    words = Msg("Cautions: read today, {when}", when=When(read["at"])) if read is not None else ""
    return {
        "texts": [request.say(Msg(text)) for text in step.data["cautions"]],
        "reminders": [request.say(Msg(text)) for text in step.data.get("reminders", [])],
        "line": request.say(words) if words else "",
        "card": common.card_path(id, step),
    }


def keep_read(request: Request, id: str, step: Step) -> Page:
    """Keep that this person read the step's cautions, as the card showed them."""
    body = {"step": step.key, "cautions": request.typed("cautions")}
    return Page(location=request.path, drafts=[event_draft(request, id, "cautions.read", body)])
