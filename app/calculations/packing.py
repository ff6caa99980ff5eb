"""The sill put right: packing plan with the height stack, straightness, straightedge, compound."""

from dataclasses import replace
from typing import Any

from app.calculations.asking import even, rising, stations
from app.calculations.calculation import Answer, Calculation
from app.calculations.fields import group, length, lengths, maybe, one
from app.calculations.limits import limit
from app.calculations.sill import HEIGHTS, LINE, READ, STACK, stacked, stretch, turned
from app.core.checks import decide
from app.core.checks.sill import level_range, ways_compared
from app.core.errors import InputError
from app.core.quantity.messages import Len, Msg
from app.core.quantity.units import half_up, round_up
from app.core.trade import packing, straight
from app.core.trade.finding import INFORMATION
from app.core.trade.sill import stations_missing
from app.core.trade.verdicts import MISSING, OUT

Given = dict[str, Any]
MOST_PIECES = 6
MOST_SAID = 6  # places in one sentence
RESTS = 2  # stations that a straightedge rests on; one more is needed to see a gap


def _plan(given: Given) -> Answer:
    if not 1 <= given["pieces"] <= MOST_PIECES:
        words = Msg("A stack has 1 to {most} shims.", most=MOST_PIECES)
        raise InputError("pieces-range", words, field="pieces")
    given = turned(given, "heights", "weather")
    inputs = {"line": stations(given, "heights")}
    if given["weather"]:
        inputs["other"] = stations(given, "weather")
    ask = stacked("level-range", given, {"most": given["most"]}, inputs)
    found = level_range(ask)
    ways = [_way(row) for row in ways_compared(ask)]
    advised = next((way for way in ways if way["advised"]), None)
    results: Given = {"ways": ways}
    if advised:
        results |= {"stations": advised["stations"], "weather": advised["weather"]}
    return Answer(results, found.verdict, found.says, found.remedies)


def _way(row: dict[str, Any]) -> dict[str, Any]:
    volume = row["millilitres"]
    return {
        "kind": row["kind"],
        "advised": row["advised"],
        "possible": row["good"],
        "places": row["places"],
        "thickest": row["thickest"],
        "deepest": row["deepest"],
        "compound": None if volume is None else volume * 10**21,
        "says": [row["title"], *row["says"]],
        "stations": _work(row, "line"),
        "weather": _work(row, "other"),
    }


def _work(row: dict[str, Any], input: str) -> list[dict[str, Any]] | None:
    """Return what a way does at every station of one line; None without that line."""
    for line in row["work"]:
        if line["input"] == input:
            return [
                {"at": one["x"], "pack": one["pack"], "shims": one["pieces"], "grind": one["grind"]}
                for one in line["stations"]
            ]
    return None


def _line(given: Given) -> tuple[list[int], list[int]]:
    even(given, "stations", "heights")
    rising("stations", given["stations"])
    given = turned(given, "heights")
    return given["stations"], given["heights"]


def _straight(given: Given) -> Answer:
    xs, ys = _line(given)
    (_, rise, run), zone = straight.least_squares(xs, ys), straight.narrowest_zone(xs, ys)[1]
    width = round_up(*zone)
    found = _held(width, given["most"])
    found.results = {
        "zone": zone,
        "tilt": (rise * (xs[-1] - xs[0]), run),
        "over": decide.amount_beyond(width, None, given["most"]),
    }
    found.says = [Msg("Tilt aside, the line is straight within {size}.", size=Len(width))]
    return found


def _held(value: int, most: int | None) -> Answer:
    """Return the verdict on a value; without a limit it is information."""
    return Answer({}, INFORMATION if most is None else decide.verdict_of(value, None, most))


def _straightedge(given: Given) -> Answer:
    xs, ys = _line(given)
    edge = stretch(given, "length")
    gap, at, left, right = straight.straightedge_gap(xs, ys, edge)
    spacing = min(edge, xs[-1] - xs[0]) // 2
    wanted = _too_sparse(xs, edge, spacing)
    found = _held(round_up(*gap), given["most"])
    found.verdict = MISSING if wanted and found.verdict != OUT else found.verdict
    found.results = {"gap": gap, "at": xs[at], "left": xs[left], "right": xs[right]}
    found.results["measure_also"] = wanted
    found.says = [_gap_said(gap, xs[at], xs[left], xs[right]), *_sparse_said(wanted, spacing)]
    found.cautions = [Msg("A straightedge is blind to tilt: judge level by itself.")]
    return found


def _too_sparse(xs: list[int], edge: int, spacing: int) -> list[int]:
    """Return where to measure so that wherever the straightedge lies a station is under it."""
    if len(xs) > RESTS and xs[-1] - xs[0] <= edge:
        return []
    return stations_missing(xs, spacing, xs[0], xs[-1])


