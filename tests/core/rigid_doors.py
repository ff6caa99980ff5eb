"""Invented doors for the model: four panels as the check values have them, in whole nanometres."""

from app.core.trade.door_model.door import Door, DrawnLimits, Gap, RigidPanel
from app.core.trade.door_model.profile import Profile

INCH = 25400000
LOW, HIGH = 6 * INCH, 90 * INCH
RUN = 48 * INCH


def line(start, rise=0):
    """Return a line that rises so much to the right every 48 in, read at every 4 ft."""
    return Profile([RUN * k for k in range(10)], [start + rise * k for k in range(10)])


def drawn():
    """Return what the drawing of these doors allows."""
    out = DrawnLimits()
    out.clearance = (INCH // 4, INCH // 2)
    out.engagement = 3 * INCH // 8
    out.pocket = 5 * INCH // 4
    out.play = (INCH // 8, None)
    return out


def panel(letter, left, rise=0, extension=3 * INCH // 8):
    """Return a panel of 48 by 95 in, axles at 6 and 42, on a sill that rises so much in 48 in."""
    out = RigidPanel(letter, left, 48 * INCH, 95 * INCH, [6 * INCH, 42 * INCH])
    out.extensions = (extension, extension)
    out.travel = (0, 3 * INCH // 4)
    out.track = line(0, rise)
    out.sill = line(0, rise)
    out.lip = line(379 * INCH // 4)
    return out


def jamb(lean):
    """Return a jamb whose top stands so far to the right of its foot, over 96 in."""
    return Profile([0, 96 * INCH], [0, lean])


def rigid_door(count=4, rise=0, left=0, right=0, reveal=INCH // 16, interlock=INCH // 8):
    """Return a door of so many panels: sill's rise in 48 in, leans of the jambs to the right."""
    panels = [panel("ABCDEFGH"[k], INCH // 4 + 46 * INCH * k, rise) for k in range(count)]
    gaps = [Gap("reveal", reveal)]
    gaps.extend([Gap("interlock", interlock) for _ in range(count - 1)])
    gaps.append(Gap("reveal", reveal))
    door = Door(panels, gaps, LOW, HIGH)
    door.jambs = (jamb(left), jamb(right))
    door.drawn = drawn()
    return door
