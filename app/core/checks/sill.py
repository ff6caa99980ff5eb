"""Checks of one line of the sill survey: range, local slope, closing error; and what mends it.

Two lines are surveyed, room side and weather side. Each is level along its own length;
across, the sill falls toward the weather side and never toward the room. A place with
side "closing" is the shot back to the first mark: only closing_error looks at it.
"""

from app.core.checks.as_drawn import opening_height
from app.core.checks.base import OVER, SAME, SOME, Ask, Outcome, Shims, Spec, position_len, size_len
from app.core.checks.sill_plan import SillPlan, line_plan
from app.core.checks.sill_survey import Survey
from app.core.checks.sill_words import by_station, head_sums, sill_remedies, way_rows
from app.core.kinds import Any, Json
from app.core.order import sort_by
from app.core.quantity.messages import Msg
from app.core.quantity.units import half_up, round_up
from app.core.trade import packing, sill
from app.core.trade.straight import narrowest_zone
from app.core.trade.verdicts import CLOSE, MISSING, OUT, UNREACHABLE, WITHIN
from app.core.trade.worktime import time_words
from app.core.where.place import Place
from app.core.where.words import along_words, place_mark, standpoint_words

CLOSING_ERROR_SPEC = Spec({"line": "length"}, {"most": "length"}, apart=SAME)
# How near to a whole inch or foot a reading must jump to be asked back; a question, not a limit.
SLACK = sill.INCH // 8


def level_range(ask: Ask) -> Outcome:
    """Return whether the highest and the lowest station of a line are close enough."""
    most = ask.limit("most")
    line = Survey(ask, "line")
    if not line.places:
        return nothing_read(line)
    low, high = sill.extent_of(line.heights)
    between = sill.Window(
        line.xs[min(low, high)],
        line.xs[max(low, high)],
        (line.heights[high] - line.heights[low]) * (1 if low <= high else -1),
        1,
    )
    says = [
        Msg("Level from end to end.")
        if between.num == 0
        else Msg(
            "{size} between the highest ({high}) and the lowest ({low}).",
            size=size_len(between.num if between.num >= 0 else -between.num),
            high=line.places[high].title,
            low=line.places[low].title,
        )
    ]
    return _line_outcome(
        ask, line, between, most, says + _straightness_words(line) + _asked_back(line)
    )


def level_local(ask: Ask) -> Outcome:
    """Return whether the line is level enough within every stretch of the length `over`."""
    most = ask.limit("most")
    line = Survey(ask, "line")
    if not line.places:
        return nothing_read(line)
    over = int(ask.settings["over"])
    worst = sill.worst_window(line.xs, line.heights, over)
    says = [
        Msg("Level: no change within any {over}.", over=position_len(over))
        if worst.size == 0
        else Msg(
            "Worst stretch: {size} within {over}, {left} to {right} from LEFT jamb, {stand}.",
            size=size_len(worst.size),
            over=position_len(over),
            left=position_len(worst.left),
            right=position_len(worst.right),
            stand=standpoint_words(ask.drawing),
        )
    ]
    return _line_outcome(ask, line, worst, most, says + _asked_back(line))


def _line_outcome(
    ask: Ask, line: Survey, worst: sill.Window, most: int, says: "list[Msg]"
) -> Outcome:
    error = _difference_error(ask)
    besides = _places_uncovered(ask, line)
    wanted = line.missing + besides
    verdict = _worst_of(_judged_step(worst, most, error), wanted, line.gone)
    plan = line_plan(ask, line) if verdict == OUT and not line.missing else None
    return Outcome(
        verdict,
        says + _wanted_said(ask, line.missing, besides) + (head_sums(plan) if plan else []),
        _line_remedies(line, verdict, plan),
        value=worst.size,
        high=most,
        over=max(1, worst.size - most) if verdict == OUT else 0,
        tilt=_bubble_of(worst, most),
        missing=wanted,
    )


