"""The facts of the first page: where, what, by whom, by which rule; the result in a sentence."""

from app.core.checks.index import spec_of
from app.core.kinds import Json
from app.core.pages import common, results
from app.core.pages.request import Request
from app.core.quantity.messages import Msg
from app.core.record import gate, judge
from app.core.record.state import State
from app.core.record.tools import Tool, check_passed
from app.homeowner import written
from app.homeowner.tables import NO_TOOLS


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
        (Msg("Marks on the panels, as read"), written.marks(request, state)),
        (Msg("Procedure"), request.say(procedure)),
        (Msg("Decision rule"), results.rule_text(request, state)),
        (Msg("Work recorded"), _span(request, taken)),
    ]
    return [common.labelled_fact(request.say(label), words) for label, words in rows if words]


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
    first, last = common.time_words(request, times[0]), common.time_words(request, times[-1])
    return request.say(
        Msg("{first} to {last}, as the devices' clocks claim", first=first, last=last)
    )


def result(request: Request, state: State) -> str:
    """Return the result in a sentence, counting every check by its verdict."""
    found = [r for step in state.steps for r in judge.results_of(state, step)]
    noted = len([r for r in found if only_noted(r)])
    within = len([r for r in found if r.verdict == "within"]) - noted
    gone = len([r for r in found if r.verdict == "unreachable"])
    conceded = len([r for r in found if r.conceded is not None])
    missing = len([r for r in found if r.verdict == "missing"])
    out = len(found) - within - noted - gone - conceded - missing
    words = Msg(
        "Of {total} checks, within at the places measured: {within}; only noted, nothing to "
        "judge: {noted}; left by written concession: {conceded}; not fully reached: {gone}; out: "
        "{out}; not measured: {missing}.",
        total=len(found),
        within=within,
        noted=noted,
        conceded=conceded,
        gone=gone,
        out=out,
        missing=missing,
    )
    return request.say(words)


def only_noted(result: judge.Result) -> bool:
    """Return whether a check asks that something is written down, and it is: nothing is judged."""
    return spec_of(result.check["calc"]).notes and result.verdict == "within"


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
    """Return the named instruments that were used here, each with its last check.

    Last, that some readings name none, where that is so.
    """
    out = [common.remark_of(request.say(_checked(request, tool))) for tool in state.instruments]
    if any(_names_none(state, event) for event in state.ledger.of_kind("reading.taken")):
        words = Msg(
            "Where no instrument stands beside a reading, nobody named one; what stands over "
            "the readings is the kind that was asked for."
        )
        out.append(common.remark_of(request.say(words)))
    return out


def _names_none(state: State, event: Json) -> bool:
    """Return whether a reading that needs an instrument names none."""
    point = state.points.get(event["body"]["point"])
    by_tool = point is not None and point["tool"] not in NO_TOOLS
    return by_tool and not event["body"].get("instrument")


def _checked(request: Request, tool: Tool) -> Msg:
    if tool.last is None:
        return Msg("{name}, no check seen", name=tool.name)
    who = common.who_when(request, tool.last)
    if check_passed(tool.last):
        return Msg("{name}, checked good {when}", name=tool.name, when=who)
    return Msg("{name}, failed its check {when}", name=tool.name, when=who)
