"""What the sections of a set-out write into, and find for one another."""

from app.core.errors import AppError
from app.core.kinds import Any, Json
from app.core.quantity.messages import Msg
from app.core.trade import bed, packing
from app.core.trade.drawing import Drawing

INCH = 25400000
SILENT = ("drawing-silent", "weeps-unknown", "set-from-unknown")  # codes of what is only left open


class JobSettings:
    """What the job sets, not the drawing: company settings, no standard gives them.

    waste: per cent added to sealant. supports: greatest distance of rigid supports, nm.
    """

    def __init__(self, waste: int = 15, supports: int = 12 * INCH) -> None:
        self.waste = waste
        self.supports = supports


class Surveyed:
    """What the readings tell about material; before any: nothing, and what is to be measured.

    shims: {thickness: count} under the sill. jambs: the same at the heights where the fit was
    measured; beside: the frame in its best place (checks/opening.py placed()), None before;
    pieces: the most shims in one stack there. compound: nm³ to fill the sill instead of packing
    it; 0 for none.
    """

    def __init__(self) -> None:
        self.shims: dict[int, int] = {}
        self.jambs: dict[int, int] = {}
        self.beside: Json | None = None
        self.pieces = packing.PIECES
        self.compound = 0
        self.missing: list[Msg] = [
            Msg("Shims under the sill: survey both lines of the sill."),
            Msg("Shims behind the jambs: measure widths and both jambs from plumb."),
        ]


class MaterialAmount:
    """So much of one material, to be added up over openings.

    id:   the same for what may be added up: "anchors", "rod-9525000".
    kind: "count", "length" (nanometres), "sealant" (nm³ in place, sold in containers)
          or "compound" (nm³).
    """

    def __init__(self, id: str, title: Msg, kind: str, value: int) -> None:
        self.id = id
        self.title = title
        self.kind = kind
        self.value = value


class Book:
    """Collects the sections, and what the parts find for one another."""

    def __init__(
        self, drawing: Drawing, settings: JobSettings, surveyed: "Surveyed | None" = None
    ) -> None:
        self.drawing = drawing
        self.surveyed = surveyed or Surveyed()
        self.settings = settings
        self.sections: list[Json] = []
        self.missing: list[Msg] = []
        self.questions: list[Msg] = []
        self.bed: bed.Bed | None = None
        self.sill_points: list[int] = []
        self.anchor_count = 0
        self.jamb_points: dict[str, list[int]] = {}
        self.jamb_shims: dict[int, int] = {}
        self.amounts: list[MaterialAmount] = []
        self.support_points: list[int] = []

    def need(self, *fields: str) -> "dict[str, int] | None":
        """Return lengths of the drawing, or None with every open one named as missing."""
        found = {}
        for field in fields:
            try:
                found[field] = self.drawing.need(field)
            except AppError as error:
                self.lacks(error)
        return found if len(found) == len(fields) else None

    def lacks(self, error: AppError) -> None:
        """Note an error: an open value as missing, anything else as a question."""
        silent = error.code in SILENT
        into = self.missing if silent else self.questions
        if error.message not in into:
            into.append(error.message)

    def asks(self, title: Msg) -> None:
        """Note something that the drawing leaves open and that is no field of lengths."""
        text = Msg("The drawing does not give “{what}”. Ask the office.", what=title)
        if text not in self.missing:
            self.missing.append(text)

    def add(
        self,
        id: str,
        title: Msg,
        heads: "list[Msg]",
        rows: "list[list[Any]]",
        notes: "list[Msg]",
        cautions: "list[Msg]",
    ) -> None:
        """Add a section."""
        self.sections.append(setout_section(id, title, heads, rows, notes, cautions))


def setout_section(
    id: str,
    title: Msg,
    heads: "list[Msg]",
    rows: "list[list[Any]]",
    notes: "list[Msg]",
    cautions: "list[Msg]",
) -> Json:
    """Return a section of a set-out; see setout.py."""
    return {
        "id": id,
        "title": title,
        "heads": heads,
        "rows": rows,
        "notes": notes,
        "cautions": cautions,
    }


def joined_sentences(parts: "list[Msg]") -> Msg:
    """Return sentences one after the other as a single Msg; at least one.

    Example: joined_sentences([Msg("One."), Msg("Two.")]) says "One. Two."
    """
    out = parts[0]
    for part in parts[1:]:
        out = Msg("{before} {after}", before=out, after=part)
    return out
