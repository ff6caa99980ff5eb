"""The form for one reading: what is asked, how it may be typed, what is asked back."""

from app.core.errors import InputError
from app.core.kinds import Any, Callable, Json
from app.core.order import sort_by
from app.core.pages import common, history, practice, working
from app.core.pages.request import Request
from app.core.quantity.dates import is_date
from app.core.quantity.measure import parse_amount
from app.core.quantity.messages import Len, Msg, Qty, When
from app.core.quantity.moments import moment_of, offset_of
from app.core.quantity.units import FOOT, HOUR, INCH, PERCENT
from app.core.record import clocks, judge
from app.core.record.course import Thing
from app.core.record.state import State
from app.core.trade.drawing import OF_PANEL, title_of
from app.core.trade.instruments import division_of
from app.core.trade.sill import whole_misreads
from app.core.trade.weight import bare_glass
from app.core.where.place import Place

HOW = {
    "down": Msg("Down from the beam: bigger is lower"),
    "up": Msg("Up from the line: bigger is higher"),
    "plain": Msg("As read"),
}
# Each can be typed with the keys that stand below it.
EXAMPLES = {
    "length-in": "3/16, 1 3/8, 7' 4 1/2",
    "length-mm": "9.5, 2438",
    "temperature-in": "68",
    "temperature-mm": "20",
    "fraction": "45",
    "force-in": "12",
    "force-mm": "53",
    "mass-in": "245",
    "mass-mm": "111",
    "duration": "15 min, 1 h 30",
    "count": "6",
}
UNIT_WORDS = {
    "length-in": Msg("inches"),
    "length-mm": Msg("mm"),
    "temperature-in": Msg("°F"),
    "temperature-mm": Msg("°C"),
    "fraction-in": Msg("%"),
    "fraction-mm": Msg("%"),
    "force-in": Msg("lb"),
    "force-mm": Msg("N"),
    "mass-in": Msg("lb"),
    "mass-mm": Msg("kg"),
}
MISREAD_SLACK = INCH // 16
MOST_AHEAD = 30  # places that a page foresees: more than anybody types while the phone works


def reading_form(
    request: Request,
    state: State,
    point: Json,
    panel: str,
    places: "list[Place]",
    place: Place,
    left: "list[Place]",
) -> Json:
    """Return the form where one reading is typed. left: the places without an answer."""
    quantity = point["quantity"]
    kind = (
        "words"
        if quantity == "text"
        else "choice"
        if quantity in ("yes-no", "choice")
        else "number"
    )
    form = request.make_form(
        "keep", "keep", state, ("value", "by", "tool", "at", "info", "words"), place=place.id,
        point=point["id"],
    )  # fmt: skip
    if request.trouble is not None and request.trouble["code"] == "doubtful":
        form["error"] = ""  # asked as a question, once
    before = state.readings(point["id"], panel, place.id)
    here = _place_ahead(request, point, panel, places, place)
    coming = [p for p in left if p.id != place.id][:MOST_AHEAD]
    return {
        "form": form,
        "key": here["key"],
        "coming": [_place_ahead(request, point, panel, places, p) for p in coming],
        "place": here["title"],
        "nth": here["nth"],
        "again": _text_again(request, before),
        "shown": practice.shown_reading(request, state, point, panel, place),
        "label": _entry_label(request, state, point, panel),
        "unit": _unit_sign(request, quantity),
        "example": _example_text(request, quantity),
        "kind": kind,
        "is_number": kind == "number",
        "is_choice": kind == "choice",
        "is_words": kind == "words",
        "mode": "numeric" if quantity == "count" else "text",
        "keypad": _keypad_of(request, quantity),
        "focus": True,
        "choices": _answer_choices(request, point),
        "people": _measurer_choices(request, form["typed"]["by"] or request.query.get("by", "")),
        "tools": working.instrument_choices(request, state, point, form["typed"]["tool"]),
    }


def _keypad_of(request: Request, quantity: str) -> str:
    """Return which keys are shown: "inches", "mm", "time" or "plain"; "" where none serve."""
    if quantity == "length":
        return "inches" if request.units == "in" else "mm"
    if quantity in ("yes-no", "choice", "text"):
        return ""
    return "time" if quantity == "duration" else "plain"


