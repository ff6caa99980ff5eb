"""/field/o/ID/shop: the maker's shop drawing as pictures, which the phone has taken along.

To look at only: what is judged is judged by the drawing that the office typed (drawn.py).
"""

from app.core.errors import MissingError
from app.core.pages import common
from app.core.pages.request import Page, Request
from app.core.quantity.messages import Msg


def get(request: Request) -> Page:
    """Return the pages of the shop drawing; MissingError 'page-unknown' where there is none."""
    id = request.parts[1]
    opening = request.opening(id)
    pages = opening.get("shop", [])
    if not pages:
        raise MissingError("page-unknown", Msg("There is no such page."))
    back = common.page_link(common.path_of(id), request.say(Msg("Opening")))
    context = {
        "page": common.page_frame(request, request.say(Msg("Shop drawing")), opening, back),
        "pages": [
            {
                "src": "/photos/" + page["sha256"],
                "width": page["width"],
                "height": page["height"],
                "text": request.say(Msg("Page {n} of {count}", n=k + 1, count=len(pages))),
            }
            for k, page in enumerate(pages)
        ],
        "drawing": common.path_of(id, "drawing"),
    }
    return Page("field/shop.html", context)
