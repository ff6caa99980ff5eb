"""/field/help: how to put Sillbook on the home screen, and what is safe where. Offline too."""

from app.core.pages import common
from app.core.pages.request import Page, Request
from app.core.quantity.messages import Msg


def get(request: Request) -> Page:
    """Return the page; all its words stand in the template."""
    page = common.page_frame(request, request.say(Msg("Help")))
    return Page("field/help.html", {"page": page, "on_phone": bool(request.phone)})