def _difference_error(ask: Ask) -> int:
    """Return the error of a difference of two readings of the line; 0 under simple acceptance."""
    return int(ask.errors.get("line.difference", 2 * ask.errors.get("line", 0)))


def _judged_step(worst: sill.Window, most: int, error: int) -> str:
    """Return OUT, CLOSE or WITHIN; on the limit is within. error: 0 under simple acceptance."""
    rise = abs(worst.num)
    if rise - error * worst.den > most * worst.den:
        return OUT
    return CLOSE if error and rise + error * worst.den > most * worst.den else WITHIN


def _worst_of(verdict: str, wanted: "list[Place]", gone: "list[Place]") -> str:
    if verdict == OUT:
        return OUT
    if wanted:
        return MISSING
    return UNREACHABLE if gone and verdict == WITHIN else verdict


def nothing_read(line: Survey) -> Outcome:
    if line.missing:
        return Outcome(MISSING, to_measure(line.missing), missing=line.missing)
    return Outcome(UNREACHABLE, [Msg("No station of this line could be reached.")])


def to_measure(places: "list[Place]") -> "list[Msg]":
    titles = [place.title for place in places[:6]]
    if len(places) > 6:
        more = len(places) - 6
        return [Msg("Still to measure: {places} and {more} more.", places=titles, more=more)]
    return [Msg("Still to measure: {places}.", places=titles)]


def _places_uncovered(ask: Ask, line: Survey) -> "list[Place]":
    """Return where to measure besides the planned stations, so that the limit can be judged."""
    over = ask.settings.get("over")
    spacing = ask.settings.get("spacing", over)
    if spacing is None:
        return []
    planned = [place.x for place in line.places + line.missing + line.gone if place.x is not None]
    width = ask.drawing.length("frame_width")
    right = max(planned) if width is None else width
    left = min(planned) if width is None else 0
    marks = sill.stations_missing(sort_by(planned, lambda x: x), int(spacing), left, right)
    return [Place(place_mark("x", x), along_words(x, right, ask.drawing), x) for x in marks]


def _wanted_said(ask: Ask, missing: "list[Place]", besides: "list[Place]") -> "list[Msg]":
    says = to_measure(missing) if missing else []
    if besides:
        says.append(
            Msg(
                "Stations farther apart than {spacing} cannot prove this limit. "
                "Measure also: {places}.",
                spacing=position_len(int(ask.settings.get("spacing", ask.settings.get("over", 0)))),
                places=[place.title for place in besides[:6]],
            )
        )
    return says


def _straightness_words(line: Survey) -> "list[Msg]":
    if len(line.xs) < 3 or _any_doubled(line.xs):
        return []
    num, den = narrowest_zone(line.xs, line.heights)[1]
    if not num:
        return [Msg("Tilt aside, the line is straight, as far as it was read.")]
    return [
        Msg("Tilt aside, the line is straight within {size}.", size=size_len(half_up(num, den)))
    ]


def _any_doubled(xs: "list[int]") -> bool:
    return any(left == right for left, right in zip(xs, xs[1:]))


def _asked_back(line: Survey) -> "list[Msg]":
    found = sill.whole_misreads(line.heights, (sill.INCH, sill.FOOT), SLACK)
    return [
        Msg(
            "{place}: almost exactly {size} off its neighbours. Burned an inch? Read it again.",
            place=line.places[i].title,
            size=size_len(abs(whole)),
        )
        for i, whole in found
    ]


def _bubble_of(worst: sill.Window, most: int) -> int:
    """Return the bubble: to the side that is high, beyond 1000 exactly where it is out."""
    rise = abs(worst.num)
    scale = max(1, most) * worst.den
    shown = round_up(rise * 1000, scale) if worst.exceeds(most) else rise * 1000 // scale
    return shown if worst.num >= 0 else -shown


