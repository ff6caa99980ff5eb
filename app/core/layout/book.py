"""What the sections of a set-out write into, and find for one another."""

from app.core.drawing import Drawing
from app.core.errors import AppError
from app.core.kinds import Any, Json
from app.core.trade import bed
from app.core.words import Msg

INCH = 25400000


class Settings:
    """What the job sets, not the drawing: company settings, no standard gives them.

    waste: per cent added to sealant. supports: greatest distance of rigid supports, nm.
    """

    def __init__(self, waste: int = 15, supports: int = 12 * INCH) -> None:
        self.waste = waste
        self.supports = supports


class Book:
    """Collects the sections, and what the parts find for one another."""

    def __init__(self, drawing: Drawing, settings: Settings) -> None:
        self.drawing = drawing
        self.settings = settings
        self.sections: list[Json] = []
        self.missing: list[Msg] = []
        self.questions: list[Msg] = []
        self.bed: bed.Bed | None = None
        self.sill_points: list[int] = []
        self.anchor_count = 0
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
        silent = error.code in ("drawing-silent", "weeps-unknown", "set-from-unknown")
        into = self.missing if silent else self.questions
        if error.message not in into:
            into.append(error.message)

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
        self.sections.append(
            {
                "id": id,
                "title": title,
                "heads": heads,
                "rows": rows,
                "notes": notes,
                "cautions": cautions,
            }
        )


def sentences(parts: "list[Msg]") -> Msg:
    """Return sentences one after the other as a single Msg; at least one.

    Example: sentences([Msg("One."), Msg("Two.")]) says "One. Two."
    """
    out = parts[0]
    for part in parts[1:]:
        out = Msg("{before} {after}", before=out, after=part)
    return out
