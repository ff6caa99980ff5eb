"""The sill put right: packing plan with the height stack, straightness, straightedge, compound."""

from typing import Any

from app.calculations.asking import even, rising, stations
from app.calculations.calculation import Answer, Calculation
from app.calculations.fields import group, length, lengths, maybe, one
from app.calculations.limits import limit
from app.calculations.sill import HEIGHTS, READ, STACK, STATIONS, stacked, turned
from app.core import decide
from app.core.checks.base import Ask
from app.core.checks.sill import compare, level_range, profile
from app.core.errors import InputError
from app.core.trade import packing, straight
from app.core.trade.finding import INFORMATION
from app.core.units import half_up, round_up
from app.core.words import Len, Msg

Given = dict[str, Any]
MOST_PIECES = 6


def _plan(given: Given) -> Answer:
    if not 1 <= given["pieces"] <= MOST_PIECES:
        words = Msg("A stack has 1 to {most} shims.", most=MOST_PIECES)
        raise InputError("pieces-range", words, field="pieces")
    given = turned(given, "heights", "weather")
    roles = {"line": stations(given, "heights")}
    if given["weather"]:
        roles["other"] = stations(given, "weather")
    ask = stacked("level-range", given, {"most": given["most"]}, roles)
    found = level_range(ask)
    return Answer(
        {"ways": [_way(row) for row in compare(ask)], "stations": _work(ask, "line")}
        | ({"weather": _work(ask, "other")} if given["weather"] else {}),
        found.verdict,
        found.says,
        found.remedies,
    )


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
    }


def _work(ask: Ask, role: str) -> list[dict[str, Any]]:
    rows = profile(ask, role)["stations"]
    return [{"at": row["x"], "pack": row["pack"], "grind": row["grind"]} for row in rows]


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
        "over": decide.beyond(width, None, given["most"]),
    }
    found.says = [Msg("Tilt aside, the line is straight within {size}.", size=Len(width))]
    return found


def _held(value: int, most: int | None) -> Answer:
    """Return the verdict on a value; without a limit it is information."""
    return Answer({}, INFORMATION if most is None else decide.verdict(value, None, most))


def _straightedge(given: Given) -> Answer:
    xs, ys = _line(given)
    gap, at, left, right = straight.straightedge_gap(xs, ys, given["length"])
    found = _held(round_up(*gap), given["most"])
    found.results = {"gap": gap, "at": xs[at], "left": xs[left], "right": xs[right]}
    found.says = [
        Msg(
            "Greatest gap {gap} at {at}; the straightedge rests at {left} and {right}.",
            gap=Len(half_up(*gap)),
            at=Len(xs[at], "place"),
            left=Len(xs[left], "place"),
            right=Len(xs[right], "place"),
        )
    ]
    found.cautions = [Msg("A straightedge is blind to tilt: judge level by itself.")]
    return found


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
    length("pack", "how much to pack there"),
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
)

CALCULATIONS = (
    Calculation(
        "sill-packing",
        "What brings a surveyed sill level: pack, grind then pack, or fill, side by side",
        ("app.core.trade.packing.work_line", "app.core.checks.sill.compare"),
        (
            STATIONS,
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
            group("stations", "the work advised on the line", *_STATION),
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
        (STATIONS, HEIGHTS, READ),
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
        (STATIONS, HEIGHTS, READ, length("length", "length of the straightedge")),
        (
            length("gap", "greatest gap"),
            length("at", "where it is"),
            length("left", "where the straightedge rests, left"),
            length("right", "where it rests, right"),
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
            STATIONS,
            lengths("depths", "depth to fill at each station"),
            length("width", "width of the fill"),
        ),
        (one("volume", "volume", "compound in place, without waste"),),
        "trapezoid rule",
        _compound,
    ),
)
