"""/office: all openings, those that wait for the office first."""

from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.openings import card
from app.core.pages.request import Page, Request
from app.core.words import Msg

GROUPS = (
    ("waits", Msg("Waits for you"), ("signed",)),
    ("trouble", Msg("Needs a look"), ("broken", "disputed", "returned")),
    ("work", Msg("Under way"), ("open", "new")),
    ("done", Msg("Accepted"), ("done",)),
)


def get(request: Request) -> Page:
    """Return the openings by where they are."""
    cards = [
        card(request, opening, "/office/o/" + opening["id"]) for opening in request.book["openings"]
    ]
    groups: list[Json] = []
    for id, title, states in GROUPS:
        here = [card for card in cards if card["state"] in states]
        if here:
            groups.append({"id": id, "title": request.say(title), "openings": here})
    empty = "" if groups else request.say(Msg("No opening has been issued yet."))
    page = common.frame(request, request.say(Msg("Office: openings")))
    return Page("office/list.html", {"page": page, "groups": groups, "empty": empty})