def _place_ahead(
    request: Request, point: Json, panel: str, places: "list[Place]", place: Place
) -> Json:
    """Return a place as the page foresees it: what is typed ahead belongs to its key."""
    number = [p.id for p in places].index(place.id) + 1
    return {
        "key": Thing("reading", point["id"], panel, place).key,
        "nth": request.say(Msg("{number} of {total}", number=number, total=len(places))),
        "title": request.say(place.title),
    }


def _text_again(request: Request, before: Any) -> str:
    if not before:
        return ""
    value = history.value_text(request, before[-1].event)
    return request.say(Msg("replaces {value}", value=value))


def _entry_label(request: Request, state: State, point: Json, panel: str) -> str:
    how = state.how_read(point["id"], panel) or state.usual_way()
    if point["how"] == "level" and how == "down":
        return request.say(Msg("Down from the beam"))
    if point["how"] == "level":
        return request.say(Msg("Up from the line"))
    if point["how"] == "plumb":
        return request.say(Msg("From the plumb line to the jamb"))
    return request.say(Msg("In words") if point["quantity"] == "text" else Msg("Reading"))


def _unit_sign(request: Request, quantity: str) -> str:
    words = UNIT_WORDS.get(quantity + "-" + request.units)
    return request.say(words) if words is not None else ""


def _example_text(request: Request, quantity: str) -> str:
    return EXAMPLES.get(quantity + "-" + request.units) or EXAMPLES.get(quantity, "")


def _answer_choices(request: Request, point: Json) -> "list[Json]":
    if point["quantity"] == "yes-no":
        yes, no = Msg("Yes"), Msg("No")
        return [
            common.form_choice("yes", request.say(yes)),
            common.form_choice("no", request.say(no)),
        ]
    return [
        common.form_choice(c["id"], request.say(Msg(c["text"]))) for c in point.get("choices", [])
    ]


def _measurer_choices(request: Request, chosen: str) -> "list[Json]":
    """Return who may have measured: the one who is signed in first, then the others by name."""
    mine = request.person["id"]
    others = sort_by(
        [id for id in request.people if id != mine], lambda id: (request.people[id], id)
    )
    return [
        common.form_choice(id, request.name(id), id == (chosen or mine)) for id in [mine] + others
    ]


def unreachable_form(request: Request, state: State, point: str, place: Place) -> Json:
    """Return the form "cannot reach, because"."""
    form = request.make_form(
        "unreachable", "unreachable", state, ("words",), place=place.id, point=point
    )
    form["photo"] = bool(request.phone)  # only a phone makes pictures small and clean
    return form


def reading_body(
    request: Request, state: State, point: Json, panel: str, place: Place, how: str
) -> Json:
    """Return the body of a reading from the form; raises InputError with words for the field."""
    text = request.typed("value", 64 if point["quantity"] != "text" else 500)
    tool = working.chosen_instrument(request, state)
    value = value_of(request, point, text, _division(request, state, point, tool))
    if how == "":
        raise InputError("way-missing", Msg("Choose first how it is read."))
    body: Json = {
        "point": point["id"],
        "panel": panel,
        "place": place.id,
        "quantity": point["quantity"],
        "text": text,
        "value": str(value),
        "how": how,
        "units": request.units,
    }
    for field, name in (("by", "measured_by"), ("words", "note")):
        if request.typed(field):
            body[name] = request.typed(field)
    if request.typed("at"):
        body["measured_at"] = measured_at(request)
    if tool:
        body["instrument"] = tool
    if request.form.get("info") == "yes":
        body["info"] = True
    if request.form.get("sure") != "yes":
        doubt = _doubt(state, point, panel, place, value, how)
        if doubt is None:
            doubt = clock_doubt(state, point["id"], place.id, value, _claimed_at(request))
        if doubt is not None:
            raise InputError("doubtful", doubt, place=place.id, text=text)
    return body


def _doubt(
    state: State, point: Json, panel: str, place: Place, value: int, how: str
) -> "Msg | None":
    """Return what to ask back of an odd reading, None where it is not odd."""
    quantity = point["quantity"]
    if quantity == "length":
        far = _far_off(state, point, place.panel or panel, value)
        if far is not None:
            return far
        return DOUBT if _is_doubtful(state, point, panel, place, value, how) else None
    if quantity == "fraction" and 0 < value <= PERCENT:
        # no air and no timber is so dry; some meters show a part of one
        return Msg("Less than 1 %: did the meter show {meant}?", meant=Qty(quantity, value * 100))
    # 0 is said of what there is nothing to wait for
    if quantity == "duration" and 0 < value < SOONEST and _is_of_data_sheet(state, point["id"]):
        words = Msg("{typed} typed: data sheets give hours or days. Is it right?")
        return Msg(words.template, typed=Qty("duration", value))
    if quantity == "mass":
        glass = _glass_of(state, place.panel or panel)
        if value < glass:
            return Msg("Its glass alone weighs {mass}. Is this right?", mass=Qty("mass", glass))
    return None


