"""Panels: order of setting, stacks, weight of the glass."""

from typing import Any

from app.calculations.calculation import Answer, Calculation
from app.calculations.fields import Field, choice, group, length, lengths, maybe, one, some
from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.core.trade import moving, setting, weight
from app.core.trade.anchors import ceil_div
from app.core.trade.drawing import Drawing

Given = dict[str, Any]
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def _drawing(given: Given) -> Drawing:
    panels = [_panel(i, row) for i, row in enumerate(given["panels"])]
    sizes = ("frame_width", "jamb_face", "interlock_overlap", "pocket_depth")
    return Drawing(
        {
            "lock": given["lock"],
            "set_from": given["set_from"],
            "order": given["order"] or [],
            "panels": panels,
            "counts": {"tracks": str(given["tracks"])},
            "lengths": {name: str(given[name]) for name in sizes if given[name] is not None},
        }
    )


def _panel(i: int, row: Given) -> dict[str, Any]:
    _weighed(row["mass"], f"panels[{i}].mass")
    return {
        "letter": LETTERS[i] if i < len(LETTERS) else "?",
        "kind": row["kind"],
        "track": row["track"],
        "width": str(row["width"]),
        "height": str(row["height"]),
        "lead": bool(row["lead"]),
        "mass": "" if row["mass"] is None else str(row["mass"]),
    }


def _weighed(mass: int | None, name: str) -> None:
    """Refuse a weight of nothing: it would be added up as if somebody had read it."""
    if mass == 0:
        raise InputError("mass-needed", Msg("Read the weight on the label first."), field=name)


def _order(given: Given) -> Answer:
    drawing = _drawing(given)
    turns = setting.setting_order(drawing)
    return Answer(
        {
            "order": [turn.panel.letter for turn in turns],
            "reasons": [{"panel": turn.panel.letter, "why": turn.reasons} for turn in turns],
            "left": _stack(drawing, "left"),
            "middle": _stack(drawing, "middle"),
            "right": _stack(drawing, "right"),
        },
        cautions=[
            weight.weight_caution(),
            Msg(
                "Nobody stands under a panel or on its glass side. Anti-lift parts in before "
                "letting go."
            ),
        ],
    )


def _taken(drawing: Drawing) -> int:
    """Return how much of the way a stack over a fixed panel takes; 0 where there is none."""
    spans = moving.open_spans(drawing) if moving.stacks_inside(drawing) else []
    return sum(high - low for low, high in spans)


def _stack(drawing: Drawing, side: str) -> list[dict[str, Any]]:
    stood = moving.stacked_panels(drawing)[side]
    masses = [panel.mass for panel in stood]
    known = [mass for mass in masses if mass is not None]
    mass = sum(known) if stood and len(known) == len(stood) else None
    inside = moving.pocketed_panels(drawing, side)
    standing = [panel for panel in stood if not panel.pocketed]
    return [
        {
            "panels": [panel.letter for panel in stood],
            "mass": mass,
            "depth": _taken(drawing) if side == "middle" else moving.stack_depth(standing),
            "pocket": moving.stack_depth(inside),
        }
    ]


def _glass(given: Given) -> Answer:
    bare = weight.glass_mass(
        given["width"], given["height"], given["lites"], given["interlayers"] or 0
    )
    _weighed(given["label"], "label")
    percent = given["frame"]
    return Answer(
        {
            "glass": bare,
            "panel": given["label"] or ceil_div(bare * (100 + percent), 100),
            "basis": "label" if given["label"] else "glass",
        },
        cautions=[weight.weight_caution()],
    )


_STACK: tuple[Field, ...] = (
    some("panels", "text", "letters, LEFT to RIGHT"),
    one("mass", "mass", "what bears there; null where a panel's weight is not given"),
    length("depth", "how deep the stack stands in the way"),
    length("pocket", "how deep the pocket must be; 0 without one"),
)

CALCULATIONS = (
    Calculation(
        "panel-order",
        "Order in which panels are set, with the reason at each, and where they stack",
        ("app.core.trade.setting.setting_order", "app.core.trade.moving.stacked_panels"),
        (
            choice("set_from", "side that the crew sets from", "outside", "room"),
            choice("lock", "side of the lock, seen from outside", "left", "right"),
            one("tracks", "count", "how many tracks; 1 is the innermost"),
            length("frame_width", "outside width of the frame"),
            length("jamb_face", "face width of a jamb"),
            maybe(length("interlock_overlap", "overlap at an interlock")),
            maybe(length("pocket_depth", "depth of the pockets, where there are P panels")),
            group(
                "panels",
                "panels from the LEFT, seen from outside: A, B, C …",
                choice("kind", "X slides, O is fixed, P slides into a pocket", "X", "O", "P"),
                one("track", "count", "its track"),
                length("width", "its width"),
                length("height", "its height"),
                maybe(one("lead", "flag", "whether it leads")),
                maybe(one("mass", "mass", "its weight by the label")),
            ),
            maybe(some("order", "text", "the drawing's own order, by letters", least=0, most=26)),
        ),
        (
            some("order", "text", "letters in order of setting"),
            group(
                "reasons",
                "why",
                one("panel", "text", "its letter"),
                one("why", "sentences", "reasons"),
            ),
            group("left", "what stands at the LEFT end when open", *_STACK),
            group("middle", "what stands at a fixed panel between two leads when open", *_STACK),
            group("right", "what stands at the RIGHT end when open", *_STACK),
        ),
        "common practice, no source: farthest track first, the lead opens, a fixed panel closes",
        _order,
    ),
    Calculation(
        "panel-weight",
        "Weight of a panel from its glass, or from its label, which wins",
        ("app.core.trade.weight.glass_mass",),
        (
            length("width", "width of the glass"),
            length("height", "height of the glass"),
            lengths("lites", "nominal thickness of each lite"),
            maybe(length("interlayers", "total thickness of laminating film")),
            maybe(one("label", "mass", "weight on the label")),
            maybe(
                one("frame", "count", "per cent for frame and hardware where no label says"),
                str(weight.FRAME_PERCENT),
            ),
        ),
        (
            one("glass", "mass", "the glass alone"),
            one("panel", "mass", "the panel"),
            one("basis", "text", "label, or glass"),
        ),
        "2500 kg/m³ (EN 572-1, restated); film 1070 kg/m³ (from memory); 15 % common practice",
        _glass,
    ),
)
