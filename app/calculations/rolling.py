"""Rollers: closing gap, stiles, rise and turns; what a handle lifts."""

from typing import Any

from app.calculations.asking import asked, judged
from app.calculations.calculation import Answer, Calculation, of_outcome
from app.calculations.fields import choice, length, maybe, one
from app.calculations.limits import limit
from app.core.checks.base import Ask
from app.core.errors import InputError
from app.core.quantity.messages import Len, Msg
from app.core.trade import rollers
from app.core.trade.drawing import Drawing
from app.core.where.place import Place

Given = dict[str, Any]
Pairs = list[tuple[Place, int]]
WIDE = 10**9  # a panel for the places to stand at: its width enters no figure

VALUE = length("value", "the figure that was judged")
OVER = length("over", "by how much it is out; 0 where it is not")


def _panel(given: Given) -> Drawing:
    side = given["closes"]
    lengths = {"axle_distance": given["axles"], "gap_distance": given["distance"]}
    panel = {"letter": "A", "kind": "X", "track": 1, "width": str(WIDE), "height": str(WIDE)}
    return Drawing(
        {
            "lock": side,
            "panels": [panel | {"lead": True}],
            "lengths": {name: str(nm) for name, nm in lengths.items() if nm is not None},
        }
    )


def _gap_ask(given: Given) -> Ask:
    x = 0 if given["closes"] == "left" else WIDE
    inputs: dict[str, Pairs] = {
        "gap": [(_level("gap", side, x), given[side]) for side in ("low", "middle", "high")]
    }
    if given["left_stile"] is not None and given["right_stile"] is not None:
        inputs["stiles"] = _stiles(given)
    inputs.update(_trial(given))
    limits = {name: given[name] for name in ("most", "middle_most", "alike")}
    limits["middle"] = limits.pop("middle_most")
    return asked("roller-gap", inputs, limits, made=_panel(given))


def _level(name: str, side: str, x: int) -> Place:
    titles = {"low": Msg("low"), "middle": Msg("middle"), "high": Msg("high")}
    return Place(f"{name}-{side}", titles[side], x, panel="A", side=side)


def _stiles(given: Given) -> Pairs:
    titles = {"left": Msg("LEFT stile"), "right": Msg("RIGHT stile")}
    return [
        (Place(side, titles[side], panel="A", side=side), given[side + "_stile"])
        for side in ("left", "right")
    ]


def _trial(given: Given) -> dict[str, Pairs]:
    if given["trial"] is None:
        return {}
    return {"trial": [(Place("trial", Msg("Trial turn"), panel="A"), given["trial"])]}


def _apart_axles(given: Given) -> None:
    if given["axles"] == 0:
        raise InputError("axles-none", Msg("The two axles must be some distance apart."))


def _gap(given: Given) -> Answer:
    _apart_axles(given)
    found = judged("roller-gap", _gap_ask(given))
    taper = given["high"] - given["low"]
    bow = rollers.bow_twice(given["low"], given["middle"], given["high"])
    return of_outcome(found, taper=taper, bow=(bow, 2))


def _alike(given: Given) -> Answer:
    limits = {"most": given["most"], "target": given["target"], "off": given["off"]}
    inputs = {"stiles": _stiles(given), **_trial(given)}
    made = _panel(given | {"distance": None})
    return of_outcome(judged("stiles-alike", asked("stiles-alike", inputs, limits, made=made)))


def _lift(given: Given) -> Answer:
    names = {"left": Msg("LEFT stile"), "right": Msg("RIGHT stile")}
    inputs: dict[str, Pairs] = {
        input: [
            (Place(side, names[side], panel="A", side=side), given[f"{input}_{side}"])
            for side in names
        ]
        for input in ("lowered", "lifted")
    }
    limits = {"least": given["least"], "most": given["most"], "alike": given["alike"]}
    limits |= {"free": given["gasket"], "pressed": given["lowered_most"]}
    ask = asked("panel-lift", inputs, limits)
    lifts = {side: given[f"lifted_{side}"] - given[f"lowered_{side}"] for side in names}
    return of_outcome(judged("panel-lift", ask), left=lifts["left"], right=lifts["right"])


def _two_leads(given: Given) -> Drawing:
    """Return two leading panels that meet: A on the left, B on the right."""
    lengths = {"axle_distance": given["axles"], "gap_distance": given["distance"]}
    panel = {"kind": "X", "track": 1, "width": str(WIDE), "height": str(WIDE), "lead": True}
    return Drawing(
        {
            "lock": "left",
            "panels": [panel | {"letter": "A"}, panel | {"letter": "B"}],
            "lengths": {name: str(nm) for name, nm in lengths.items() if nm is not None},
        }
    )


def _plumbed(given: Given) -> Pairs:
    """Return how far each leading stile stands from the line, where both were plumbed."""
    sides = (("A", "left"), ("B", "right"))
    return [
        (
            Place(f"{letter}-{level}", Msg("stile"), WIDE, panel=letter, side=level),
            given[f"{name}_{level}"],
        )
        for letter, name in sides
        for level in ("low", "high")
        if given[f"{name}_{level}"] is not None
    ]


def _meeting(given: Given) -> Answer:
    _apart_axles(given)
    inputs: dict[str, Pairs] = {
        "gap": [(_level("gap", side, WIDE), given[side]) for side in ("low", "middle", "high")],
        "plumb": _plumbed(given),
    }
    limits = {"most": given["most"], "middle": given["middle_most"]}
    ask = asked("roller-gap", inputs | _trial(given), limits, made=_two_leads(given))
    return of_outcome(judged("roller-gap", ask), taper=given["high"] - given["low"])