def _is_of_data_sheet(state: State, point: str) -> bool:
    """Return whether a point is the time that a clock must run, as a data sheet has it."""
    checks = [check for step in state.procedure["steps"] for check in step["checks"]]
    return any([c.get("clock") and c["points"].get("time") == point for c in checks])


SOONEST = HOUR  # no joint sealant is fit for water sooner; common practice, no source
FAR = 6 * INCH  # a frame's faces and gaps come to less: common practice, no source


def _far_off(state: State, point: Json, letter: str, value: int) -> "Msg | None":
    """Return what to ask back of a length that no door of this drawing can have, or None."""
    near = point.get("near", "")
    if near in OF_PANEL:
        panel = state.drawing.panel(letter)
        drawn = panel.width if near == "panel_width" else panel.height
        doubt = Msg(
            "{typed} typed; the drawing has {size} for panel {letter}. Is it right?",
            typed=Len(value),
            size=Len(drawn),
            letter=letter,
        )
    else:
        drawn = state.drawing.length(near) or value
        doubt = Msg(
            "{typed} typed; the drawing has {size} for “{what}”. Is it right?",
            typed=Len(value),
            size=Len(drawn),
            what=Msg(title_of(near)),
        )
    return doubt if abs(value - drawn) > FAR else None


def _claimed_at(request: Request) -> "tuple[str, str]":
    """Return when a reading is entered, and when it was measured as far as that was typed."""
    typed = request.typed("at")
    return request.now, typed + ":00" + offset_of(request.now) if typed else request.now


def clock_doubt(
    state: State, point: str, place: str, value: int, at: "tuple[str, str]"
) -> "Msg | None":
    """Return what to ask back of a reading that starts or ends a clock, or says how long it ran.

    at: when it is entered, and when it was measured.
    """
    for check in [check for step in state.procedure["steps"] for check in step["checks"]]:
        acts = check.get("clock") or {}
        for input in ("start", "end", "typed"):
            act = acts.get(input, {})
            if (act.get("point"), act.get("place")) == (point, place):
                clock = clocks.clock_of(state, check, judge.limits_of(state, check)[0]["value"])
                doubt = _typed_doubt(clock, value)
                if input != "typed":
                    doubt = _end_doubt(clock, at) if input == "end" else _start_doubt(clock, at)
                if doubt is not None:
                    return doubt
    return None


def _end_doubt(clock: clocks.Clock, at: "tuple[str, str]") -> "Msg | None":
    """Return what to ask back of the end of a clock: too early, or at another time than entered."""
    ended = moment_of(at[1])
    if clock.start is None or clock.started is None or ended is None:
        return None
    took = ended - clock.started
    if clock.sort == "least" and clock.lasts is not None and took < clock.lasts:
        title = Msg(clock.check["title"])
        return Msg(
            "{clock} runs until {when}. Was it read before?", clock=title, when=When(clock.until)
        )
    apart = clocks.entries_apart(clock.start, at[0])
    return _contradiction(took, apart)


def _start_doubt(clock: clocks.Clock, at: "tuple[str, str]") -> "Msg | None":
    """Return what to ask back of a start whose time was typed after its clock was read to its end.

    It takes the place of the start that was entered then.
    """
    started, entered = moment_of(at[1]), moment_of(at[0])
    if clock.end is None or clock.ended is None or started is None or started == entered:
        return None
    return _contradiction(clock.ended - started, _entries_apart(clock.end, entered))


def _entries_apart(end: Json, entered: "int | None") -> "int | None":
    """Return the time from an entry that is being made to the entry of an end."""
    ended = moment_of(end["at"])
    return None if ended is None or entered is None else ended - entered


def _typed_doubt(clock: clocks.Clock, value: int) -> "Msg | None":
    if clock.start is None or clock.end is None:
        return None
    return _contradiction(value, clocks.entries_apart(clock.start, clock.end["at"]))


