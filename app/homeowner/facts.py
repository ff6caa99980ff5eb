"""The facts of the first page: where, what, by whom, by which rule; the result in a sentence."""

from app.core.kinds import Json
from app.core.pages import common, results
from app.core.pages.request import Request
from app.core.record import gate, judge
from app.core.record.state import State
from app.core.record.tools import Tool, passed
from app.core.words import Msg


def facts(request: Request, opening: Json, state: State, taken: list[Json]) -> list[Json]:
    """Return the labelled facts; one that is not known is left out."""
    drawing = state.drawing.data
    number_words = Msg(
        "{number}, revision {revision}, {author}",
        number=drawing.get("number", ""),
        revision=drawing.get("revision", ""),
        author=drawing.get("author", ""),
    )
    procedure = Msg(
        "{title}, version {version}",
        title=Msg(state.procedure["title"]),
        version=state.procedure["version"],
    )
    rows = [
        (Msg("Address"), opening["address"]),
        (Msg("Opening"), opening["letter"] + " · " + opening["room"]),
        (Msg("Job"), opening["job_title"]),
        (Msg("Homeowner"), opening.get("homeowner", "")),
        (Msg("Company"), company_text(opening)),
        (Msg("Lead, who signed the last step"), lead(request, state)),
        (Msg("Drawing"), request.say(number_words)),
        (Msg("Procedure"), request.say(procedure)),
        (Msg("Decision rule"), results.rule_text(request, state)),
        (Msg("Work recorded"), _span(request, taken)),
    ]
    return [common.fact(request.say(label), words) for label, words in rows if words]


def company_text(opening: Json) -> str:
    """Return the company's name and telephone; "" where the office has not given them."""
    given = (opening.get("company", ""), opening.get("telephone", ""))
    return " · ".join(part for part in given if part)


def lead(request: Request, state: State) -> str:
    """Return who signed the last step that is signed: who stands for the crew."""
    for step in reversed(state.steps):
        sign = gate.sign_of(state, step)
        if sign is not None:
            return request.name(sign.event["person"])
    return ""


def _span(request: Request, taken: list[Json]) -> str:
    times = sorted(event["at"] for event in taken)
    if not times:
        return ""
    first, last = common.when(request, times[0]), common.when(request, times[-1])
    return request.say(
        Msg("{first} to {last}, as the devices' clocks claim", first=first, last=last)
    )


def result(request: Request, state: State) -> str:
    """Return the result in a sentence, counting every check by its verdict."""
    found = [r for step in state.steps for r in judge.results(state, step)]
    within = len([r for r in found if r.verdict == "within"])
    gone = len([r for r in found if r.verdict == "unreachable"])
    conceded = len([r for r in found if r.conceded is not None])
    missing = len([r for r in found if r.verdict == "missing"])
    out = len(found) - within - gone - conceded - missing
    words = Msg(
        "Of {total} checks {within} were within at the places measured, {conceded} were left by "
        "written concession, {gone} could not be fully reached, {out} are out, {missing} were not "
        "measured.",
        total=len(found),
        within=within,
        conceded=conceded,
        gone=gone,
        out=out,
        missing=missing,
    )
    return request.say(words)


def people(request: Request, state: State) -> list[Json]:
    """Return who worked on it, and what they did."""
    did: dict[str, list[str]] = {}
    for event in state.ledger.events:
        what = "signed" if event["kind"] == "step.signed" else "entered"
        if event["device"].startswith("office-"):
            what = "office"
        if what not in did.setdefault(event["person"], []):
            did[event["person"]].append(what)
    words = {
        "signed": Msg("signed steps"),
        "entered": Msg("entered readings"),
        "office": Msg("office"),
    }
    return [
        {
            "name": request.name(person),
            "what": ", ".join(request.say(words[what]) for what in sorted(did[person])),
        }
        for person in sorted(did, key=request.name)
    ]


def instruments(request: Request, state: State) -> list[Json]:
    """Return the named instruments that were used here, each with its last check."""
    return [common.note(request.say(_checked(request, tool))) for tool in state.instruments]


def _checked(request: Request, tool: Tool) -> Msg:
    if tool.last is None:
        return Msg("{name}, no check seen", name=tool.name)
    who = common.who_when(request, tool.last)
    if passed(tool.last):
        return Msg("{name}, checked good {when}", name=tool.name, when=who)
    return Msg("{name}, failed its check {when}", name=tool.name, when=who)
