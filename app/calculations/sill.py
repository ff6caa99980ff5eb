"""The sill: range, local slope, fall across, set-ups."""

from dataclasses import replace
from typing import Any

from app.calculations.asking import asked, drawing, even, judged, rising, stations
from app.calculations.calculation import Answer, Calculation, of_outcome
from app.calculations.fields import Field, choice, group, length, lengths, maybe
from app.calculations.limits import limit
from app.core.checks.base import Ask
from app.core.errors import InputError
from app.core.quantity.messages import Len, Msg
from app.core.trade import sill
from app.core.where.place import Place
from app.core.where.words import along_words

Given = dict[str, Any]
MOST_STRETCHES = 1000

STATIONS = lengths("stations", "positions from the LEFT end, rising")
LINE = replace(STATIONS, least=2)  # one station is no line: nothing on it could be out
HEIGHTS = lengths("heights", "the reading at each station: heights over a level line", signed=True)
READ = maybe(
    choice(
        "read",
        "how it was read: “up” a height over a line (bigger is higher), “down” from a laser "
        "(bigger is lower)",
        "up",
        "down",
    ),
    "up",
)
VALUE = length("value", "the figure that was judged")
OVER = length("over", "by how much it is out; 0 where it is not")
RESULTS = (VALUE, OVER)


def turned(given: Given, *names: str) -> Given:
    """Return the input with readings down from a laser turned to heights."""
    if given.get("read") != "down":
        return given
    return given | {name: [-nm for nm in given[name]] for name in names if given[name]}


def _range(given: Given) -> Answer:
    given = turned(given, "heights")
    pairs = stations(given, "heights")
    low, high = sill.extent_of([height for _, height in pairs])
    ask = asked("level-range", {"line": pairs}, {"most": given["most"]}, made=_width(given))
    return of_outcome(
        judged("level-range", ask),
        lowest=given["stations"][low],
        highest=given["stations"][high],
    )


def _width(given: Given) -> Any:
    return drawing(frame_width=given["stations"][-1])


def _local(given: Given) -> Answer:
    given = turned(given, "heights")
    pairs = stations(given, "heights")
    ask = asked(
        "level-local",
        {"line": pairs},
        {"most": given["most"]},
        {"over": _over(given)},
        _width(given),
    )
    found = judged("level-local", ask)
    worst = sill.worst_window(given["stations"], [nm for _, nm in pairs], _over(given))
    return of_outcome(
        found,
        left=worst.left,
        right=worst.right,
        measure_also=[place.x for place in found.missing],
    )


def _over(given: Given) -> int:
    return stretch(given, "over")


def stretch(given: Given, name: str) -> int:
    """Return the length to look within; one that cuts the line to dust is a slip."""
    over = int(given[name])
    span = given["stations"][-1] - given["stations"][0]
    if over <= 0 or span > MOST_STRETCHES * over:
        words = Msg("“{name}” is too short for this line: {over}.", name=name, over=Len(over))
        raise InputError("over-short", words, field=name)
    return over


def _across(given: Given) -> Answer:
    even(given, "stations", "room")
    given = turned(given, "room", "weather")
    room, weather = stations(given, "room"), stations(given, "weather")
    limits = {"least": given["least"], "most": given["most"]}
    ask = asked("cross-fall", {"room": room, "weather": weather}, limits, made=_width(given))
    falls = [one[2] for one in sill.cross_falls(_line(given, "room"), _line(given, "weather"))]
    return of_outcome(judged("cross-fall", ask), falls=falls)


def _line(given: Given, name: str) -> tuple[list[int], list[int]]:
    return given["stations"], given[name]


def _closing(given: Given) -> Answer:
    first = Place("first", Msg("First mark"), 0)
    last = Place("last", Msg("Back at the first mark"), 0, side="closing")
    ask = asked(
        "closing-error",
        {"line": [(first, given["first"]), (last, given["last"])]},
        {"most": given["most"]},
    )
    return of_outcome(judged("closing-error", ask))


def _tie(given: Given) -> Answer:
    pairs = [(pair["first"], pair["second"]) for pair in given["pairs"]]
    shift, apart = sill.tie_shift(pairs)
    return Answer({"shift": shift, "apart": apart})


def _stack(given: Given) -> Answer:
    given = turned(given, "heights")
    ask = stacked("height-stack", given, {}, {"line": stations(given, "heights")})
    found = judged("height-stack", ask)
    return Answer(
        {"gap": found.value, "over": found.over},
        found.verdict,
        found.says,
        found.remedies,
    )


