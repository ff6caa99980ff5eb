"""The opening and the frame: fit, lean, head, squareness, twist."""

from typing import Any

from app.calculations.asking import asked, drawing, even, judged, rising, stations, up
from app.calculations.calculation import Answer, Calculation, of_outcome
from app.calculations.fields import Field, choice, group, length, lengths, maybe
from app.calculations.limits import limit
from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.core.quantity.units import half_up
from app.core.trade import frame, opening
from app.core.trade.sill import height_at
from app.core.where.place import Place

Given = dict[str, Any]

VALUE = length("value", "the figure that was judged")
OVER = length("over", "by how much it is out; 0 where it is not")
YS = lengths("heights", "heights over the sill at which was measured, rising")


def _fit(given: Given) -> Answer:
    ys = given["heights"]
    rising("heights", ys)
    for name in ("left", "right", "widths"):
        even(given, "heights", name)
    inputs = {
        "left": up("left", ys, given["left"], "l"),
        "right": up("right", ys, given["right"], "r"),
        "widths": up("", ys, given["widths"], "w"),
    }
    limits = {name: given[name] for name in ("least", "most", "agree")}
    ask = asked("fit", inputs, limits, made=drawing(frame_width=given["frame_width"]))
    return of_outcome(judged("fit", ask), **_gaps(given))


def _gaps(given: Given) -> dict[str, Any]:
    left, right, frame_width = given["left"], given["right"], given["frame_width"]
    rows = zip(given["widths"], left, right, strict=True)
    between = opening.middle_one([opening.between_lines(*row) for row in rows])
    at = opening.best_position(between, left, right, frame_width, given["least"], given["most"])
    gaps = {
        "left": opening.left_gaps(left, at),
        "right": opening.right_gaps(between, right, frame_width, at),
    }
    return {
        "usable_width": opening.usable_width(between, left, right),
        "left_gaps": gaps["left"],
        "right_gaps": gaps["right"],
        "at_anchors": _at_anchors(given, gaps),
    }


def _at_anchors(given: Given, gaps: dict[str, list[int]]) -> list[Given] | None:
    """Return the gap beside each anchor: the jamb is straight between measured heights."""
    if given["anchors"] is None:
        return None
    rising("anchors", given["anchors"])
    return [
        {"at": y} | {side: _floor(height_at(given["heights"], gaps[side], y)) for side in gaps}
        for y in given["anchors"]
    ]


def _floor(ratio: tuple[int, int]) -> int:
    return ratio[0] // ratio[1]


def _lean(given: Given) -> Answer:
    even(given, "heights", "offsets")
    rising("heights", given["heights"])
    limits = {"most": given["most"]}
    if given["over"] is not None:
        limits["most_over"] = given["most_over"]
    settings = {
        "jamb": given["jamb"],
        "way": "through the wall" if given["way"] == "through" else "in the wall",
        "over": given["over"],
    }
    pairs = up(given["jamb"], given["heights"], given["offsets"], "j")
    return of_outcome(judged("lean", asked("lean", {"jamb": pairs}, limits, settings)))


def _sag(given: Given) -> Answer:
    limits = {"most": given["most"], "level": given["level"]}
    inputs = {"head": stations(given, "heights", "positions")}
    return of_outcome(judged("head-sag", asked("head-sag", inputs, limits, {"of": given["of"]})))


def _over_sill(given: Given) -> Answer:
    inputs = {"head": stations(given, "head", "positions")}
    if given["sill"]:
        inputs["sill"] = stations(given, "sill", "positions")
    ask = asked("head-over-sill", inputs, {"most": given["most"]}, {"of": given["of"]})
    return of_outcome(judged("head-over-sill", ask))


def _square(given: Given) -> Answer:
    rising_, falling = given["rising"], given["falling"]
    inputs = {
        "diagonals": [
            (Place("low-left-high-right", Msg("LOW LEFT to HIGH RIGHT")), rising_),
            (Place("low-right-high-left", Msg("LOW RIGHT to HIGH LEFT")), falling),
        ],
        "widths": [(Place(f"w{i}", Msg("Width")), nm) for i, nm in enumerate(given["widths"])],
        "heights": [(Place(f"h{i}", Msg("Height")), nm) for i, nm in enumerate(given["heights"])],
    }
    limits = {name: given[name] for name in ("most", "rack", "rack_any", "agree")}
    settings = {"of": given["of"], "over": given["over"]}
    found = judged("square", asked("square", inputs, limits, settings))
    num, den = frame.head_shift(rising_, falling, given["widths"])
    results = {
        "difference": rising_ - falling,
        "rack": (num, den) if den else None,
        "diagonal": frame.diagonal_of(given["widths"], given["heights"]),
        "over": found.over,
    }
    return Answer(results, found.verdict, found.says, found.remedies)


def _twist(given: Given) -> Answer:
    values = given["corners"] or ([given["gap"]] if given["gap"] is not None else [])
    if len(values) not in (1, 4) or (given["corners"] and given["gap"] is not None):
        raise InputError(
            "twist-needs",
            Msg("Give the “gap” where the strings cross, or all four “corners” in order around."),
        )
    pairs = [(Place(f"c{i}", Msg("Corner")), nm) for i, nm in enumerate(values)]
    found = judged("twist", asked("twist", {"strings": pairs}, {"most": given["most"]}))
    corner = frame.corner_off(*values) if len(values) == 4 else frame.corner_of_gap(values[0])
    results = {"gap": half_up(abs(corner), 2), "corner": abs(corner), "over": found.over}
    return Answer(results, found.verdict, found.says, found.remedies)


