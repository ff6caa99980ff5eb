"""A shop drawing written for people (YAML, with units) to the drawing's JSON of the core.

    lengths: {frame_width: 191 in}      ->  {"frame_width": "4851400000"}

Used where drawings come as files (the demo company); the office's own form makes the
same JSON. Nothing that the file leaves out is filled in.
"""

from app.core.kinds import Json
from app.procedures.amounts import QUANTITIES, read_amount
from app.procedures.limits import drawing_fields

_PLAIN = (
    "number",
    "revision",
    "author",
    "date",
    "door",
    "lock",
    "set_from",
    "rule",
    "order",
)
_GROUPS = ("lengths", "counts", "amounts")
_LISTS = ("weeps", "shims", "locks")


def drawing_json(data: Json) -> Json:
    """Return the drawing's JSON (app/core/trade/drawing.py) of a parsed YAML file.

    Errors:  ValueError that names the field and says what is wrong with it.
    Example: drawing_json({"lengths": {"frame_width": "191 in"}, …})
    """
    known = (*_PLAIN, *_GROUPS, *_LISTS, "panels", "parts", "limits")
    for name in data:
        if name not in known:
            raise ValueError(f"a drawing has no field “{name}”")
    made: Json = {name: str(data[name]) for name in _PLAIN if name in data and name != "order"}
    made["panels"] = [_panel_drawing(panel) for panel in data.get("panels", [])]
    for group in _GROUPS:
        made[group] = _value_group(data.get(group, {}), group)
    for name in _LISTS:
        if name == "locks" and not data.get(name):
            continue  # absent where the drawing names none, as in app/office/issue/reading.py
        made[name] = [_told_value(name, text, "length") for text in data.get(name, [])]
    made["parts"] = [_part_drawing(part) for part in data.get("parts", [])]
    made["limits"] = {name: _any_limit(name, text) for name, text in data.get("limits", {}).items()}
    if data.get("order"):
        made["order"] = list(data["order"])
    return made


def _panel_drawing(panel: Json) -> Json:
    letter = panel["letter"]
    return {
        "letter": letter,
        "kind": panel["kind"],
        "track": int(panel["track"]),
        "width": _told_value(f"panel {letter} width", panel["width"], "length"),
        "height": _told_value(f"panel {letter} height", panel["height"], "length"),
        "lead": bool(panel.get("lead", False)),
        "mass": _told_value(f"panel {letter} mass", panel["mass"], "mass")
        if panel.get("mass")
        else "",
    }


def _part_drawing(part: Json) -> Json:
    return {
        "mark": str(part["mark"]),
        "what": str(part["what"]),
        "count": int(part["count"]),
        "step": str(part["step"]),
    }


def _value_group(values: Json, group: str) -> Json:
    fields = drawing_fields()
    made = {}
    for name, text in values.items():
        quantity = fields.get(name, "")
        if not quantity or _GROUPS.index(group) != _group_of(quantity):
            raise ValueError(f"“{name}” does not belong to the {group} of a drawing")
        made[name] = _told_value(name, text, quantity)
    return made


def _group_of(quantity: str) -> int:
    return {"length": 0, "count": 1}.get(quantity, 2)


def _told_value(name: str, text: object, quantity: str) -> str:
    try:
        return str(read_amount(str(text), quantity))
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None


def _any_limit(name: str, text: object) -> str:
    """Return a limit of whatever quantity its unit says."""
    for quantity in QUANTITIES:
        try:
            return str(read_amount(str(text), quantity))
        except ValueError:
            continue
    raise ValueError(f"limit {name}: “{text}” is not an amount")
