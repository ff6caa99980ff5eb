"""Places that the procedure or the drawing lists."""

from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.trade.drawing import Drawing
from app.core.where.place import Place


def single_place(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return the one place of a reading that is taken once."""
    return [Place("1", Msg("once"), panel=step_panel)]


def listed_places(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return the places that the procedure names: items with id, title and perhaps side."""
    return [
        Place(item["id"], Msg(item["title"]), panel=step_panel, side=item.get("side", ""))
        for item in where["items"]
    ]
