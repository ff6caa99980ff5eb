"""/field: the openings to be set, each with how far it is."""

from app.core.kinds import Json
from app.core.pages import clocks, common
from app.core.pages.request import Page, Request
from app.core.pictures import drawings
from app.core.quantity.messages import Msg, When
from app.core.quantity.speaker import Speaker
from app.core.record.standing import CLOSED, opening_standing
from app.core.record.state import step_title
from app.core.trade.door_systems import system_words


def get(request: Request) -> Page:
    """Return the list of openings, one group a job."""
    groups: list[Json] = []
    closed: list[Json] = []
    for opening in request.book["openings"]:
        card = opening_card(request, opening, common.path_of(opening["id"]))
        if card["state"] in CLOSED:
            closed.append(card)
        else:
            _job_group(groups, opening)["openings"].append(card)
    for group in groups:
        _say_address_once(group)
    empty = (
        ""
        if groups or closed
        else request.say(Msg("No opening is on your list yet. The office puts them there."))
    )
    page = common.page_frame(request, request.say(Msg("Openings")))
    offline = "" if request.phone else "/pair/here"
    context = {"page": page, "groups": groups, "closed": closed, "empty": empty, "offline": offline}
    return Page("field/list.html", context)


def _job_group(groups: "list[Json]", opening: Json) -> Json:
    for group in groups:
        if group["id"] == opening["job"]:
            return group
    made: Json = {
        "id": opening["job"],
        "title": opening["job_title"],
        "address": "",
        "openings": [],
    }
    groups.append(made)
    return made


def _say_address_once(group: Json) -> None:
    """Let a group say the address that all its openings have; the title alone where it says it."""
    address = group["openings"][0]["address"]
    if any(card["address"] != address for card in group["openings"]):
        return
    for card in group["openings"]:
        card["address"] = ""
    if group["title"] in address:
        group["title"] = address
    else:
        group["address"] = address


def opening_card(request: Request, opening: Json, href: str) -> Json:
    """Return an opening as it stands on a list."""
    told = told_of(request, opening["id"])
    steps = told["steps"]
    done = len([step for step in steps if step["state"] == "signed"])
    progress = Msg("{done} of {total} signed", done=done, total=len(steps))
    return {
        "href": href,
        "letter": opening["letter"],
        "room": opening["room"],
        "address": opening["address"],
        "door": request.say(_short_door(told["door"], told["letters"])),
        "progress": request.say(progress),
        "next": request.say(_next_words(told["next"])) if told["next"] else "",
        "clocks": clocks.clock_lines(request, told.get("clocks", [])),
        "go_on": common.card_path(opening["id"]) if told["next"] else "",
        "plan": request.say(plan_words(told.get("plan", {}))),
        "practice": request.say(common.PRACTICE) if told.get("practice") else "",
        "why": told.get("closed", ""),
        "state": told["state"],
        "state_text": request.say(_STATES[told["state"]]) if told["state"] in _STATES else "",
        "picture": progress_shown(request.speaker, steps),
    }


def _short_door(door: str, letters: str) -> Msg:
    """Return a door in words, for a list: how its letters are read its own page says."""
    return Msg("{door}, {letters}", door=system_words(door), letters=letters)


def plan_words(plan: Json) -> "Msg | str":
    """Return when an opening is to be worked at and by whom; "" where nothing is planned."""
    start, crew = plan.get("start", ""), plan.get("crew_name", "")
    if not start:
        return ""
    end = plan["end"]
    days: Msg | When = When(start)
    if end != start:
        days = Msg("{start} to {end}", start=When(start), end=When(end))
    if not crew:
        return Msg("Planned: {days}", days=days)
    return Msg("Planned: {days}, crew {crew}", days=days, crew=crew)


def told_of(request: Request, id: str) -> Json:
    """Return how an opening stands: as it was told, or worked out and told from now on."""
    if id not in request.summaries:
        request.summaries[id] = opening_standing(request.state(id))
    found: Json = request.summaries[id]
    return found


def _next_words(step: Json) -> Msg:
    title = step_title(step["title"], step["panel"])
    return Msg("Next: {id} {title}", id=step["id"], title=title)


def progress_shown(speaker: Speaker, steps: "list[Json]", letters: bool = True) -> Json:
    """Return the door as its own progress, in which words say what is signed and what is out.

    steps: {"key", "state"}; a state that is "out" too. letters: whether the panels have theirs.
    """
    said = progress_said(speaker, steps) or speaker.say(Msg("Nothing signed yet."))
    return drawings.progress_picture(steps, said, speaker, letters)


def progress_said(speaker: Speaker, steps: "list[Json]", only: str = "") -> str:
    """Return which steps are signed, out, broken or disputed, or only those that are one of these.

    "" for none.
    """
    words = []
    for state, sentence in _PROGRESS_WORDS:
        keys = [step["key"].replace(":", " ") for step in steps if step["state"] == state]
        if keys and only in ("", state):
            words.append(speaker.say(Msg(sentence.template, steps=", ".join(keys))))
    return " ".join(words)


_PROGRESS_WORDS = [
    ("signed", Msg("Signed: {steps}.")),
    ("out", Msg("Out: {steps}.")),
    ("broken", Msg("Sign-off broken: {steps}.")),
    ("disputed", Msg("Sign-off disputed: {steps}.")),
]


# What a card says besides how many steps are signed.
_STATES = {
    "broken": Msg("a sign-off is broken"),
    "disputed": Msg("a sign-off is disputed"),
    "signed": Msg("all signed: waits for the office"),
    "returned": Msg("returned by the office"),
    "done": Msg("accepted"),
    "cancelled": Msg("cancelled"),
    "archived": Msg("archived"),
}
