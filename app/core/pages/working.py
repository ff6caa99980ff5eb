"""The instrument that a reading is taken with: which ones fit, which was used last, what is said.

The company's list comes with the book (book["instruments"], from the office's register):
{"id", "name", "sort", "resolution", "grade", "slope", "checked": body of the last check or None}.
What a reading rests on stands in the opening's own log: it is written there at its first use.
"""

from app.core.checks import base
from app.core.checks.decide import Demand, better_tool
from app.core.checks.index import spec_of
from app.core.errors import InputError
from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Request, event_draft
from app.core.quantity.messages import Msg
from app.core.record import judge, tools
from app.core.record.ledger import reading_slot
from app.core.record.state import State
from app.core.trade.instruments import INSTRUMENTS, SORTS, MeasuringInstrument
from app.core.trade.verdicts import WITHIN

# tool of a point -> sorts of instruments that can stand for it
FITTING = {
    "tape": ("tape",),
    "rule": ("rule", "tape"),
    "gauge": ("gauge", "feeler", "rule"),
    "laser": ("laser", "laser-rotating", "water-level", "level"),
    "level": ("level", "laser", "laser-rotating", "water-level"),
    "straightedge": ("gauge", "feeler", "rule"),
    "string": ("rule", "gauge", "tape"),
}
FACTS = ("name", "sort", "resolution", "grade", "slope")


def instrument_list(request: Request, state: State) -> "list[Json]":
    """Return the instruments that can be chosen: the company's, then what only the log knows."""
    company: list[Json] = [
        one for one in request.book.get("instruments", []) if one["sort"] in SORTS
    ]
    ids = [one["id"] for one in company]
    out = list(company)
    for tool in state.instruments:
        if tool.id not in ids:
            own = {name: tool.facts[name] for name in FACTS}
            own.update({"id": tool.id, "checked": None})
            out.append(own)
    return out


def find_instrument(request: Request, state: State, id: str) -> "Json | None":
    """Return an instrument by its id, or None."""
    for one in instrument_list(request, state):
        if one["id"] == id:
            return one
    return None


def instrument_choices(request: Request, state: State, point: Json, typed: str) -> "list[Json]":
    """Return the instruments for a point, the last used chosen; [] where none is kept for it."""
    sorts = FITTING.get(point["tool"], ())
    fit = [one for one in instrument_list(request, state) if one["sort"] in sorts]
    if not fit:
        return []
    chosen = typed or last_used(request, state, point)
    none = common.form_choice("", request.say(Msg("none that is named")), not chosen)
    return [none] + [common.form_choice(one["id"], one["name"], one["id"] == chosen) for one in fit]


# limits of which half is left to the work
FINE = ("most", "middle", "alike", "off")


def tool_advice(
    state: State,
    point: Json,
    panel: str,
    results: "list[judge.Result]",
    units: str,
    chosen: "MeasuringInstrument | None" = None,
) -> "tuple[Msg, MeasuringInstrument] | None":
    """Return one line on what to use where a tool is too coarse for a check, and that; or None.

    results: the checks that look at the point. units: a person's. chosen: what it would be read
    with, in place of a usual one of the point's tool. An eye or a string is known of no error.
    """
    usual = usual_tools(point["tool"], units)[:1]
    if chosen is None and not usual:
        return None
    others = [one for sort in FITTING[point["tool"]] for one in usual_tools(sort, units)]
    demands = [one for result in results for one in _demands(state, point, panel, result)]
    return better_tool(demands, chosen or usual[0], others)


def usual_tools(sort: str, units: str) -> "list[MeasuringInstrument]":
    """Return the usual instruments of a sort in a person's units, the coarsest first."""
    return [
        known
        for known in INSTRUMENTS
        if known.id.split("-mm")[0].split("-32")[0] == sort
        and not known.id.endswith("-iii")
        and ("-mm" in known.id) == (units == "mm" and sort in ("tape", "rule"))
    ]