_OF: Field = maybe(choice("of", "what was measured", "opening", "frame"), "frame")

CALCULATIONS = (
    Calculation(
        "fit",
        "Where a frame fits between two jambs, and every shim",
        ("app.core.trade.opening.best_position", "app.core.checks.opening.fit"),
        (
            YS,
            lengths("left", "plumb line to the LEFT jamb at each height", signed=True),
            lengths("right", "plumb line to the RIGHT jamb at each height", signed=True),
            lengths("widths", "tape from jamb to jamb at each height"),
            length("frame_width", "outside width of the frame"),
            maybe(lengths("anchors", "heights of the anchors over the sill, rising")),
        ),
        (
            VALUE,
            OVER,
            length("usable_width", "widest plumb frame that goes in"),
            lengths("left_gaps", "gap beside the frame at each height, LEFT: the shim there"),
            lengths("right_gaps", "gap at each height, RIGHT"),
            group(
                "at_anchors",
                "shim at each anchor, the jamb straight between measured heights",
                length("at", "height of the anchor"),
                length("left", "gap there, LEFT"),
                length("right", "gap there, RIGHT"),
            ),
        ),
        "least of right jamb less left jamb over all pairs of heights (plane geometry)",
        _fit,
        (
            limit("fit", "least", "gap beside the frame, least"),
            limit("fit", "most", "gap beside the frame, most"),
            limit("fit", "agree", "how far tape and offsets may disagree"),
        ),
    ),
    Calculation(
        "lean",
        "Lean and bow of a jamb from its distances to a plumb line",
        ("app.core.trade.line.worst_change", "app.core.checks.lean.lean"),
        (
            choice("jamb", "which jamb, seen from outside", "left", "right"),
            choice(
                "way",
                "“in”: line inside the opening, bigger is farther from the middle; “through”: "
                "line on the room side, bigger is nearer the outside",
                "in",
                "through",
            ),
            YS,
            lengths("offsets", "plumb line to the jamb at each height", signed=True),
            maybe(length("over", "length within which the limit most_over holds")),
        ),
        (VALUE, OVER),
        "chord and greatest change of a piecewise linear line (plane geometry)",
        _lean,
        (
            limit("lean", "most", "most to least over the jamb, most"),
            limit("lean", "most_over", "change within the length “over”, most"),
        ),
    ),
    Calculation(
        "head-sag",
        "How far a head hangs off the line between its ends",
        ("app.core.trade.line.bows_off_line", "app.core.checks.head.head_sag"),
        (
            lengths("positions", "positions from the LEFT end: ends, quarters, middle", least=3),
            lengths("heights", "height of the head there over a level line", signed=True),
            _OF,
        ),
        (VALUE, OVER),
        "distance from the chord through the two ends (plane geometry)",
        _sag,
        (
            limit("head-sag", "most", "off the straight line, most"),
            maybe(limit("head-sag", "level", "highest to lowest, most")),
        ),
    ),
    Calculation(
        "head-over-sill",
        "Whether the clear height is alike from end to end",
        ("app.core.checks.head.head_over_sill",),
        (
            lengths("positions", "positions from the LEFT end", least=2),
            lengths("head", "clear heights by tape; or heights over a level line", signed=True),
            maybe(lengths("sill", "heights of the sill over the same line", signed=True)),
            _OF,
        ),
        (VALUE, OVER),
        "clear height = head less sill at one place (arithmetic)",
        _over_sill,
        (limit("head-over-sill", "most", "greatest less least clear height, most"),),
    ),
    Calculation(
        "square",
        "Squareness from both diagonals: rack, which way to move, a misread diagonal found",
        ("app.core.trade.frame.head_shift", "app.core.checks.frame.square"),
        (
            length("rising", "diagonal LOW LEFT to HIGH RIGHT, seen from outside"),
            length("falling", "diagonal LOW RIGHT to HIGH LEFT"),
            lengths("widths", "measured widths"),
            lengths("heights", "measured heights"),
            maybe(length("over", "height that the limit “rack” is for"), "8 ft"),
            _OF,
        ),
        (
            length("difference", "rising less falling"),
            length("rack", "how far the head stands to the RIGHT of square (below 0: LEFT)"),
            length("diagonal", "diagonal of the rectangle of these sides"),
            OVER,
        ),
        "law of cosines, parallelogram law (plane geometry)",
        _square,
        (
            limit("square", "rack", "sideways shift for the height “over”, most"),
            maybe(limit("square", "rack_any", "sideways shift in any case, most")),
            maybe(limit("square", "most", "difference of the diagonals, most")),
            limit("square", "agree", "how far diagonals and sides may disagree"),
        ),
    ),
    Calculation(
        "twist",
        "Twist of a frame: two strings from corner to corner, or four corners",
        ("app.core.trade.frame.corner_off", "app.core.checks.twist.twist"),
        (
            maybe(length("gap", "gap between the strings where they cross")),
            maybe(
                lengths(
                    "corners",
                    "distance of each corner from one flat plane, in order around",
                    signed=True,
                    least=4,
                )
            ),
        ),
        (
            length("gap", "gap between the strings"),
            length("corner", "how far one corner is out of the plane of the others"),
            OVER,
        ),
        "the strings cross at their middles: the gap is half of the corner (geometry)",
        _twist,
        (limit("twist", "most", "gap between the strings, most"),),
    ),
)