def _gap_said(gap: tuple[int, int], at: int, left: int, right: int) -> Msg:
    if gap[0] == 0:
        return Msg("No gap under it at any station.")
    return Msg(
        "Greatest gap {gap} at {at}; the straightedge rests at {left} and {right}.",
        gap=Len(half_up(*gap)),
        at=Len(at, "place"),
        left=Len(left, "place"),
        right=Len(right, "place"),
    )


def _sparse_said(wanted: list[int], spacing: int) -> list[Msg]:
    if not wanted:
        return []
    return [
        Msg(
            "Between stations farther apart than {spacing} it may hide a gap. "
            "Measure also: {places}.",
            spacing=Len(spacing, "place"),
            places=[Len(x, "place") for x in wanted[:MOST_SAID]],
        )
    ]


def _compound(given: Given) -> Answer:
    even(given, "stations", "depths")
    rising("stations", given["stations"])
    return Answer(
        {"volume": packing.fill_volume(given["stations"], given["depths"], given["width"])},
        cautions=[
            Msg("Fill to a plane, never across the fall: the sill drains to the weather side."),
            Msg("Least and greatest thickness are the compound maker's."),
        ],
    )


_STATION = (
    length("at", "position from the LEFT end"),
    length("pack", "how much to pack there; null where the box cannot make it"),
    lengths("shims", "the shims of the box that make it, thickest first"),
    length("grind", "how much to grind there first"),
)
_WAY = (
    one("kind", "choice", "pack, grind or fill"),
    one("advised", "flag", "whether this is the way to go"),
    one("possible", "flag", "whether it would serve"),
    one("places", "count", "at how many stations something is done"),
    length("thickest", "greatest packing"),
    length("deepest", "deepest grinding"),
    one("compound", "volume", "compound for a fill, where the sill's depth is given"),
    one("says", "sentences", "the same in words, the sum under the head with it"),
    group("stations", "what this way does on the line", *_STATION),
    group("weather", "what it does on the weather-side line", *_STATION),
)

CALCULATIONS = (
    Calculation(
        "sill-packing",
        "What brings a surveyed sill level: pack, grind then pack, or fill, side by side",
        ("app.core.trade.packing.work_line", "app.core.checks.sill.ways_compared"),
        (
            LINE,
            HEIGHTS,
            maybe(lengths("weather", "readings of the weather-side line", signed=True)),
            READ,
            maybe(lengths("shims", "thicknesses of the shims in the box", least=0, most=16)),
            maybe(one("pieces", "count", "most shims in one stack"), "4"),
            *(maybe(field) for field in STACK),
            maybe(length("sill_depth", "depth of the sill, for the volume of a fill")),
        ),
        (
            group("ways", "the ways side by side", *_WAY),
            group("stations", "the work advised on the line; null where none is", *_STATION),
            group("weather", "the work advised on the weather-side line", *_STATION),
        ),
        "shim = level line at the high point less height (arithmetic); the sum under the head",
        _plan,
        (limit("sill-range", "most", "highest to lowest over the whole line, most"),),
    ),
    Calculation(
        "straightness",
        "How straight a line is, tilt aside: narrowest zone and least-squares trend",
        ("app.core.trade.straight.narrowest_zone", "app.core.trade.straight.least_squares"),
        (replace(LINE, least=3), HEIGHTS, READ),  # two are always straight
        (
            length("zone", "width of the narrowest zone, up and down"),
            length("tilt", "rise of the least-squares line from end to end"),
            length("over", "by how much the zone is too wide"),
        ),
        "minimum zone (the idea of ISO 12780-1, from memory); least squares, any textbook",
        _straight,
        (maybe(limit("straightness", "most", "width of the zone, most")),),
    ),
    Calculation(
        "straightedge",
        "The greatest gap under a straightedge laid anywhere along a line",
        ("app.core.trade.straight.straightedge_gap",),
        (LINE, HEIGHTS, READ, length("length", "length of the straightedge")),
        (
            length("gap", "greatest gap"),
            length("at", "where it is"),
            length("left", "where the straightedge rests, left"),
            length("right", "where it rests, right"),
            lengths("measure_also", "where to measure before a gap can be seen"),
        ),
        "upper convex hull of the stations under the straightedge (plane geometry)",
        _straightedge,
        (maybe(limit("straightedge", "most", "gap, most")),),
    ),
    Calculation(
        "compound-volume",
        "Compound that fills a line to a level",
        ("app.core.trade.packing.fill_volume",),
        (
            LINE,
            lengths("depths", "depth to fill at each station"),
            length("width", "width of the fill"),
        ),
        (one("volume", "volume", "compound in place, without waste"),),
        "trapezoid rule",
        _compound,
    ),
)
