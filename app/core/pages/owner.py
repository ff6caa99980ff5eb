"""The owner's signature at the handover, on the page of the last step."""

from app.core.kinds import Json
from app.core.pages import signature
from app.core.pages.request import Page, Request, event_draft
from app.core.quantity.messages import Msg
from app.core.record.state import State, Step

STATEMENT = Msg(
    "I was shown how to open, close, lock and care for this door, and was told what is still "
    "open. By signing I accept no hidden defect, and give up no right."
)


def owner_section(request: Request, state: State, step: Step) -> "Json | None":
    """Return the owner's part of the handover; None at every step but the last."""
    if step.key != state.steps[-1].key:
        return None
    signed = state.handed_over()
    return {
        "form": request.make_form("owner", "owner", state, signature.FIELDS),
        "statement": request.say(STATEMENT),
        "signed": signature.signature_shown(request, signed) if signed is not None else None,
    }


def keep_signature(request: Request) -> Page:
    """Keep the owner's signature."""
    id = request.parts[1]
    body = signature.signature_given(request)
    return Page(
        location=request.address, drafts=[event_draft(request, id, "handover.signed", body)]
    )
