"""/field/o/ID/instruments[/INSTRUMENT]: what is worked with here, and its daily check."""

from app.core.errors import InputError, MissingError
from app.core.kinds import Json
from app.core.pages import common, working
from app.core.pages.request import Page, Request, event_draft
from app.core.quantity.measure import parse_amount
from app.core.quantity.messages import Len, Msg
from app.core.quantity.units import FOOT
from app.core.record import events as ev
from app.core.record import tools
from app.core.record.state import State
from app.core.trade import instruments as known
from app.core.trade.instruments import METRE, reading_uncertainty

SORTS = {
    "tape": Msg("tape"),
    "rule": Msg("rule"),
    "gauge": Msg("gauge"),
    "level": Msg("level"),
    "laser": Msg("line laser"),
    "laser-rotating": Msg("rotating laser"),
    "water-level": Msg("water level"),
    "feeler": Msg("feeler gauges"),
}
# way -> title, what to do, words for each value, words for the length or None
WAYS = {
    "turned": (
        Msg("Turned end for end"),
        Msg("Lay the level down, measure how high one end is over the other; turn it end for end "
            "on the same marks, and measure the same end of the surface again."),
        (Msg("One way round"), Msg("Turned end for end")),
        Msg("Length of the level"),
    ),
    "half-turn": (
        Msg("Turned half about"),
        Msg("Mark the beam on a wall. Turn the laser half about, let it settle, mark the same "
            "wall again. Measure both marks from one point below."),
        (Msg("First mark"), Msg("Second mark")),
        Msg("From the laser to the wall"),
    ),
    "two-peg": (
        Msg("Two pegs"),
        Msg("Set up half way between two pegs and read both. Set up next to the first peg and "
            "read both again. Read down from the beam."),
        (
            Msg("From the middle, first peg"),
            Msg("From the middle, second peg"),
            Msg("From next to the first, first peg"),
            Msg("From next to the first, second peg"),
        ),
        Msg("From peg to peg"),
    ),
    "compared": (
        Msg("Against another tape"),
        Msg("Measure one length with both tapes, under the same pull."),
        (Msg("This tape"), Msg("The other tape")),
        None,
    ),
    "known": (
        Msg("Against a known size"),
        Msg("Measure a block or sheet whose size is known. A water level: hold both ends side by "
            "side."),
        (Msg("Known size, or one end"), Msg("What it reads, or the other end")),
        None,
    ),
}  # fmt: skip
FIELDS = ("first", "second", "third", "fourth")
FAR = 10 * FOOT


def get(request: Request) -> Page:
    """Return the list, or one instrument with the form for its check."""
    id = request.parts[1]
    state = request.state(id)
    if len(request.parts) > 3:
        return _instrument_page(request, id, state)
    back = common.page_link(common.path_of(id), request.say(Msg("Opening")))
    title = request.say(Msg("Instruments"))
    lines = [
        _instrument_line(request, id, state, one) for one in working.instrument_list(request, state)
    ]
    context = {
        "page": common.page_frame(request, title, request.opening(id), back),
        "lines": lines,
    }
    return Page("field/instruments.html", context)


def _instrument_line(request: Request, id: str, state: State, one: Json) -> Json:
    return {
        "href": common.path_of(id, "instruments", one["id"]),
        "name": one["name"],
        "facts": facts_text(request, one),
        "check": check_text(request, working.last_check(state, one)),
        "badge": check_badge(request, working.last_check(state, one)),
    }


