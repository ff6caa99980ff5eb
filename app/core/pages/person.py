"""/field/person: who works on this phone, and the PIN by which each of several persons signs.

What the phone found of a typed PIN comes with the request (`pin`): the digits themselves never
come here. A PIN says who signs; it opens nothing at the office.
"""

from app.core.errors import InputError, MissingError
from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Page, Request
from app.core.quantity.messages import Msg, Plural

STATES = {
    "unset": Msg("No PIN is set on this phone for this person. Set one first, with the password."),
    "form": Msg("A PIN has six digits, at least three of them different."),
    "differs": Msg("The two PINs are not the same."),
    "locked": Msg(
        "Five wrong PINs. Set it anew with the password: that needs a network. What was entered is "
        "safe."
    ),
    "password": Msg("That is not this person's password."),
    "wait-password": Msg("Too many tries. Wait a minute, then try again."),
    "gone": Msg("This person may not enter on this phone any more. Ask the office."),
    "unpaired": Msg(
        "The office does not know this phone any more. Nothing is lost: pair it again, then it "
        "sends."
    ),
    "no-answer": Msg(
        "The office cannot be reached, so the password cannot be checked. Try again where there is "
        "a network."
    ),
}
FORGOTTEN = Msg("Type the PIN.")


def get(request: Request) -> Page:
    """Return the page: who works here now, who else may, and how a PIN is set."""
    if not request.phone:
        raise MissingError("page-unknown", Msg("There is no such page."))
    context = {
        "page": common.page_frame(request, request.say(Msg("Who works on this phone"))),
        "now": request.person["name"],
        "shared": is_shared(request),
        "persons": [_person_choice(request, one) for one in request.phone.get("persons", [])],
        "kept": request.query.get("kept", "") == "yes",
    }
    return Page("field/person.html", context)


def _person_choice(request: Request, one: Json) -> Json:
    here = one["id"] == request.person["id"]
    known = has_pin(request, one["id"])
    switch = None
    if known and not here:
        switch = request.make_form("switch-" + one["id"], "switch", None, (), person=one["id"])
    return {
        "id": one["id"],
        "name": one["name"],
        "here": here,
        "known": known,
        "switch": switch,
        "locked": bool(switch and switch["error"]) and request.pin.get("state") == "locked",
        "set": request.make_form("set-" + one["id"], "set-pin", None, (), person=one["id"]),
    }


def is_shared(request: Request) -> bool:
    """Return whether several persons may enter on this phone."""
    return bool(request.phone.get("shared"))


def has_pin(request: Request, person: str) -> bool:
    """Return whether a person has set a PIN on this phone."""
    return person in request.phone.get("pins", [])


def must_be_right(request: Request, person: str) -> None:
    """Refuse what asks for a person's PIN unless the phone found it right. Errors: InputError."""
    found = request.pin
    state = found.get("state", "") if found.get("person") == person else ""
    if state == "right":
        return
    if state == "wait":
        words = Plural(
            "Wait {count} second before the next try.", "Wait {count} seconds before the next try."
        ).of(found["seconds"])
    elif state == "wrong":
        words = Msg("That PIN is wrong. Tries left: {left}.", left=found["left"])
    else:
        words = STATES.get(state, FORGOTTEN)
    raise InputError("pin-" + (state or "missing"), words)


def post_switch(request: Request) -> Page:
    """Let another of the phone's persons work on, by their PIN."""
    person = _chosen_person(request)
    must_be_right(request, person)
    return Page(location="/field", person=person)


def post_set(request: Request) -> Page:
    """Say whether the phone could keep a PIN."""
    person = _chosen_person(request)
    if request.pin.get("state") != "kept" or request.pin.get("person") != person:
        state = request.pin.get("state", "")
        raise InputError("pin-" + (state or "missing"), STATES.get(state, FORGOTTEN))
    return Page(location="/field/person?kept=yes")


def _chosen_person(request: Request) -> str:
    person = request.typed("person")
    if person not in [one["id"] for one in request.phone.get("persons", [])]:
        raise MissingError("person-unknown", Msg("There is no such person."))
    return person


POSTS = {"switch": post_switch, "set-pin": post_set}