def _line_remedies(line: Survey, verdict: str, plan: "SillPlan | None") -> "list[Msg]":
    if verdict == CLOSE:
        return [Msg("Read both ends of it three times: the middle reading counts.")]
    if verdict != OUT:
        return []
    if line.missing:
        return [Msg("Finish the survey before anything is shimmed: the high point may still come.")]
    if plan is None:
        return [Msg("Survey the other line too: both are shimmed as one, so that the fall stays.")]
    return sill_remedies(plan, ["line"])


def closing_error(ask: Ask) -> Outcome:
    """Return whether the last shot came back to the first mark; more than the limit refuses all."""
    most = ask.limit("most")
    marks = {place.side == "closing": place for place in reversed(ask.places["line"])}
    taken = ask.readings.get("line", {})
    left = [p for p in (marks.get(False), marks.get(True)) if p is not None and p.id not in taken]
    if left or len(marks) < 2:
        return Outcome(MISSING, to_measure(left), missing=left)
    moved = sill.Window(0, 0, taken[marks[True].id] - taken[marks[False].id], 1)
    verdict = _judged_step(moved, most, _difference_error(ask))
    return Outcome(
        verdict,
        [Msg("Back at the first mark: {size} off.", size=size_len(moved.size))],
        [_survey_again()] if verdict == OUT else [],
        value=moved.size,
        high=most,
        over=moved.size - most if verdict == OUT else 0,
        tilt=_bubble_of(moved, most),
    )


def _survey_again() -> Msg:
    return Msg("The set-up moved: strike this survey, set up anew and read every station again.")


def _survey_plan(ask: Ask) -> "SillPlan | None":
    """Return the plan of any check of this module, None where the survey is not complete."""
    if ask.places.get("room"):
        from app.core.checks.sill_across import fall_plan

        room = Survey(ask, "room")
        weather = Survey(ask, "weather")
        return fall_plan(ask, room, weather) if room.complete and weather.complete else None
    line = Survey(ask, "line")
    return line_plan(ask, line) if line.complete else None


def line_work(ask: Ask) -> "tuple[SillPlan, int] | None":
    """Return the plan and the line's index in it; None before all is surveyed.

    None too where the other line is still to be surveyed or the head's heights are missing.
    """
    line = Survey(ask, "line")
    plan = line_plan(ask, line) if line.complete else None
    if plan is None:
        return None
    return plan, [survey.input for survey in plan.surveys].index("line")


def ways_compared(ask: Ask) -> "list[Json]":
    """Return the ways to put the sill right side by side, for a page; [] before it is surveyed.

    Each: kind ("pack", "grind", "fill"), title, advised, good, places, thickest, deepest
    (whole nanometres), millilitres (fill, where the sill's depth is drawn), says, and work:
    what is done at every station of each line (sill_words.by_station() says it).
    """
    plan = _survey_plan(ask)
    return way_rows(plan) if plan else []


def ways_said(ask: Ask) -> "list[Json]":
    """Return the ways of ways_compared() in words, with the work at each station and its time.

    [{"title": Msg, "advised": bool, "says": [Msg]}].
    """
    return [
        {
            "title": way["title"],
            "advised": way["advised"],
            "says": way["says"] + by_station(way) + time_words(way["kind"], way["places"]),
        }
        for way in ways_compared(ask)
    ]


def floor_picture(ask: Ask) -> "Json | None":
    """Return what a floor profile is drawn from; None where no station could be read."""
    return {"floor": line_profile(ask)} if ask.readings["line"] else None


def line_shims(ask: Ask) -> Shims:
    """Return the shims under one surveyed line by the way that is advised, and compound instead.

    The sill that is set already takes none, nor does a line that is level enough.
    """
    if ask.settings.get("fall") == "set":
        return Shims("sill", [])
    work = line_work(ask)
    if work is None:
        return Shims("sill", None)
    plan, i = work
    way = plan.advised
    if plan.sound or way is None:
        return Shims("sill", [] if plan.sound else None)
    sizes = [piece for pack in way.works[i].packs for piece in way.ladder.pieces(pack or 0)]
    return Shims("sill", sizes, compound=_compound_volume(ask, plan, i))


