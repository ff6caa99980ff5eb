"""The sealant bed under the sill: where the beads lie, and how much they take.

Seen from above, x along the sill from the LEFT end of the frame, y from the
room side (0) to the weather side. One run goes from jamb to jamb along the
room side; a return at each end goes to the outer edge; cross lines do the same
between them; at each jamb the sealant is turned up. Nothing runs along the
outer edge, so that every bay between two lines stays open there and water
that gets in gets out. (Common practice, no published source; the drawing gives
the numbers and wins.)

Sealant is no support: rigid supports go under jambs, interlocks, meeting
stiles, screws, and between them.
"""

from app.core.errors import AppError, InputError
from app.core.kinds import Any
from app.core.order import sort_by
from app.core.quantity.messages import Len, Msg, Plural
from app.core.trade import sealant
from app.core.trade.anchors import MOST, Conflict, Zone, fill_all, merged_zones, zone_at
from app.core.trade.drawing import Drawing

FIELDS = (
    "frame_width",
    "sill_depth",
    "bead_width",
    "bead_height",
    "bead_turn_up",
    "cross_line_spacing",
    "bead_weep_clear",
)


class Bay:
    """The room between two lines: its bounds in nanometres, and how wide it is open outside."""

    def __init__(self, left: int, right: int, open_for: int) -> None:
        self.left = left
        self.right = right
        self.open_for = open_for


class Bed:
    """A bed laid out: middles of the cross lines, bays, lengths in nm, volume in nm³."""

    def __init__(self, sizes: "dict[str, int]", weeps: "list[int]") -> None:
        self.sizes = sizes
        self.width = sizes["frame_width"]
        self.depth = sizes["sill_depth"]
        self.turn_up = sizes["bead_turn_up"]
        self.half = (sizes["bead_width"] + 1) // 2
        self.weeps = sort_by(weeps, lambda at: at)
        self.conflicts: list[Conflict] = []
        self.cross = self._cross_lines()
        self.bays = self._bays()

    @property
    def returns(self) -> "list[int]":
        """Return the middles of the two end returns."""
        return [self.half, self.width - self.half]

    @property
    def length(self) -> int:
        """Return the length of all beads: run, returns, cross lines, turn-ups.

        Crossings are counted twice, a bead's width each, on the safe side.
        """
        lines = 2 + len(self.cross)
        return self.width + lines * self.depth + 2 * self.turn_up

    @property
    def volume(self) -> int:
        """Return the sealant in place, nm³, without waste."""
        section = sealant.rectangular_section(self.sizes["bead_width"], self.sizes["bead_height"])
        return section * self.length

    def _cross_lines(self) -> "list[int]":
        """Return the middles of the cross lines, clear of weeps, and note what does not go."""
        clear = self.sizes["bead_weep_clear"] + self.half
        blocked = merged_zones([Zone(at, clear, Msg("a weep")) for at in self.weeps])
        start, end = self.returns
        for at in (start, end):
            if zone_at(at, blocked):
                self.conflicts.append(_return_at_weep(at, self.sizes["bead_weep_clear"]))
        wide: list[Conflict] = []
        fixed = [start, end]
        points = fill_all(fixed, self.sizes["cross_line_spacing"], blocked, wide, 4 * self.half)
        self.conflicts.extend([_lines_wide(conflict) for conflict in wide])
        return points[1:-1]

    def _bays(self) -> "list[Bay]":
        lines = [self.half] + self.cross + [self.width - self.half]
        out = []
        for left, right in zip(lines, lines[1:]):
            open_for = right - left - 2 * self.half
            if open_for <= 0:
                raise _closed_bay(left, right)
            out.append(Bay(left + self.half, right - self.half, open_for))
        return out


def lay_bed(sizes: "dict[str, int]", weeps: "list[int]") -> Bed:
    """Return the bed for these sizes (the names of FIELDS) and weeps.

    Units:   nanometres; weeps from the left end of the frame.
    Errors:  InputError 'bed-size', 'weep-outside', 'bed-spacing', 'bed-bay-closed'.
    Result:  conflicts have the codes 'return-at-weep' and 'gap-wide'.
    Source:  common practice, no published source.
    Example: lay_bed(dict(zip(FIELDS, [INCH * k for k in (192, 6, 1, 1, 6, 6, 0)])), []).length ->
             402 * INCH (31 cross lines: 192 + 33 x 6 + 12)
    """
    for field in FIELDS:
        least = 0 if field in ("bead_turn_up", "bead_weep_clear") else 1
        if sizes[field] < least:
            raise _bad_size(field, sizes[field])
    width = sizes["frame_width"]
    # a bay as wide as a bead, at the least, or water has no way out
    if width > sizes["cross_line_spacing"] * MOST or (
        sizes["cross_line_spacing"] < 2 * sizes["bead_width"] + 2
    ):
        raise InputError(
            "bed-spacing",
            Msg("Cross lines {size} apart make no sense.", size=Len(sizes["cross_line_spacing"])),
        )
    if width <= 4 * sizes["bead_width"] or sizes["sill_depth"] <= sizes["bead_width"]:
        raise _bad_size("bead_width", sizes["bead_width"])
    for at in weeps:
        if not 0 <= at <= width:
            raise _outside_sill(at, width)
    return Bed(sizes, weeps)


