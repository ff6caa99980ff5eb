"""Places that the procedure or the drawing lists."""

from app.core.checks.base import Place
from app.core.drawing import Drawing
from app.core.kinds import Json
from app.core.words import Msg


def one(where: Json, drawing: Drawing, unit: str) -> "list[Place]":
    """Return the one place of a reading that is taken once."""
    return [Place("1", Msg("once"), panel=unit)]


def listed(where: Json, drawing: Drawing, unit: str) -> "list[Place]":
    """Return the places that the procedure names: items with id, title and perhaps side."""
    return [
        Place(item["id"], Msg(item["title"]), panel=unit, side=item.get("side", ""))
        for item in where["items"]
    ]


def parts(where: Json, drawing: Drawing, unit: str) -> "list[Place]":
    """Return one place for each line of the drawing's parts list; its mark is the id."""
    return [
        Place(
            part["mark"],
            Msg("{mark}: {what}, {count}", mark=part["mark"], what=part["what"], count=part["count"]),
        )
        for part in drawing.data.get("parts", [])
    ]
