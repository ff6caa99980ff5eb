"""A check against the Spec of its calculation: inputs, limits, settings, and the basis."""

import re

from yaml.nodes import MappingNode, Node

from app.core.checks.base import Spec
from app.core.checks.index import CALCS, load
from app.core.kinds import Json
from app.core.trade.drawing import AMOUNTS, COUNTS, LENGTHS
from app.procedures.amounts import QUANTITIES, read_asked
from app.procedures.ids import Ids
from app.procedures.source import Fields, Source, scalar_text

ANY = "any"  # an input or limit of a Spec that takes whatever quantity its points have
# What may stand for a field of the drawing in `field`: of the panel that a place belongs to.
PANEL_FIELDS = {"panel_width": "length", "panel_height": "length"}
# Said on every limit that no published standard stands behind.
PRACTICE = "company limit, no published standard"


def spec_of(source: Source, check: Fields) -> Spec | None:
    """Return what the check's calculation takes, None (a problem) where it is unknown."""
    calc = check.text("calc")
    if not calc:
        return None
    if calc not in CALCS:
        source.wrong(check.at("calc"), f"unknown calculation “{calc}”")
        return None
    return load(calc)[1]


def read_inputs(
    source: Source, check: Fields, spec: Spec | None, ids: Ids
) -> tuple[dict[str, str], str]:
    """Return input -> point, and the quantity of those inputs that take any (the same for all)."""
    made = {}
    quantity = ""
    for input, key, node in check.pairs("points"):
        id_ = scalar_text(source, node, input)
        seen = ids.use_point(node, id_)
        made[input] = id_
        wanted = spec.points.get(input) if spec else None
        if spec and wanted is None:
            source.wrong(key, f"the calculation has no input “{input}”; {_has_words(spec.points)}")
        if wanted == ANY:
            quantity = wanted = quantity or (seen.quantity if seen else "")
        if seen and wanted and wanted != seen.quantity:
            source.wrong(
                node, f"input “{input}” takes a {wanted}, but point “{id_}” is a {seen.quantity}"
            )
    if spec:
        _must_be_complete(source, check, "points", made, spec.points, spec.optional)
    return made, quantity


def read_limits(source: Source, check: Fields, spec: Spec | None, quantity: str) -> dict[str, Json]:
    """Return name -> {"value": text} or {"drawing": field}, each of its dimension."""
    made: dict[str, Json] = {}
    for name, key, node in check.pairs("limits"):
        wanted = spec.limits.get(name) if spec else None
        if spec and wanted is None:
            source.wrong(key, f"the calculation has no limit “{name}”; {_has_words(spec.limits)}")
        made[name] = read_limit(source, node, name, quantity if wanted == ANY else wanted)
    if spec:
        _must_be_complete(source, check, "limits", made, spec.limits, spec.optional)
    if spec and spec.limits and not made:
        source.wrong(check.node, f"a check without a limit; {_has_words(spec.limits)}")
    _numbers_need_a_basis(source, check, made)
    return made


def read_limit(source: Source, node: Node, name: str, quantity: str | None) -> Json:
    """Return one limit: {"value": text in base units}, or {"drawing": field}."""
    if isinstance(node, MappingNode):
        fields = Fields(source, node, ("drawing",), f"limit “{name}”")
        field = fields.text("drawing")
        _check_drawn(source, fields.at("drawing"), field, quantity)
        return {"drawing": field}
    return {"value": _limit_amount(source, node, name, quantity)}


def _limit_amount(source: Source, node: Node, name: str, quantity: str | None) -> str:
    text = scalar_text(source, node, name)
    if not quantity:
        return ""
    if quantity not in QUANTITIES:
        source.wrong(node, f"“{name}”: a {quantity} has no limit")
        return ""
    try:
        return str(read_asked(text, quantity))
    except ValueError as error:
        source.wrong(node, f"“{name}”: {error}")
        return ""


def drawing_fields() -> dict[str, str]:
    """Return every field that a drawing may give, with its quantity."""
    fields = {entry[0]: "length" for entry in LENGTHS}
    fields.update({entry[0]: "count" for entry in COUNTS})
    fields.update({entry[0]: entry[1] for entry in AMOUNTS})
    return fields