def _compound_volume(ask: Ask, plan: SillPlan, i: int) -> int:
    """Return what filling one line takes, nm³; each of two lines stands for half the sill."""
    depth = ask.drawing.length("sill_depth")
    fills = [way for way in plan.ways if way.kind == "fill"]
    if depth is None or not fills:
        return 0
    depths = [pack or 0 for pack in fills[0].works[i].packs]
    num, den = packing.fill_volume(plan.surveys[i].xs, depths, depth)
    lines: int = den * len(plan.surveys)
    return -(-num // lines)


def line_profile(ask: Ask, input: str = "line") -> Json:
    """Return a line for the floor profile: whole nanometres, stations from left to right.

    {"stations": [{"x", "h", "pack", "grind", "title": Msg}], "datum": level that the work
    brings the line to, "limit": the check's limit or None}. pack and grind are 0 where nothing is
    advised: the line is within, not yet complete, or no way serves.
    """
    survey = Survey(ask, input)
    plan = _survey_plan(ask)
    work = None
    datum = max(survey.heights) if survey.heights else 0
    if plan:
        i = [other.input for other in plan.surveys].index(input)
        datum = plan.pack.works[i].level
        work = plan.advised.works[i] if plan.advised else None
    stations = [_station_profile(survey, k, work) for k in range(len(survey.places))]
    return {
        "stations": stations,
        "datum": work.level if work else datum,
        "limit": ask.limits.get("most"),
    }


def lines_touched(ask: Ask) -> "dict[str, list[int]]":
    """Return where the advised way packs or grinds each line, nanometres from the LEFT end.

    By the input of the line; {} where nothing is advised.
    """
    plan = _survey_plan(ask)
    if plan is None or plan.advised is None:
        return {}
    out = {}
    for survey, work in zip(plan.surveys, plan.advised.works):
        worked = zip(survey.xs, work.packs, work.grinds)
        out[survey.input] = [x for x, pack, grind in worked if pack or grind]
    return out


def _station_profile(survey: Survey, k: int, work: Any) -> Json:
    return {
        "x": survey.xs[k],
        "h": survey.heights[k],
        "pack": work.packs[k] or 0 if work else 0,
        "grind": work.grinds[k] if work else 0,
        "title": survey.places[k].title,
    }


# line: stations with x, both ends among them. other: the second line, so that the two are packed
# together; side: which of the two `line` is ("room", unless said, or "weather"). heights: opening
# heights with x, from which the room under the head is reckoned before packing is advised.
# pieces: the most shims in one stack. fall: "set" where it is the top of the set sill, whose fall
# the drawing bounds (sill_fall_least, sill_fall_most); else it is the substrate's (cross_fall).
_LINE_INPUTS = {"line": "length", "other": "length", "heights": "length"}
LEVEL_RANGE_SPEC = Spec(
    _LINE_INPUTS,
    {"most": "length"},
    {"side": "text", "pieces": "count", "spacing": "length", "fall": "text"},
    ("other", "heights", "pieces", "spacing", "fall"),
    tells=SOME,
    ways=ways_said,
    picture=floor_picture,
    shims=line_shims,
    touched=lines_touched,
    as_drawn=opening_height,
)
# most, within any length `over`. spacing: stations farther apart than this cannot prove it
# (`over` unless said).
LEVEL_LOCAL_SPEC = Spec(
    _LINE_INPUTS,
    {"most": "length"},
    {"side": "text", "pieces": "count", "over": "length", "spacing": "length", "fall": "text"},
    ("other", "heights", "pieces", "spacing", "fall"),
    apart=OVER,
    limit_words={"most": "most_over"},
    ways=ways_said,
    shims=line_shims,
    touched=lines_touched,
    asks_shims=False,  # its line's range says the same
    as_drawn=opening_height,
)
