"""/field/o/ID/setout/job: the set-outs of a job's openings, then what to load for all of them."""

from app.core.kinds import Any, Json
from app.core.layout import setout
from app.core.layout.book import MaterialAmount
from app.core.order import sort_by
from app.core.pages import common
from app.core.pages import setout as one
from app.core.pages.request import Page, Request
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.record.state import State


def get(request: Request) -> Page:
    """Return the set-out of the openings of this job that the book holds."""
    id = request.parts[1]
    here = request.opening(id)
    openings = [o for o in request.book["openings"] if o["job"] == here["job"]]
    found = [(opening, request.state(opening["id"])) for opening in openings]
    back = common.page_link(common.path_of(id, "setout"), request.say(Msg("Layout")))
    context = setouts_together(found, request.speaker)
    context["page"] = common.page_frame(request, request.say(Msg("Layout of the job")), here, back)
    context["address"] = here["address"]
    return Page("field/setout_job.html", context)


def setouts_together(found: "list[tuple[Json, State]]", speaker: Speaker) -> Json:
    """Return {"parts": one for each opening, by letter, "sums": the sections of them all}."""
    parts = []
    amounts: list[list[MaterialAmount]] = []
    asked: list[Any] = []
    for opening, state in sort_by(found, lambda pair: (pair[0]["letter"], pair[0]["id"])):
        made, sections = one.worked_out(state, speaker)
        amounts.append(made["amounts"])
        asked.extend(_open_questions(opening, made))
        parts.append(_opening_part(opening, state, sections, speaker))
    return {"parts": parts, "sums": _summed_sections(amounts, asked, speaker) if parts else []}


def _opening_part(opening: Json, state: State, sections: "list[Json]", speaker: Speaker) -> Json:
    for section in sections:
        section["id"] = opening["id"] + "-" + section["id"]
    return {
        "id": opening["id"],
        "letter": opening["letter"],
        "room": opening["room"],
        "door": speaker.say(common.door_words(state)),
        "sections": sections,
    }


def _open_questions(opening: Json, made: Json) -> "list[Msg]":
    """Return what an opening's set-out still waits for."""
    return [
        Msg("Opening {letter}: {what}", letter=opening["letter"], what=what)
        for what in made["questions"] + made["missing"] + made["unmeasured"]
    ]


def _summed_sections(
    amounts: "list[list[MaterialAmount]]", asked: "list[Msg]", speaker: Speaker
) -> "list[Json]":
    section = one.in_words(setout.for_job(amounts), speaker)
    section["id"] = "sum"
    section["title"] = speaker.say(Msg("Materials of the whole job"))
    section["missing"] = [speaker.say(words) for words in asked]
    section["lead"] = speaker.say(Msg("The sum is not yet whole. Still open:"))
    return [section]
