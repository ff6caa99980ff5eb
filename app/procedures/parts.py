"""What a step is made of: tasks, decisions, points, checks, adjustments."""

from yaml.nodes import MappingNode, Node, SequenceNode

from app.core.kinds import Json
from app.core.record import matters
from app.core.record.purposes import PURPOSES
from app.core.trade.drawing import LENGTHS, OF_PANEL
from app.core.where.places import CHOICES, KINDS
from app.procedures.amounts import QUANTITIES, read_amount
from app.procedures.ids import Ids
from app.procedures.limits import read_basis, read_inputs, read_limits, read_settings, spec_of
from app.procedures.source import Fields, Source, scalar_text

ASKED = ("always", "full", "short")
RANKS = ("supervisor", "author", "never")
HOWS = ("plain", "level", "plumb")
TOOLS = (
    "tape",
    "rule",
    "gauge",
    "laser",
    "level",
    "string",
    "straightedge",
    "thermometer",
    "hygrometer",
    "moisture meter",
    "force gauge",
    "wind gauge",
    "scale",
    "clock",
    "eye",
)
OTHER_QUANTITIES = ("yes-no", "text", "choice")
_POINT = (
    "id",
    "title",
    "quantity",
    "where",
    "how",
    "tool",
    "hint",
    "info",
    "closing",
    "purpose",
    "choices",
    "asked",
    "short",
    "instead",
    "from",
    "signed",
    "near",
    "straightedge",
)
_CHECK = (
    "id",
    "title",
    "matters",
    "calc",
    "points",
    "limits",
    "settings",
    "basis",
    "reason",
    "rank",
    "finer",
)


_DECISION = ("id", "text", "choices", "name", "words", "after")
_ADJUSTMENT = ("id", "text", "stale", "asks")
_TASK = ("id", "text", "kind", "on", "rank", "after", "settled", "none")


def read_task(source: Source, node: Node, ids: Ids) -> Json:
    """Return a task: something to do and tick, or a photo to take."""
    fields = Fields(source, node, _TASK, "a task")
    made: Json = {
        "id": ids.unique(fields, "task"),
        "text": fields.text("text"),
        "kind": fields.one_of("kind", ("tick", "photo"), "tick"),
        "rank": fields.one_of("rank", ("never",), ""),
    }
    if fields.has("on"):
        made["on"] = read_where(source, fields, "on", ids)
    if "on" in made or made["kind"] == "photo":
        ids.loose_tasks.append(made["id"])
    if made["kind"] == "photo":
        made["none"] = fields.text("none", needed=False)
    _read_after(fields, made, ids)
    if fields.has("settled"):
        made["settled"] = [scalar_text(source, item, "settled") for item in fields.items("settled")]
        for check in made["settled"]:
            ids.waits_for(fields.at("settled"), check)
    return made


def _read_after(fields: Fields, made: Json, ids: Ids) -> None:
    """Read the point of the step after which a task or a decision comes, where it names one."""
    if fields.has("after"):
        made["after"] = fields.text("after")
        ids.comes_after(fields.at("after"), made["after"])


def read_decision(source: Source, node: Node, ids: Ids) -> Json:
    """Return a decision with its choices; at least one opens the way, whatever the checks say."""
    fields = Fields(source, node, _DECISION, "a decision")
    made: Json = {
        "id": ids.unique(fields, "decision"),
        "text": fields.text("text"),
        "choices": [_compiled_answer(source, item, ids) for item in fields.items("choices")],
        "name": fields.flag("name"),
        "words": fields.flag("words"),
    }
    _read_after(fields, made, ids)
    if not any(choice["opens"] for choice in made["choices"]):
        source.wrong(node, f"decision “{made['id']}” has no choice that opens the way")
    elif not any(choice["opens"] and not choice["within"] for choice in made["choices"]):
        words = "opens the way only by “within”; a check that is conceded would bar it for good"
        source.wrong(node, f"decision “{made['id']}” {words}")
    return made


def _compiled_answer(source: Source, node: Node, ids: Ids) -> Json:
    fields = Fields(source, node, ("id", "text", "opens", "within"), "a choice")
    return {
        "id": ids.named(fields),
        "text": fields.text("text"),
        "opens": fields.flag("opens"),
        "within": fields.flag("within"),
    }