def _rise(given: Given) -> Answer:
    if given["distance"] <= 0:
        raise InputError("distance-none", Msg("The two gaps must be some distance apart."))
    _apart_axles(given)
    taper = given["high"] - given["low"]
    rise = rollers.roller_rise(taper, given["axles"], given["distance"])
    roller = rollers.raised_roller(taper)
    quarters = rollers.quarter_turns(rise, given["trial"]) if given["trial"] else None
    said = Msg("Raise the trailing roller {rise}.", rise=Len(rise))
    if roller == "leading":
        said = Msg("Raise the leading roller {rise}.", rise=Len(rise))
    return Answer(
        {
            "rise": rise,
            "roller": roller if rise else None,
            "turns": None if quarters is None else (quarters * 25, 2),
        },
        remedies=[said] if rise else [],
        cautions=[
            Msg("Panel and jamb are square and straight first. A bow is no matter for rollers."),
            Msg("Weight off, hand tool only. One trial turn is measured before turns are counted."),
        ],
    )


_TRIAL = maybe(length("trial", "how much one trial turn raised the stile, measured"))
_CLOSES = choice("closes", "side that the panel closes at, seen from outside", "left", "right")
_AXLES = length("axles", "distance between the two roller axles")
_DISTANCE = length("distance", "distance between the lowest and the highest gap")

CALCULATIONS = (
    Calculation(
        "roller-gap",
        "A closing gap at three heights: which roller, which way, how far",
        ("app.core.trade.rollers.roller_rise", "app.core.checks.rollers.roller_gap"),
        (
            _CLOSES,
            length("low", "gap low"),
            length("middle", "gap in the middle"),
            length("high", "gap high"),
            maybe(_AXLES),
            maybe(_DISTANCE),
            maybe(length("left_stile", "bottom of the LEFT stile over the sill", signed=True)),
            maybe(length("right_stile", "bottom of the RIGHT stile over the sill", signed=True)),
            _TRIAL,
        ),
        (
            VALUE,
            OVER,
            length("taper", "gap high less gap low"),
            length("bow", "middle off the mean of low and high"),
        ),
        "the panel turns as one piece: rise / axles = taper / distance (plane geometry)",
        _gap,
        (
            limit("roller-gap", "most", "greatest less least gap, most"),
            limit("roller-gap", "middle_most", "middle off the mean, most"),
            limit("roller-gap", "alike", "stiles alike, most"),
        ),
    ),
    Calculation(
        "meeting-gap",
        "The gap where two leading panels meet: each is moved by its own lean from plumb",
        ("app.core.trade.rollers.leans_agree", "app.core.checks.rollers.roller_gap"),
        (
            length("low", "gap low"),
            length("middle", "gap in the middle"),
            length("high", "gap high"),
            maybe(length("left_low", "plumb line in the gap to the LEFT panel's stile, low")),
            maybe(length("left_high", "the same, high")),
            maybe(length("right_low", "plumb line in the gap to the RIGHT panel's stile, low")),
            maybe(length("right_high", "the same, high")),
            maybe(_AXLES),
            maybe(_DISTANCE),
            _TRIAL,
        ),
        (VALUE, OVER, length("taper", "gap high less gap low: the sum of both leans")),
        "the taper is the sum of two leans; rise / axles = lean / distance (plane geometry)",
        _meeting,
        (
            limit("meeting-gap", "most", "greatest less least gap, most"),
            limit("meeting-gap", "middle_most", "middle off the mean, most"),
        ),
    ),
    Calculation(
        "stiles-alike",
        "Whether both stiles of a panel stand alike over the sill, and as drawn",
        ("app.core.checks.stiles.stiles_alike",),
        (
            _CLOSES,
            length("left_stile", "bottom of the LEFT stile over the sill", signed=True),
            length("right_stile", "bottom of the RIGHT stile over the sill", signed=True),
            maybe(_AXLES),
            _TRIAL,
        ),
        (VALUE, OVER),
        "definition",
        _alike,
        (
            limit("stiles-alike", "most", "left and right alike, most"),
            maybe(limit("stiles-alike", "target", "height over the sill as drawn")),
            maybe(limit("stiles-alike", "off", "how far from it, most")),
        ),
    ),
    Calculation(
        "panel-lift",
        "Whether a handle lifts a panel as drawn, even at both stiles, and free of its gasket",
        ("app.core.checks.lifted.panel_lift", "app.core.trade.lift_and_slide.raise_to_free"),
        (
            length("lowered_left", "lowered: LEFT stile over the sill"),
            length("lowered_right", "lowered: RIGHT stile over the sill"),
            length("lifted_left", "lifted: LEFT stile over the sill"),
            length("lifted_right", "lifted: RIGHT stile over the sill"),
        ),
        (VALUE, OVER, length("left", "lift of the LEFT stile"), length("right", "of the RIGHT")),
        "definition: height lifted less height lowered",
        _lift,
        (
            limit("panel-lift", "least", "lift, least"),
            limit("panel-lift", "most", "lift, most"),
            limit("panel-lift", "gasket", "gasket under the panel, height when nothing presses it"),
            limit("panel-lift", "alike", "lifts of both stiles even, most"),
            maybe(limit("panel-lift", "lowered_most", "a lowered stile over the sill, most")),
        ),
    ),
    Calculation(
        "roller-rise",
        "How much one roller must rise to take a taper out, and turns by a measured trial turn",
        ("app.core.trade.rollers.roller_rise", "app.core.trade.rollers.quarter_turns"),
        (length("low", "gap low"), length("high", "gap high"), _AXLES, _DISTANCE, _TRIAL),
        (
            length("rise", "how much it must rise"),
            one("roller", "text", "the leading or the trailing roller"),
            one("turns", "decimal", "turns, to a quarter; null without a trial turn"),
        ),
        "rise / axles = taper / distance (plane geometry)",
        _rise,
    ),
)
