"""The pictures of a record: the door, its tracks, its sill, as drawn and set."""

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.pages.request import Request
from app.core.pictures import drawings
from app.core.quantity.messages import Msg
from app.core.record.state import State, setting_letters
from app.core.trade import bed
from app.homeowner import built


def setout_pictures(request: Request, state: State) -> list[Json]:
    """Return the pictures beside the elevation that the drawing gives enough for."""
    order = setting_letters(state.drawing)
    plan = drawings.plan_picture(state.drawing, request.speaker, order)
    found = [(Msg("From above, numbered in the order of setting"), plan)]
    try:
        layout = drawings.sill_layout(bed.of_drawing(state.drawing), request.speaker)
        found.append((Msg("The sill from above, with its weeps"), layout))
    except AppError:
        pass  # the drawing leaves the bed open; then there is no picture of it
    read = built.picture(request, state)
    if read is not None:
        found.append((Msg("As read on site: marks, widths, anchors and weeps counted"), read))
    return [{"title": request.say(title), "picture": drawn} for title, drawn in found]
