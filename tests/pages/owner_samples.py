"""Invented contexts of the phone in the owner's hands, and of the page that lends it."""

from typing import Any

from tests.pages.sample_pictures import progress
from tests.pages.shapes import choice, form, page
from tests.pages.step_samples import owner

Json = dict[str, Any]
LANGUAGES = [choice("en", "English", True), choice("es", "Español")]


def lending(**more: Any) -> Json:
    """The page that lends the phone."""
    return {
        "page": page("Hand the phone to the owner", "J Handover"),
        "form": form("lend"),
        "languages": LANGUAGES,
        "signed": None,
        "on_phone": True,
        "needs_code": False,
        **more,
    }


def owners(signed: bool = False, **more: Any) -> Json:
    """The page that the owner sees. more: what differs at its door."""
    bare = {**page("Your new door", where=False), "person": "", "nav": [], "sign_out": None}
    fields = {"name": "", "consent": "", "strokes": "", "words": ""}
    door = {
        "room": "Great room, lake side",
        "address": "12 Example Lane, Sampleton",
        "words": "multi-slide door, 4 panels, XXXO seen from outside",
        "so_far": progress(),
        "progress": "13 of 13 signed",
        "shown": ["Lock shown and tried"],
        "open": [],
        "open_more": "",
        "form": form("owner", **fields),
        "statement": "I was shown how this door works.",
        "signed": owner()["signed"] if signed else None,
        **more,
    }
    other = {**LANGUAGES[1], "form": form("lang-es")}
    return {
        "page": bare,
        "languages": [other],
        "back": form("back"),
        "on_phone": True,
        "crew": "Ana Example",
        "door": door,
    }


def owner_samples() -> dict[str, tuple[str, Json]]:
    """Return both pages in every state."""
    left = {"open": ["Gap at the lock: OUT, conceded by the office"], "open_more": "and 2 more"}
    refused = form("owner", error="Tick it first.", name="Cal", consent="", strokes="", words="")
    wrong = {**owners(), "back": form("back", error="That PIN is wrong. Tries left: 3.")}
    lends = {
        "lend": lending(signed=owner()["signed"]),
        "lend-code": lending(needs_code=True, form=form("lend", error="Six digits.")),
        "lend-desk": lending(on_phone=False),
    }
    shown = {
        "owner": owners(),
        "owner-open": owners(**left, shown=[], form=refused),
        "owner-signed": owners(signed=True),
        "owner-wrong": wrong,
        "owner-desk": {**owners(), "on_phone": False},
        "owner-gone": {**owners(), "door": None},
    }
    return {
        **{name: ("field/lend.html", context) for name, context in lends.items()},
        **{name: ("field/owner.html", context) for name, context in shown.items()},
    }
