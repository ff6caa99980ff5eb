"""What the tests of the plain checks ask: places, readings as typed, limits as typed."""

from app.core.checks.base import Ask, Outcome
from app.core.kinds import Any
from app.core.quantity.measure import parse_amount
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.trade.drawing import Drawing
from app.core.where.place import Place

INCH = 25400000


def panel(letter: str, kind: str, track: int) -> "dict[str, Any]":
    """Return a panel of 48 by 94 in."""
    sizes = {"width": str(48 * INCH), "height": str(94 * INCH)}
    return dict(letter=letter, kind=kind, track=track, lead=kind == "X", **sizes)


DRAWING = Drawing(
    {
        "panels": [panel("A", "X", 1), panel("B", "O", 2)],
        "lengths": {"frame_width": str(99 * INCH)},
        "counts": {"fixed_screws": "3", "frame_anchors": "14"},
        "amounts": {"force_start": str(30 * 44482216152605000)},
        "weeps": ["304800000", "1219200000", "2133600000"],
    }
)


def spot(name: str, panel: str = "", side: str = "", x: "int | None" = None) -> Place:
    """Return a place that is called by its own name."""
    return Place(name, Msg(name), x=x, panel=panel, side=side)


def asking(
    places: "list[Place]",
    typed: "list[str | None]",
    limits: "dict[str, str | None]",
    settings: "dict[str, Any] | None" = None,
    units: str = "in",
    gone: "list[str] | None" = None,
    errors: "dict[str, int] | None" = None,
) -> Ask:
    """Return a question; readings (None: not taken) and limits are read as a person types them."""
    settings = settings or {}
    quantity = settings.get("quantity", "length")
    taken = {}
    for place, text in zip(places, typed):
        if text is not None:
            taken[place.id] = parse_amount(quantity, text, units, negative=True)
    values = {}
    for name in limits:
        text = limits[name]
        values[name] = None if text is None else parse_amount(quantity, text, units)
    return Ask(
        {"readings": places},
        {"readings": taken},
        values,
        settings,
        DRAWING,
        {"readings": gone or []},
        errors,
    )


def said(outcome: Outcome, units: str = "in") -> str:
    """Return all that an outcome says, remedies last."""
    speaker = Speaker({}, units)
    return " ".join([speaker.say(part) for part in outcome.says + outcome.remedies])
