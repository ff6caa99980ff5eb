"""A place at which a point is measured."""

from app.core.quantity.messages import Msg


class Place:
    """Where a reading is taken.

    id is unique within its point. title says it from where the person stands.
    x: nanometres from the left end of the frame, seen from outside; y: nanometres
    above the sill; None where it means nothing. panel: a letter, or "".
    side: "left", "right", "top", "bottom", "low", "middle", "high" or "" (as a check asks).
    track: its number, 1 the innermost, where every track has places of its own; else None.
    """

    def __init__(
        self,
        id: str,
        title: Msg,
        x: "int | None" = None,
        y: "int | None" = None,
        panel: str = "",
        side: str = "",
        track: "int | None" = None,
    ) -> None:
        self.id = id
        self.title = title
        self.x = x
        self.y = y
        self.panel = panel
        self.side = side
        self.track = track
