"""What the office's paths mean; the same shape as app.core.entry, so one adapter serves both."""

from types import ModuleType

from app.core.entry import respond_by
from app.core.errors import MissingError
from app.core.kinds import Json
from app.core.pages.request import Request
from app.core.quantity.messages import Msg
from app.homeowner import record
from app.office import review


def needs(data: Json) -> list[str] | None:
    """Return the openings whose events a page needs; None for all."""
    parts = [part for part in data["path"].split("/") if part]
    if parts[0] == "record":
        return parts[1:2]
    return parts[2:3] if parts[1:2] == ["o"] else None


def answer(data: Json) -> Json:
    """Answer a request of /office or /record; see app.core.entry.answer."""
    return respond_by(Request(data), _page_module)


def _page_module(request: Request) -> ModuleType:
    if request.path.startswith("/record/") and len(request.parts) == 1:
        return record
    if request.parts[:1] == ["o"] and len(request.parts) == 2:
        return review
    raise MissingError("page-unknown", Msg("There is no such page."))
