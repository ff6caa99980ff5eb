"""/field/o/ID/setout: what can be worked out before work starts."""

from app.core import setout
from app.core.pages import common
from app.core.pages.request import Page, Request
from app.core.words import Msg


def get(request: Request) -> Page:
    """Return the set-out of an opening."""
    id = request.parts[1]
    opening = request.opening(id)
    state = request.state(id)
    back = common.link(common.path_of(id), request.say(Msg("Opening")))
    context = {
        "page": common.frame(request, request.say(Msg("Set-out")), opening, back),
        "sections": setout.sections(state.drawing, request.speaker),
    }
    return Page("field/setout.html", context)