def stacked(name: str, given: Given, limits: dict[str, int | None], inputs: Any) -> Ask:
    """Return the question with opening heights and what the frame stands on."""
    places = [
        (
            Place(f"h{i}", along_words(row["at"], given["stations"][-1], drawing()), row["at"]),
            row["clear"],
        )
        for i, row in enumerate(given["openings"] or [])
    ]
    rising("openings", [place.x or 0 for place, _ in places])
    if places:
        inputs = {**inputs, "heights": places}
    made = drawing(
        frame_width=given["stations"][-1],
        frame_height=given["frame_height"],
        pan_thickness=given["pan"],
        bed_thickness=given["bed"],
        head_gap_least=given["head_gap"],
        sill_depth=given.get("sill_depth"),
        shims=given.get("shims"),
    )
    return asked(name, inputs, limits, {"pieces": given.get("pieces")}, made)


OPENINGS = group(
    "openings",
    "clear heights of the opening",
    length("at", "position from the LEFT end"),
    length("clear", "from the unpacked sill to the head"),
)
STACK: tuple[Field, ...] = (
    OPENINGS,
    length("frame_height", "outside height of the frame"),
    length("pan", "thickness of the pan"),
    length("bed", "thickness of the bed when set"),
    length("head_gap", "least gap over the frame, as drawn"),
)

CALCULATIONS = (
    Calculation(
        "sill-range",
        "From the highest to the lowest station of one line of a sill",
        ("app.core.trade.sill.extent_of", "app.core.checks.sill.level_range"),
        (LINE, HEIGHTS, READ),
        (
            *RESULTS,
            length("lowest", "where it is lowest"),
            length("highest", "where it is highest"),
        ),
        "arithmetic: greatest less least; the limit has a basis of its own",
        _range,
        (limit("sill-range", "most", "highest to lowest over the whole line, most"),),
    ),
    Calculation(
        "sill-local",
        "The greatest difference in height within a length, anywhere along a line",
        ("app.core.trade.sill.worst_window", "app.core.checks.sill.level_local"),
        (LINE, HEIGHTS, READ, maybe(length("over", "the length to look within"), "1 ft")),
        (
            *RESULTS,
            length("left", "where the worst stretch begins"),
            length("right", "where it ends"),
            lengths("measure_also", "where to measure before the limit can be judged"),
        ),
        "piecewise linear: one end of the worst stretch is a station (plane geometry)",
        _local,
        (limit("sill-local", "most", "difference within that length, most"),),
    ),
    Calculation(
        "sill-across",
        "Fall of a sill from the room side to the weather side",
        ("app.core.trade.sill.cross_falls", "app.core.checks.sill_across.cross_fall"),
        (
            STATIONS,
            lengths("room", "readings of the room-side line", signed=True),
            lengths("weather", "readings of the weather-side line, same set-up", signed=True),
            READ,
        ),
        (*RESULTS, lengths("falls", "fall toward the weather side at each station")),
        "arithmetic: room height less weather height; never toward the room, common practice",
        _across,
        (
            limit("sill-across", "least", "fall toward the weather side, least"),
            maybe(limit("sill-across", "most", "fall toward the weather side, most")),
        ),
    ),
    Calculation(
        "sill-closing",
        "Closing error: the last shot back to the first mark",
        ("app.core.checks.sill.closing_error",),
        (
            length("first", "reading of the first mark", signed=True),
            length("last", "reading of the same mark at the end", signed=True),
        ),
        RESULTS,
        "levelling: the two readings of one mark must agree",
        _closing,
        (limit("sill-closing", "most", "difference, most"),),
    ),
    Calculation(
        "set-up-tie",
        "Ties a second set-up of the level to the first by stations read in both",
        ("app.core.trade.sill.tie_shift",),
        (
            group(
                "pairs",
                "stations read in both",
                length("first", "height in the first set-up", signed=True),
                length("second", "height in the second", signed=True),
            ),
        ),
        (
            length("shift", "what to add to heights of the second set-up"),
            length("apart", "how far the stations disagree"),
        ),
        "levelling: change of height of instrument, mean of the differences",
        _tie,
    ),
    Calculation(
        "height-stack",
        "Room for the frame: opening height less packing, pan and bed",
        ("app.core.trade.sill.stack_rooms", "app.core.checks.sill_stack.height_stack"),
        (STATIONS, HEIGHTS, READ, *STACK),
        (
            length("gap", "what is left over the frame, sill packed to its high point"),
            length("over", "what is missing; 0 where nothing is"),
        ),
        "arithmetic: opening = packing + pan + bed + frame + gap",
        _stack,
    ),
)