def _contradiction(typed: int, apart: "int | None") -> "Msg | None":
    if not clocks.contradicts(typed, apart):
        return None
    if apart is not None and apart < 0:
        return Msg("Its end was entered before it. Is this right?")
    return Msg(
        "The entries are {apart} apart, not {typed}. Is this right?",
        apart=Qty("duration", apart or 0),
        typed=Qty("duration", typed),
    )


def _glass_of(state: State, letter: str) -> int:
    """Return what the glass of a panel weighs at least, 0 where there is no such panel."""
    for panel in state.drawing.data["panels"]:
        if panel["letter"] == letter:
            return bare_glass(panel)
    return 0


def measured_at(request: Request) -> str:
    """Return when a reading that comes from paper was measured; raises InputError.

    Errors: 'time-unfit' for no time of the form 2026-03-02T10:15; 'time-ahead' for one to come.
    """
    text = request.typed("at", 16)
    shape = "".join(["0" if char in "0123456789" else char for char in text])
    if shape != "0000-00-00T00:00" or not _is_time(text):
        raise InputError("time-unfit", Msg("Give the day and the time, or leave it empty for now."))
    if text > request.now[:16]:
        raise InputError("time-ahead", Msg("That time is still to come. When was it measured?"))
    return text


def _is_time(text: str) -> bool:
    hour, minute = int(text[11:13]), int(text[14:16])
    return is_date(text[:10]) and hour <= 23 and minute <= 59


DOUBT = Msg(
    "This is almost exactly 1 in or 1 ft off its neighbours. Was the tape read from another mark?"
)


def _division(request: Request, state: State, point: Json, tool: str) -> int:
    """Return the smallest division of what a length is read with, nanometres.

    Of the instrument that is named, else of a usual one of the kind that the point asks for.
    """
    named = working.find_instrument(request, state, tool) if tool else None
    if named is not None:
        return int(named["resolution"])
    sorts = working.FITTING.get(point["tool"], ("",))
    return division_of(sorts[0], request.units)


def value_of(request: Request, point: Json, text: str, division: int = 0) -> int:
    """Return a typed text's whole value; raises InputError. division: as parse_amount()."""
    quantity = point["quantity"]
    if not text:
        raise InputError("empty", Msg("Type what was read, or say why it cannot be reached."))
    if quantity == "text":
        return 1
    if quantity == "yes-no":
        if text not in ("yes", "no"):
            raise InputError("choice-missing", Msg("Choose yes or no."))
        return 1 if text == "yes" else 0
    if quantity == "choice":
        if text not in [c["id"] for c in point.get("choices", [])]:
            raise InputError("choice-missing", Msg("Choose one."))
        return 1
    signed = bool(point.get("signed"))
    return parse_amount(quantity, text, request.units, negative=signed, division=division)


def _is_doubtful(state: State, point: Json, panel: str, place: Place, value: int, how: str) -> bool:
    """Return whether a length is almost exactly an inch or a foot off its neighbours."""
    if place.side == "closing":
        return False
    tied = sum([int(tie["body"]["shift"]) for tie in state.ties(point["id"], panel)])
    height = tied + (-value if how == "down" else value)
    heights, at = _heights_on_line(state, point, panel, place, height)
    found = whole_misreads(heights, (INCH, FOOT), MISREAD_SLACK)
    return any([index == at for index, _whole in found])


def _heights_on_line(
    state: State, point: Json, panel: str, place: Place, height: int
) -> "tuple[list[int], int]":
    """Return the heights measured along a line, with this one, and where in them it stands."""
    heights: list[int] = []
    at = -1
    for other in state.places(point["id"], panel):
        readings = state.readings(point["id"], panel, other.id)
        if other.id == place.id:
            at = len(heights)
            heights.append(height)
        elif other.side != "closing" and readings and readings[-1].reached:
            heights.append(readings[-1].height)
    return heights, at


def asked_back(
    request: Request, state: State, point: str, path_to: "Callable[[str], str]"
) -> "Json | None":
    """Return the question whether an odd reading is right, with what was typed; or None.

    path_to: returns where a place is measured.
    """
    if request.trouble is None or request.trouble.get("code") != "doubtful":
        return None
    typed = request.trouble["typed"]
    again = {
        name: typed[name]
        for name in ("value", "by", "tool", "at", "words", "info", "way")
        if typed.get(name)
    }
    place = typed.get("place", "")
    form = request.make_form(
        "sure", "keep", state, (), place=place, point=point, sure="yes", **again
    )
    return {
        "form": form,
        "typed": typed.get("value", ""),
        "text": request.trouble["error"],
        "no": path_to(place),
    }