def _demands(state: State, point: Json, panel: str, result: "judge.Result") -> "list[Demand]":
    """Return what a check's limits ask of the instrument that this point is read with."""
    spec = spec_of(result.check["calc"])
    settings = result.check["settings"]
    drawn = state.drawing.length(settings["field"]) if spec.drawn and "field" in settings else None
    length = 0
    if point["tool"] == "tape":
        length = drawn or state.drawing.length("frame_width") or 0
    apart = judge.spread_of(state.places(point["id"], panel))
    if spec.apart == base.OVER:
        apart = min(apart, int(settings["over"]))
    if spec.apart == base.SAME:
        apart = 0
    return [
        Demand(limit["value"], length, spec.readings == 2, apart)
        for limit in result.limits
        if limit["name"] in FINE and limit["value"]
    ]


def last_used(request: Request, state: State, point: Json) -> str:
    """Return what this person last used here for points with the same tool; "" for nothing."""
    for event in reversed(state.ledger.kinds.get("reading.taken", [])):
        other = state.points.get(event["body"]["point"])
        same = other is not None and other["tool"] == point["tool"]
        if same and event["person"] == request.person["id"]:
            return str(event["body"].get("instrument", ""))
    return ""


def instrument_warning(request: Request, state: State, id: str) -> "tuple[str, Msg] | None":
    """Return what is to be said before an instrument is used: kind of notice and words; or None."""
    one = find_instrument(request, state, id)
    if one is None:
        return None
    last = last_check(state, one)
    if last is None:
        return "warn", Msg("{name} has no daily check yet.", name=one["name"])
    if tools.check_finding(last).verdict != WITHIN:
        return "stop", Msg("{name} failed its last check: put it aside.", name=one["name"])
    if last["at"][:10] != request.now[:10]:
        return "warn", Msg("{name} was not checked today.", name=one["name"])
    return None


def last_check(state: State, one: Json) -> "Json | None":
    """Return the body of an instrument's last check, with its time: the log's or the list's."""
    known = [tool.last for tool in state.instruments if tool.id == one["id"]]
    body = None
    if known and known[0] is not None:
        body = dict(known[0]["body"])
        body["at"] = tools.time_of(known[0])
    company: Json | None = one["checked"]
    if company is not None and (body is None or company["at"] > body["at"]):
        return company
    return body


def chosen_instrument(request: Request, state: State) -> str:
    """Return the instrument that a form names; raises InputError 'instrument-unknown'."""
    id = request.typed("tool", 64)
    if id and find_instrument(request, state, id) is None:
        raise InputError("instrument-unknown", Msg("There is no such instrument."))
    return id


def naming_drafts(request: Request, opening: str, state: State, id: str) -> "list[Json]":
    """Return the draft that brings an instrument, as it is now, into an opening's log; or none.

    Its last check, where that was made elsewhere, the office says at receipt.
    """
    one = find_instrument(request, state, id)
    if one is None:
        return []
    known = [tool for tool in state.instruments if tool.id == id]
    if known and all([known[0].facts[name] == one[name] for name in FACTS]):
        return []
    body = {name: one[name] for name in FACTS}
    body["instrument"] = id
    return [event_draft(request, opening, "instrument.named", body, "named")]


def doubt_words(request: Request, state: State, points: "list[str]", panel: str) -> "list[str]":
    """Return, for some points, which failed check throws doubt on how many of their readings."""
    doubtful: dict[str, list[Json]] = {}
    for event in _doubtful_entries(state, points, panel):
        doubtful.setdefault(event["body"]["instrument"], []).append(event)
    out = []
    for tool in state.instruments:
        failed = state.doubted_by(doubtful[tool.id][0]) if tool.id in doubtful else None
        if failed is not None:
            words = Msg(
                "{name} failed its check ({who}). Readings to measure again: {count}.",
                name=tool.name,
                who=common.who_when(request, failed),
                count=len(doubtful[tool.id]),
            )
            out.append(request.say(words))
    return out


def _doubtful_entries(state: State, points: "list[str]", panel: str) -> "list[Json]":
    """Return the live entries at some points that a failed check throws doubt on."""
    if not any([tool.failed for tool in state.instruments]):
        return []
    return [
        event
        for point in points
        for place in state.places(point, state.panel_for(point, panel))
        for event in state.ledger.live(reading_slot(point, state.panel_for(point, panel), place.id))
        if state.doubted_by(event) is not None
    ]
