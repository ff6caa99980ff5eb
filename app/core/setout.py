"""The set-out of an opening: all that can be worked out before work starts.

Plain data with Msgs that a page places and a Speaker says:

    {"sections": [{"id", "title": Msg, "heads": [Msg], "rows": [[cell, …], …],
                   "notes": [Msg], "cautions": [Msg]}],
     "missing": [Msg], "questions": [Msg],
     "sill": {"anchors": [nm, …], "supports": [nm, …]}}    for the picture of the sill

A cell is a Msg, Len, Qty, list of them, int or text. Section ids: "order",
"anchors", "bed", "supports", "materials"; one whose inputs the drawing leaves
open is not there, and missing names every such input: nothing is guessed.
questions: what the drawing says and cannot be, or does not add up.
"""

from app.core.drawing import Drawing
from app.core.kinds import Json
from app.core.layout import anchors, materials, order, sill
from app.core.layout.book import Book, Settings

__all__ = ["Settings", "setout"]


def setout(drawing: Drawing, settings: "Settings | None" = None) -> Json:
    """Return the set-out of one opening (see the top of this module).

    Errors: InputError 'waste-range', 'support-spacing' for settings that make no sense;
    what the drawing lacks is named in the result, never raised.
    """
    book = Book(drawing, settings or Settings())
    order.panel_order(book)
    anchors.anchor_plans(book)
    sill.sealant_bed(book)
    sill.rigid_supports(book)
    materials.materials(book)
    return {
        "sections": book.sections,
        "missing": book.missing,
        "questions": book.questions,
        "sill": {"anchors": book.sill_points, "supports": book.support_points},
    }
