"""A drawing as flat texts: one name a field, the same in the form and in the columns of a CSV.

number, revision, author, date, door, lock, set_from, rule
panel_1_kind … panel_12_mass       panels from the left, seen from outside: see PANEL
frame_width, tracks, force_start … the names of app/core/trade/drawing.py
weeps, shims, locks                amounts, one a line (or with | between them)
parts                              mark; what; count; step, one part a line
limits                             check.limit = amount, one a line
limit.sill-total-room.most         the same limit as a field of its own (in the form)
"""

from dataclasses import dataclass

from app.core.checks.index import spec_of
from app.core.kinds import Json
from app.core.trade.door_systems import SYSTEM_IDS
from app.core.trade.drawing import AMOUNTS, COUNTS, LENGTHS

MOST_PANELS = 12
PLAIN = ("number", "revision", "author", "date", "door", "lock", "set_from", "rule")
PANEL = ("kind", "track", "width", "height", "lead", "mass")
LISTS = ("weeps", "shims", "locks")
CHOICES = {
    "door": SYSTEM_IDS,
    "lock": ("left", "right"),
    "set_from": ("outside", "room"),
    "rule": ("simple", "guarded"),
}
# group of the drawing's JSON, field, quantity
VALUES = (
    *(("lengths", name, "length") for name, _, _ in LENGTHS),
    *(("counts", name, "count") for name, _ in COUNTS),
    *(("amounts", name, quantity) for name, quantity, _ in AMOUNTS),
)


def panel_field(row: int, part: str) -> str:
    """Return the name of a panel's field: panel_field(1, "width") -> panel_1_width."""
    return f"panel_{row}_{part}"


def drawing_columns() -> list[str]:
    """Return every field of a drawing that a CSV has a column for, in order."""
    panels = [panel_field(row, part) for row in range(1, MOST_PANELS + 1) for part in PANEL]
    return [*PLAIN, *panels, *(name for _, name, _ in VALUES), *LISTS, "parts", "limits"]


@dataclass(frozen=True)
class Limit:
    """A limit of a check that a drawing may set for itself; name is check.limit."""

    name: str
    title: str
    quantity: str


def limits_of(procedure: Json) -> list[Limit]:
    """Return the limits that a drawing may set under a procedure, in its order."""
    out = []
    for step in procedure["steps"]:
        for check in step["checks"]:
            spec = spec_of(check["calc"])
            for name in sorted(check["limits"]):
                quantity = spec.limits.get(name, "length")
                if quantity == "any":
                    quantity = _quantity_of_points(procedure, check)
                out.append(Limit(f"{check['id']}.{name}", check["title"], quantity))
    return out


def _quantity_of_points(procedure: Json, check: Json) -> str:
    points = {point["id"]: point for step in procedure["steps"] for point in step["points"]}
    found: str = points[check["points"][min(check["points"])]]["quantity"]
    return found


def steps_of(procedure: Json) -> list[str]:
    """Return the letters of a procedure's steps."""
    return [step["id"] for step in procedure["steps"]]
