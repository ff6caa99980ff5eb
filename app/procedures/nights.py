"""What is read again after a night: a place of a point, and how far it may have moved."""

from yaml.nodes import Node

from app.core.kinds import Json
from app.core.record.nights import AT
from app.procedures.ids import Ids
from app.procedures.limits import read_basis, read_limit
from app.procedures.source import Fields, Source

_NIGHT = ("point", "at", "most", "basis", "reason")


def read_night(source: Source, node: Node, ids: Ids, points: dict[str, Json]) -> Json:
    """Return what is read again after a night. points: those of every step, by their ids."""
    fields = Fields(source, node, _NIGHT, "what is read after a night")
    id_ = fields.text("point")
    seen, point = ids.points.get(id_), points.get(id_)
    if seen is None or point is None:
        source.wrong(fields.at("point"), f"unknown point “{id_}”")
    elif seen.per or point["quantity"] != "length" or point["how"] == "level":
        words = "after a night only a length is read again, of a step for the whole door, and none"
        source.wrong(fields.at("point"), f"{words} off a level line: that is set up anew")
    made: Json = {"point": id_, "at": fields.one_of("at", AT)}
    if fields.has("most"):
        made["most"] = read_limit(source, fields.at("most"), "most", "length")
        if "value" not in made["most"]:
            source.wrong(fields.at("most"), "“most” is a length")
    else:
        fields.missing("most")
    made["basis"] = read_basis(source, fields)
    made["reason"] = fields.text("reason", needed=False)
    return made
