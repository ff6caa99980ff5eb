"""A drawing's JSON as the flat texts of fields.py: each is read again as exactly the same."""

from app.core.kinds import Json
from app.core.quantity.measure import amount_shown, exact_text, parse_amount
from app.core.quantity.units import decimal_text
from app.office.issue.fields import LISTS, PANEL, PLAIN, VALUES, Limit, panel_field

# quantity -> (what is added first, factor, decimal places, unit): always exact
_FULL = {
    "temperature": (160_000, 2, 4, " °F"),  # 1/9000 °C is 1/5000 °F; 0 °C is 32 °F
    "temperature-difference": (0, 2, 4, " °F"),
    "fraction": (0, 1, 4, " %"),
    "force": (0, 1, 16, " N"),
    "mass": (0, 1, 11, " kg"),
    "duration": (0, 1, 3, " s"),
}


def text_of(quantity: str, value: int, units: str) -> str:
    """Return an amount in base units as text that is read again as exactly it.

    Example: text_of("length", 34925000, "in") -> 1 3/8"; text_of("mass", 45359237000, "in") -> 1 lb
    """
    if quantity == "length":
        return exact_text(value, units)
    if quantity not in _FULL:
        return str(value)
    for way in (units, "in", "mm"):
        text = amount_shown(quantity, value, way).replace("\u2212", "-")
        if parse_amount(quantity, text, way, negative=True) == value:
            return text
    more, factor, places, unit = _FULL[quantity]
    whole = (value + more) * factor
    return ("-" if whole < 0 else "") + decimal_text(abs(whole), places) + unit


def texts_of(drawing: Json, units: str, limits: list[Limit]) -> dict[str, str]:
    """Return the flat texts of a drawing; fields that it leaves open are absent."""
    out = {name: str(drawing[name]) for name in PLAIN if drawing.get(name)}
    for row, panel in enumerate(drawing.get("panels", []), 1):
        out.update(_panel_texts(row, panel, units))
    for group, name, quantity in VALUES:
        value = drawing.get(group, {}).get(name, "")
        if value not in ("", None):
            out[name] = text_of(quantity, int(value), units)
    for name in LISTS:
        if drawing.get(name):
            out[name] = "\n".join(text_of("length", int(value), units) for value in drawing[name])
    if drawing.get("parts"):
        out["parts"] = "\n".join(map(_part_text, drawing["parts"]))
    out.update(_limit_texts(drawing.get("limits", {}), units, limits))
    return out


def _panel_texts(row: int, panel: Json, units: str) -> dict[str, str]:
    texts = {
        "kind": panel["kind"],
        "track": str(panel["track"]),
        "width": text_of("length", int(panel["width"]), units),
        "height": text_of("length", int(panel["height"]), units),
        "lead": "yes" if panel["lead"] else "",
        "mass": text_of("mass", int(panel["mass"]), units) if panel.get("mass") else "",
    }
    return {panel_field(row, part): texts[part] for part in PANEL if texts[part]}


def _part_text(part: Json) -> str:
    return "; ".join((part["mark"], part["what"], str(part["count"]), part["step"]))


def _limit_texts(drawn: Json, units: str, limits: list[Limit]) -> dict[str, str]:
    known = {limit.name: limit.quantity for limit in limits}
    return {
        "limit." + name: text_of(known[name], int(value), units)
        for name, value in drawn.items()
        if name in known
    }


def in_columns(texts: dict[str, str]) -> dict[str, str]:
    """Return the texts for one row of a CSV: lists in one line, limits in one column."""
    out = {name: text.replace("\n", " | ") for name, text in texts.items()}
    limits = [name for name in sorted(out) if name.startswith("limit.")]
    if limits:
        pairs = [f"{name.removeprefix('limit.')} = {out.pop(name)}" for name in limits]
        out["limits"] = " | ".join(pairs)
    return out