def read_point(source: Source, node: Node, ids: Ids) -> Json:
    """Return a point and keep it for the checks."""
    fields = Fields(source, node, _POINT, "a point")
    id_ = ids.unique(fields, "point")
    quantity = fields.one_of("quantity", (*QUANTITIES, *OTHER_QUANTITIES))
    ids.add_point(id_, node, quantity)
    made: Json = {
        "id": id_,
        "title": fields.text("title"),
        "quantity": quantity,
        "where": read_where(source, fields, "where", ids),
        "how": fields.one_of("how", HOWS, "plain"),
        "tool": fields.one_of("tool", TOOLS),
        "hint": fields.text("hint", needed=False),
        "info": fields.flag("info"),
        "closing": fields.flag("closing"),
        "purpose": fields.one_of("purpose", tuple(PURPOSES), ""),
        "choices": [_compiled_option(source, item, ids) for item in fields.items("choices")],
    }
    if fields.has("asked"):
        made["asked"] = _read_asked(source, fields, ids, id_)
    if fields.has("short"):
        made["short"] = read_where(source, fields, "short", ids)
    if fields.has("from"):
        made["from"] = _read_from(source, fields, made)
    if fields.flag("signed") or "from" in made:
        made["signed"] = True
    if fields.has("near"):
        made["near"] = fields.one_of("near", (*OF_PANEL, *(field for field, *_ in LENGTHS)))
    if fields.has("straightedge"):
        made["straightedge"] = _length_text(source, fields, "straightedge")
        if quantity != "length" or int(made["straightedge"]) <= 0:
            words = "“straightedge” is the length of the straightedge that a length is read under"
            source.wrong(fields.at("straightedge"), words)
    ids.add_places(id_, made)
    if fields.has("instead"):
        made["instead"] = _stand_in(source, fields, ids, made)
    if (quantity == "choice") != bool(made["choices"]):
        source.wrong(node, "choices belong to a point of quantity “choice”, and only there")
    _fits_purpose(source, fields, made)
    return made


def _read_from(source: Source, fields: Fields, point: Json) -> Json:
    """Return the place, as a `where`, that readings of a point are taken from: it counts as 0."""
    if point["where"]["kind"] != "heights" or point["quantity"] != "length":
        source.wrong(fields.at("from"), "“from” is for a length with places of the kind “heights”")
    level = fields.one_of("from", CHOICES["levels"])
    if level in point["where"].get("levels", CHOICES["levels"]):
        source.wrong(fields.at("from"), f"“{level}” is one of the places that are read")
    return {**point["where"], "levels": [level]}


def _stand_in(source: Source, fields: Fields, ids: Ids, point: Json) -> str:
    """Return the point whose readings the record shows where this one is not asked."""
    other = fields.text("instead")
    if point.get("asked", "always") == "always":
        source.wrong(fields.at("instead"), "“instead” is for a point that is not always asked")
    seen = ids.use_point(fields.at("instead"), other)
    if seen and seen.quantity != point["quantity"]:
        source.wrong(fields.at("instead"), f"point “{other}” is a {seen.quantity}")
    return other


def _read_asked(source: Source, point: Fields, ids: Ids, id_: str) -> str | Json:
    """Return when a point is asked: "always", "full", "short", {"when": …} or {"until": …}."""
    if not isinstance(point.at("asked"), MappingNode):
        return point.one_of("asked", ASKED)
    fields = Fields(source, point.at("asked"), ("when", "until"), "asked")
    word = "until" if fields.has("until") and not fields.has("when") else "when"
    if isinstance(fields.at(word), SequenceNode):
        checks = [scalar_text(source, item, word) for item in fields.items(word)]
    else:
        checks = [fields.text(word)]
    for check in checks:
        ids.opens_point(fields.at(word), check, id_)
    return {word: checks}


def _fits_purpose(source: Source, fields: Fields, point: Json) -> None:
    """Report a purpose that a point of this quantity, or with these places, cannot have."""
    quantities, kinds = PURPOSES.get(point["purpose"], ((), ()))
    for what, given, wanted in (
        ("quantity", point["quantity"], quantities),
        ("where", point["where"]["kind"], kinds),
        ("short", (point.get("short") or point["where"])["kind"], kinds),
    ):
        if wanted and given not in wanted:
            words = f"a point with the purpose “{point['purpose']}” needs {what}: "
            source.wrong(fields.at(what), words + " or ".join(wanted))


