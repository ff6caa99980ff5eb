"""Panels that a handle lifts to slide and lowers onto their gasket: lift-and-slide doors.

The handle works both roller carriages of a panel through one rod. Lifted, nothing touches but
rollers and the guide in the head. Lowered, the panel stands a lift lower and presses the gasket
under it; the carriages still carry it. The door model takes a panel lowered, as it closes: here
stands what the lift adds to its bounds. Seen from outside; lengths are whole nanometres.
"""

from app.core.quantity.units import half_up
from app.core.trade.drawing import Drawing


class DrawnLift:
    """What the drawing says of the lift, None where it is silent.

    least, most: how far the handle lifts a panel. gasket: height of the gasket under it when
    nothing presses it.
    """

    def __init__(self, least: "int | None", most: "int | None", gasket: "int | None") -> None:
        self.least = least
        self.most = most
        self.gasket = gasket


LIFT_FIELDS = ("panel_lift_least", "panel_lift_most", "foot_gasket")


def drawn_lift(drawing: Drawing) -> "DrawnLift | None":
    """Return the lift that a drawing gives; None for a door whose panels are not lifted.

    Example: drawn_lift(DOOR) -> None (a stacking door)
    """
    if not drawing.asks(LIFT_FIELDS[0]):
        return None
    least, most, gasket = [drawing.length(field) for field in LIFT_FIELDS]
    return DrawnLift(least, most, gasket)


def lowered_clearance(least: "int | None", lift: DrawnLift) -> "int | None":
    """Return the least clearance under a lowered stile, so that its gasket is free when lifted.

    least: the drawing's own, None where it is silent.
    Source:  geometry: clearance lifted = clearance lowered + lift, and at least the gasket.
    Example: lowered_clearance(2, DrawnLift(7, 9, 10)) -> 3
    """
    if lift.gasket is None or lift.least is None:
        return least
    return max(lift.gasket - lift.least, least or 0)


def lowered_play(play: "tuple[int, int | None]", lift: DrawnLift) -> "tuple[int, int | None]":
    """Return the play over a lowered panel whose play is drawn for a lifted one: (least, most).

    The panel that is lifted most keeps the least play, the one lifted least the most.
    Source:  geometry: play lowered = play lifted + lift.
    Example: lowered_play((1, 5), DrawnLift(7, 9, 10)) -> (10, 12)
    """
    least, most = play
    return least + (lift.most or 0), None if most is None else most + (lift.least or 0)


def raise_to_free(
    lowered: "list[int]", lifted: "list[int]", gasket: int, most: "int | None"
) -> "int | None":
    """Return how much higher both carriages go, so that a lifted panel's gasket is free.

    lowered, lifted: both stiles over the sill. most: of a lowered stile, so that its gasket is
    pressed. Both go up the same: no gap changes. None where a stile would stand too high: then
    the panel leans too much for its gasket.

    Example: raise_to_free([3, 4], [9, 10], 10, 6) -> 1
    Example: raise_to_free([3, 6], [9, 12], 10, 6) -> None
    """
    rise = max([gasket - height for height in lifted] + [0])
    if most is not None and max(lowered) + rise > most:
        return None
    return rise


def keep_shims(taper: int, apart: int, heights: "list[int]") -> "list[int]":
    """Return how much nearer the panel each keep stands than the one at the narrowest gap.

    taper: of the closing gap, high less low, over `apart`. heights: of the locking points, from
    low to high. So shimmed, all points reach equally deep, however the stile leans.
    Source:  geometry: the gap is straight from low to high.
    Example: keep_shims(8, 80, [10, 50, 90]) -> [0, 4, 8]
    Example: keep_shims(-8, 80, [10, 50, 90]) -> [8, 4, 0]
    """
    wider = [half_up(taper * (height - heights[0]), apart) for height in heights]
    return [size - min(wider) for size in wider]
