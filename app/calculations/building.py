"""The building about the door: header, slab, tolerances of buildings; what rollers carry."""

import math
from typing import Any

from app.calculations.calculation import Answer, Calculation, of_finding
from app.calculations.fields import choice, length, lengths, maybe, one
from app.core.trade import deflection, din18202, fnumbers, rollers_load, thresholds

Given = dict[str, Any]


def _header(given: Given) -> Answer:
    stated = deflection.Stated(given["engineer"], given["date"], given["live"], _creep(given))
    gaps = {place: given[place] for place in deflection.PLACES}
    found = deflection.judge_head_gap(gaps, stated, given["needed"], given["span"] or 0)
    left = {place: deflection.gap_remaining(gap, stated) for place, gap in gaps.items()}
    return of_finding(found, comes_down=stated.comes_down, remaining=min(left.values()))


def _creep(given: Given) -> int:
    if given["dead"] is None:
        return 0
    return deflection.creep_left(given["dead"], given["creep_percent"])


def _ratio(given: Given) -> Answer:
    return of_finding(
        deflection.ratio_table(given["span"]),
        at_ratio=deflection.at_ratio(given["span"], given["ratio"]),
    )


def _slab(given: Given) -> Answer:
    heights = given["heights"]
    long = len(heights) >= fnumbers.FAR + 2
    return of_finding(
        fnumbers.f_numbers_in_words(heights),
        flatness=_hundredths(fnumbers.flatness_number(heights)),
        levelness=_hundredths(fnumbers.levelness_number(heights)) if long else None,
    )


def _hundredths(number: float | None) -> tuple[int, int] | None:
    return None if number is None else (math.floor(100 * number + 0.5), 2)


def _building(given: Given) -> Answer:
    row, distance = given["row"], given["distance"]
    return of_finding(
        din18202.row_in_words(row, distance),
        gap=din18202.allowed_gap(row, distance),
        plumb=din18202.allowed_angle(distance),
    )


def _rollers(given: Given) -> Answer:
    mass = given["mass"]
    most = 0
    if given["positions"] and given["centre"] is not None:
        most = rollers_load.greatest_roller_load(mass, given["positions"], given["centre"])
    needed = max(most, rollers_load.needed_rating(mass))
    if given["rating"] is None:
        return Answer({"needed": needed})
    return of_finding(rollers_load.judge_rating(mass, given["rating"], most), needed=needed)


CALCULATIONS = (
    Calculation(
        "header-room",
        "Room over the frame against the deflection that an engineer stated",
        ("app.core.trade.deflection.judge_head_gap", "app.core.trade.deflection.creep_left"),
        (
            one("engineer", "text", "who stated it"),
            one("date", "text", "when, such as 2026-03-02"),
            length("live", "how far the header comes down under load"),
            maybe(length("dead", "deflection by dead load, for what creep still adds")),
            maybe(one("creep_percent", "count", "the engineer's creep factor, 150 is 1.5"), "100"),
            length("left", "gap over the frame, LEFT end"),
            length("middle", "gap in the middle"),
            length("right", "gap, RIGHT end"),
            length("needed", "what has to remain"),
            maybe(length("span", "span of the opening, for a warning")),
        ),
        (
            length("comes_down", "how far it comes down in all"),
            length("remaining", "what is left of the least gap"),
        ),
        "gap - live - creep >= needed (arithmetic); the program never sizes a header",
        _header,
    ),
    Calculation(
        "span-ratio",
        "A span over a ratio, to think with",
        ("app.core.trade.deflection.at_ratio",),
        (
            length("span", "span of the opening"),
            maybe(one("ratio", "count", "such as 360"), "360"),
        ),
        (length("at_ratio", "span / ratio"),),
        "arithmetic; the ratios of IBC table 1604.3 (seen)",
        _ratio,
    ),
    Calculation(
        "f-numbers",
        "F-numbers of a slab: for information only, never a verdict on a sill",
        ("app.core.trade.fnumbers.flatness_number", "app.core.trade.fnumbers.levelness_number"),
        (lengths("heights", "heights every 12 in along a line", signed=True, least=4),),
        (
            one("flatness", "decimal", "FF, to a hundredth"),
            one("levelness", "decimal", "FL; null where the line is too short"),
        ),
        "ASTM E1155 (sections seen; constants from memory); it excludes fixed-path traffic",
        _slab,
    ),
    Calculation(
        "building-tolerance",
        "What a building may be out by DIN 18202: far too loose for a track",
        ("app.core.trade.din18202.allowed_gap", "app.core.trade.din18202.allowed_angle"),
        (
            choice("row", "row of table 3", *[known[0] for known in din18202.GAPS]),
            length("distance", "distance of the points, or size of the member"),
        ),
        (
            length("gap", "gap under a straightedge, table 3"),
            length("plumb", "off plumb or level, table 2"),
        ),
        "DIN 18202 tables 2 and 3 (restated on three public pages)",
        _building,
    ),
    Calculation(
        "threshold-rules",
        "Rules on thresholds, ways out and pools that people ask about: information only",
        ("app.core.trade.thresholds.threshold_rules",),
        (),
        (),
        "each rule names its own: IRC R311.3, ADA 404.2, HUD, CPSC (restated; HUD seen)",
        lambda _given: of_finding(thresholds.threshold_rules()),
    ),
    Calculation(
        "roller-load",
        "What each roller must be rated for, only two of them touching",
        (
            "app.core.trade.rollers_load.needed_rating",
            "app.core.trade.rollers_load.greatest_roller_load",
        ),
        (
            one("mass", "mass", "weight of the panel"),
            maybe(one("rating", "mass", "what one roller is rated for")),
            maybe(lengths("positions", "rollers along the panel")),
            maybe(length("centre", "centre of mass along the panel")),
        ),
        (one("needed", "mass", "rating that one roller needs"),),
        "statics: moments about the other roller",
        _rollers,
    ),
)