def _compiled_option(source: Source, node: Node, ids: Ids) -> Json:
    fields = Fields(source, node, ("id", "text"), "a choice")
    return {"id": ids.named(fields), "text": fields.text("text")}


def read_where(source: Source, point: Fields, what: str, ids: Ids) -> Json:
    """Return the places of a point, its options checked against app/core/where/places.py.

    what: "where"; "short" for those of an opening of short depth; "on", the places that a door must
    have for a task.
    """
    if not point.has(what):
        point.missing(what)
        return {"kind": "one"}
    names = [option.rstrip("?") for kind in KINDS.values() for option in kind[2]]
    fields = Fields(source, point.at(what), ("kind", *names), what)
    kind = fields.one_of("kind", tuple(KINDS))
    made: Json = {"kind": kind}
    options = KINDS[kind][2] if kind in KINDS else {}
    for name, holds in options.items():
        if fields.has(name.rstrip("?")):
            made[name.rstrip("?")] = _held_value(source, fields, name.rstrip("?"), holds, ids)
        elif not name.endswith("?"):
            fields.missing(name)
    for name in names:
        if fields.has(name) and name not in made:
            source.wrong(fields.at(name), f"places “{kind}” take no “{name}”")
    return made


def _held_value(source: Source, fields: Fields, name: str, holds: str, ids: Ids) -> object:
    if holds == "length":
        return _length_text(source, fields, name)
    if holds == "items":
        return [_compiled_item(source, node, ids) for node in fields.items(name)]
    if holds == "words":
        return fields.one_of(name, CHOICES[name])
    words = [(scalar_text(source, node, name), node) for node in fields.items(name)]
    for word, node in words:
        if word not in CHOICES[name]:
            source.wrong(node, f"unknown {name} “{word}”; it is one of: {', '.join(CHOICES[name])}")
    return [word for word, _ in words]


def _length_text(source: Source, fields: Fields, name: str) -> str:
    try:
        return str(read_amount(fields.text(name), "length"))
    except ValueError as error:
        source.wrong(fields.at(name), str(error))
        return "0"


def _compiled_item(source: Source, node: Node, ids: Ids) -> Json:
    fields = Fields(source, node, ("id", "title", "side"), "a place")
    return {
        "id": ids.named(fields),
        "title": fields.text("title"),
        "side": fields.text("side", needed=False),
    }


def read_check(source: Source, node: Node, ids: Ids) -> Json:
    """Return a check, held against the Spec of its calculation."""
    fields = Fields(source, node, _CHECK, "a check")
    spec = spec_of(source, fields)
    inputs, quantity = read_inputs(source, fields, spec, ids)
    limits = read_limits(source, fields, spec, quantity)
    id_ = ids.unique(fields, "check")
    optional = spec.optional if spec else ()
    ids.add_check(id_, [inputs[input] for input in inputs if input not in optional])
    made: Json = {
        "id": id_,
        "title": fields.text("title"),
        "matters": fields.one_of("matters", matters.NAMES, ""),
        "calc": fields.text("calc"),
        "points": inputs,
        "limits": limits,
        "settings": read_settings(source, fields, spec, quantity, limits),
        "basis": read_basis(source, fields),
        "reason": fields.text("reason", needed=False),
        "rank": fields.one_of("rank", RANKS),
    }
    if fields.has("finer"):
        made["finer"] = fields.text("finer")
        ids.stands_for(fields.at("finer"), made["finer"], id_)
    return made


def read_adjustment(source: Source, node: Node, ids: Ids) -> Json:
    """Return an adjustment: what was moved, and which readings no longer say how things are."""
    fields = Fields(source, node, _ADJUSTMENT, "an adjustment")
    stale = [(scalar_text(source, item, "stale"), item) for item in fields.items("stale")]
    if not stale:
        fields.missing("stale")
    for point, item in stale:
        ids.use_later(item, point)
    made: Json = {
        "id": ids.unique(fields, "adjustment"),
        "text": fields.text("text"),
        "stale": [point for point, _ in stale],
    }
    if fields.has("asks"):
        made["asks"] = fields.one_of("asks", ("panel", "frame", "jamb", "lock"))
    return made