def of_drawing(drawing: Drawing) -> Bed:
    """Return the bed that a drawing asks for.

    Errors:  InputError 'drawing-silent' for the first value that the drawing leaves open
             (bed_questions() names them all), 'weeps-unknown' where weeps are not placed,
             and those of lay_bed().
    Example: len(of_drawing(DOOR).cross) -> 31
    """
    sizes = {field: drawing.need(field) for field in FIELDS}
    _weeps_known(drawing)
    return lay_bed(sizes, drawing.weeps)


def bed_questions(drawing: Drawing) -> "list[AppError]":
    """Return what the drawing leaves open for the bed, as errors to show; empty when complete.

    Example: bed_questions(DOOR) -> []
    """
    out: list[AppError] = []
    for field in FIELDS:
        try:
            drawing.need(field)
        except AppError as error:
            out.append(error)
    try:
        _weeps_known(drawing)
    except AppError as error:
        out.append(error)
    return out


def support_places(width: int, must: "list[int]", spacing: int) -> "list[int]":
    """Return where rigid supports go under the sill: at every place of must, and between.

    Units:   nanometres from the left end; must: middles of jambs, interlocks, meeting
             stiles and screws. No two are farther apart than spacing.
    Errors:  InputError 'support-spacing', 'support-outside', 'support-none'.
    Source:  common practice, no published source.
    Example: support_places(60, [1, 30, 59], 15) -> [1, 15, 30, 44, 59]
    """
    if spacing <= 0 or width > spacing * MOST:
        raise InputError(
            "support-spacing", Msg("Supports {size} apart make no sense.", size=Len(spacing))
        )
    places: list[int] = []
    for at in sort_by(must, lambda at: at):
        if not 0 <= at <= width:
            raise InputError(
                "support-outside",
                Msg("A support at {at} would not be under the sill.", at=Len(at, "place")),
            )
        if not places or places[-1] != at:
            places.append(at)
    if not places:
        raise InputError("support-none", Msg("There is nothing to support."))
    return fill_all(places, spacing, [], [])


def _weeps_known(drawing: Drawing) -> None:
    """Refuse to lay lines by weeps that the drawing does not place: none is not the same as 0."""
    counted = drawing.count("weep_count")
    if counted is None and not drawing.weeps:
        raise InputError(
            "weeps-unknown",
            Msg("The drawing does not say where the weeps are. Ask the office."),
            field="weeps",
        )
    if counted is not None and counted != len(drawing.weeps):
        raise InputError(
            "weeps-unknown",
            Plural(
                "The drawing counts {count} weep and places {placed}. Ask the office.",
                "The drawing counts {count} weeps and places {placed}. Ask the office.",
            ).of(counted, placed=len(drawing.weeps)),
            field="weeps",
        )


def _return_at_weep(at: int, clear: int) -> Conflict:
    return Conflict(
        "return-at-weep",
        at,
        Msg(
            "The return at the end, {at} from the LEFT, would be nearer than {clear} to a weep. "
            "Keep the weep open and ask the office.",
            at=Len(at, "place"),
            clear=Len(clear),
        ),
    )


def _lines_wide(conflict: Conflict) -> Conflict:
    params = conflict.says.params
    return Conflict(
        "gap-wide",
        conflict.at,
        Msg(
            "Cross lines at {low} and {high} stand {gap} apart, to stay clear of weeps.",
            low=params["low"],
            high=params["high"],
            gap=params["gap"],
        ),
    )


def _closed_bay(left: int, right: int) -> InputError:
    return InputError(
        "bed-bay-closed",
        Msg(
            "Between the lines at {left} and {right} no way out is left for water.",
            left=Len(left, "place"),
            right=Len(right, "place"),
        ),
    )


def _outside_sill(at: int, width: int) -> InputError:
    return InputError(
        "weep-outside",
        Msg(
            "A weep at {at} is not in a sill {width} long.",
            at=Len(at, "place"),
            width=Len(width, "place"),
        ),
        at=at,
    )


def _bad_size(field: str, value: int, **details: Any) -> InputError:
    from app.core.trade.drawing import title_of

    return InputError(
        "bed-size",
        Msg(
            "“{what}” is {size}: no bed can be laid with that.",
            what=Msg(title_of(field)),
            size=Len(value),
        ),
        field=field,
        **details,
    )