def _check_drawn(source: Source, node: Node, field: str, quantity: str | None) -> None:
    known = {**drawing_fields(), **PANEL_FIELDS}
    if field and field not in known:
        source.wrong(node, f"the drawing has no field “{field}”")
    elif field and quantity and known[field] != quantity:
        source.wrong(node, f"“{field}” is a {known[field]}, the limit is a {quantity}")


def _numbers_need_a_basis(source: Source, check: Fields, made: dict[str, Json]) -> None:
    basis = check.text("basis") if check.has("basis") and _is_plain(check) else "practice"
    if basis == "practice":
        return
    for name, limit in made.items():
        if "value" in limit:
            words = f"limit “{name}” is a number, but the basis is the {basis}"
            source.wrong(check.at("limits"), words)


def _is_plain(check: Fields) -> bool:
    return not isinstance(check.at("basis"), MappingNode)


def read_settings(
    source: Source, check: Fields, spec: Spec | None, quantity: str, limits: Json
) -> Json:
    """Return name -> text, or whole base units as decimal text.

    A calculation that takes any quantity is told here which one its points have.
    """
    made: Json = {}
    for name, key, node in check.pairs("settings"):
        wanted = spec.settings.get(name) if spec else None
        if spec and wanted is None:
            source.wrong(
                key, f"the calculation has no setting “{name}”; {_has_words(spec.settings)}"
            )
        elif name == "remedy":
            made[name] = remedy_text(source, node)
        elif wanted == "text":
            made[name] = scalar_text(source, node, name)
        else:
            made[name] = _limit_amount(source, node, name, wanted)
        if name == "field" and spec:
            _check_drawn(source, node, made[name], quantity or next(iter(spec.points.values())))
    if spec:
        _settings_complete(source, check, spec, made, limits)
        if (
            quantity
            and "quantity" in spec.settings
            and made.setdefault("quantity", quantity) != quantity
        ):
            source.wrong(check.at("settings"), f"its points are a {quantity}")
    return made


def remedy_text(source: Source, node: Node) -> str:
    """Return a remedy; one with a hole that nothing fills is a problem."""
    text = scalar_text(source, node, "remedy")
    if set(re.findall(r"{(.*?)}", text)) - {"place", "over"}:
        source.wrong(node, "a remedy may hold {place} and {over}, nothing else in braces")
    return text


def _settings_complete(source: Source, check: Fields, spec: Spec, made: Json, limits: Json) -> None:
    """Report settings that the calculation needs, and the one that a limit "most_x" needs: x."""
    _must_be_complete(source, check, "settings", made, spec.settings, spec.optional)
    for name in limits:
        other = name.partition("_")[2]
        if other in spec.settings and other not in made:
            source.wrong(check.node, f"limit “{name}” needs the setting “{other}”")


def _must_be_complete(
    source: Source,
    check: Fields,
    what: str,
    made: Json | dict[str, str] | dict[str, Json],
    wanted: dict[str, str],
    optional: tuple[str, ...],
) -> None:
    left = [name for name in wanted if name not in made and name not in optional]
    if left:
        source.wrong(check.at(what), f"{what}: the calculation also needs {', '.join(left)}")


def _has_words(names: dict[str, str]) -> str:
    return f"it has: {', '.join(names)}" if names else "it has none"


def read_basis(source: Source, check: Fields) -> Json:
    """Return where the limits come from.

    Practice with its reason, the drawing, the product (its data sheet), or a standard.
    """
    if not check.has("basis"):
        source.wrong(check.node, "a check needs “basis”: practice, drawing, product, or a standard")
        return {"kind": "practice", "text": ""}
    if not _is_plain(check):
        return _standard_of(source, check)
    kind = check.one_of("basis", ("practice", "drawing", "product"))
    if kind == "practice" and not check.text("reason", needed=False):
        source.wrong(check.node, "a limit of practice needs “reason”: why the company keeps it")
    return {"kind": kind, "text": PRACTICE if kind == "practice" else ""}


def _standard_of(source: Source, check: Fields) -> Json:
    fields = Fields(source, check.at("basis"), ("standard", "clause"), "basis")
    standard, clause = fields.text("standard"), fields.text("clause")
    if standard and not re.search(r"\d", standard):
        source.wrong(
            fields.at("standard"), f"“{standard}” has no number; a standard is named by it"
        )
    return {"kind": "standard", "text": f"{standard}, {clause}"}