def facts_text(request: Request, one: Json) -> str:
    """Return what an instrument is: sort, step, class or slope."""
    words = [
        request.say(Msg("{sort}, read to {step}", sort=SORTS.get(one["sort"], Msg("unknown")),
                        step=Len(int(one["resolution"]))))
    ]  # fmt: skip
    if one["grade"]:
        words.append(request.say(Msg("class {grade}", grade=one["grade"])))
    if int(one["slope"]):
        off = Len(int(one["slope"]) * FAR // METRE)
        words.append(request.say(Msg("{off} in {far}", off=off, far=Len(FAR, "place"))))
    return "; ".join(words)


def judged_text(request: Request, one: Json) -> str:
    """Return the expanded uncertainty that its readings are judged with; "" where none is known."""
    tool = tools.instrument_of(one)
    if tool is None:
        return ""
    near = reading_uncertainty(tool, 0)
    if not tool.grade and not tool.slope:
        return request.say(Msg("{size} either way (k = 2)", size=Len(near)))
    words = Msg(
        "{size} either way, {far} over {length} (k = 2)",
        size=Len(near), far=Len(reading_uncertainty(tool, FAR)), length=Len(FAR, "place"),
    )  # fmt: skip
    return request.say(words)


def check_badge(request: Request, last: "Json | None") -> Json:
    """Return the mark of a check's body: within, out, or not measured."""
    return common.verdict_badge(
        request, "missing" if last is None else tools.check_finding(last).verdict
    )


def check_text(request: Request, last: "Json | None") -> str:
    """Return when an instrument was last checked and what came of it."""
    if last is None:
        return request.say(Msg("no daily check yet"))
    said = [request.say(words) for words in tools.check_finding(last).says]
    when = common.time_words(request, last["at"])
    return request.say(Msg("checked {when}: {what}", when=when, what=" ".join(said)))


def _check_wanted(request: Request, state: State) -> Json:
    one = working.find_instrument(
        request, state, request.parts[3] if len(request.parts) > 3 else ""
    )
    if one is None:
        raise MissingError("instrument-unknown", Msg("There is no such instrument."))
    return one


def _instrument_page(request: Request, id: str, state: State) -> Page:
    one = _check_wanted(request, state)
    back = common.page_link(common.path_of(id, "instruments"), request.say(Msg("Instruments")))
    title = Msg("{name}: daily check", name=one["name"])
    checks = [c for tool in state.instruments if tool.id == one["id"] for c in tool.checks]
    page = common.page_frame(request, request.say(title), request.opening(id), back)
    said = working.instrument_warning(request, state, one["id"])
    if said is not None:
        page["notices"].append(common.page_notice(said[0], request.say(said[1])))
    context = {
        "page": page,
        "name": one["name"],
        "facts": [
            common.labelled_fact(request.say(Msg("What it is")), facts_text(request, one)),
            common.labelled_fact(request.say(Msg("Judged with")), judged_text(request, one)),
        ],
        "checks": [check_row(request, state, check) for check in reversed(checks)],
        "checking": [
            way_shown(request, state, one, way) for way in tools.WAYS_OF.get(one["sort"], ())
        ],
    }
    return Page("field/instrument.html", context)


def check_row(request: Request, state: "State | None", check: Json) -> Json:
    """Return one check for a template; a relayed one is struck where it was made."""
    found = tools.check_finding(check["body"])
    strike = None
    if not check["body"].get("relayed"):
        name = "strike-" + check["id"]
        strike = request.make_form(name, "strike", state, ("why",), target=check["id"])
    said = found.says + found.remedies
    return {
        "text": common.time_words(request, tools.time_of(check)),
        "who": request.name(check["body"].get("by") or check["person"]),
        "typed": "; ".join(check["body"]["texts"]),
        "badge": common.verdict_badge(request, found.verdict),
        "says": [request.say(words) for words in said],
        "strike": strike,
        "struck": False,
    }


def way_shown(request: Request, state: "State | None", one: Json, way: str) -> Json:
    """Return the form for one way of checking an instrument."""
    title, todo, values, length = WAYS[way]
    form = request.make_form(way, "check", state, FIELDS + ("length", "other"), way=way)
    rows = [
        {"name": FIELDS[i], "text": request.say(values[i]), "typed": form["typed"][FIELDS[i]]}
        for i in range(len(values))
    ]
    if length is not None:
        typed = form["typed"]["length"]
        rows.append({"name": "length", "text": request.say(length), "typed": typed})
    return {
        "form": form,
        "title": request.say(title),
        "todo": request.say(todo),
        "rows": rows,
        "classes": _class_choices(request, form["typed"]["other"]) if way == "compared" else [],
        "limit": request.say(_limit_words(one, way)),
    }


def _class_choices(request: Request, chosen: str) -> "list[Json]":
    return [
        common.form_choice(grade, request.say(Msg("class {grade}", grade=grade)), grade == chosen)
        for grade in ("I", "II", "III")
    ]


def _limit_words(one: Json, way: str) -> Msg:
    if way == "compared":
        return Msg("Good where the two are apart by no more than both classes may err (MI-008).")
    if way == "known":
        step = Len(int(one["resolution"]))
        return Msg("Good within one step, {step}: common practice, no published source.", step=step)
    off = Len(int(one["slope"]) * FAR // METRE)
    return Msg("Good within its own accuracy, {off} in {far}.", off=off, far=Len(FAR, "place"))


def body_of(request: Request, one: Json, occasion: str) -> Json:
    """Return the body of a check from a form; raises InputError with words for the field."""
    way = request.typed("way")
    if way not in tools.WAYS_OF.get(one["sort"], ()):
        raise InputError("way-missing", Msg("Choose how it was checked."))
    texts = [request.typed(field, 64) for field in FIELDS[: tools.WAYS[way]]]
    if not all(texts):
        raise InputError("empty", Msg("Type all the readings of the check."))
    length = "0"
    if WAYS[way][3] is not None:
        length = str(parse_amount("length", request.required("length", _LENGTH), request.units))
    other = request.typed("other", 8)
    if way == "compared" and other not in known.TAPE_CLASSES:
        raise InputError("tape-class", Msg("A tape's class is I, II or III."))
    body: Json = {name: one[name] for name in working.FACTS}
    body.update(
        {
            "instrument": one["id"],
            "occasion": occasion,
            "way": way,
            "texts": texts,
            "values": [str(parse_amount("length", text, request.units)) for text in texts],
            "length": length,
            "other": other if way == "compared" else "",
            "units": request.units,
        }
    )
    return body


_LENGTH = Msg("Give the length or the distance.")


def post_check(request: Request) -> Page:
    """Keep a daily check: here, and in every other opening of the book that used the instrument."""
    id = request.parts[1]
    state = request.state(id)
    one = _check_wanted(request, state)
    made = event_draft(request, id, "instrument.checked", {})
    made["body"] = body_of(request, one, made["id"])
    drafts = [made]
    if state.ledger.by_id.get(made["id"]) is None:  # sent twice it speaks of this opening alone
        drafts.extend(
            [_check_copy(request, made, other) for other in _other_openings(request, id, one["id"])]
        )
    return Page(location=request.path, drafts=drafts)


def _other_openings(request: Request, id: str, instrument: str) -> "list[str]":
    out = []
    for opening in request.book["openings"]:
        events = request.book["events"].get(opening["id"], [])
        used = any([event["body"].get("instrument") == instrument for event in events])
        if used and opening["id"] != id:
            out.append(opening["id"])
    return out


def _check_copy(request: Request, made: Json, opening: str) -> Json:
    """Return the same check for another opening: all that is in its log was there before it."""
    out = event_draft(request, opening, "instrument.checked", made["body"], "at-" + opening)
    out["seen"] = ev.heads_of(request.book["events"][opening])
    return out


def post_strike(request: Request) -> Page:
    """Strike a check that was misread or mistyped, wherever this book has it."""
    id = request.parts[1]
    state = request.state(id)
    target = state.ledger.by_id.get(request.typed("target"))
    if target is None or target["kind"] != "instrument.checked":
        raise MissingError("check-unknown", Msg("There is no such check."))
    why = request.required("why", Msg("Say in a word why it is struck."))
    body = {"target": target["id"], "why": why}
    return Page(location=request.path, drafts=[event_draft(request, id, "entry.struck", body)])


POSTS = {"check": post_check, "strike": post_strike}
