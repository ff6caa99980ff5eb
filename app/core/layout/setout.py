"""The set-out of an opening: all that can be worked out before work starts.

Plain data with Msgs that a page places and a Speaker says:

    {"sections": [{"id", "title": Msg, "heads": [Msg], "rows": [[cell, …], …],
                   "notes": [Msg], "cautions": [Msg]}],
     "missing": [Msg], "questions": [Msg], "unmeasured": [Msg],
     "sill": {"anchors": [nm, …], "supports": [nm, …]},    for the picture of the sill
     "amounts": [layout.book.MaterialAmount, …]}                   for the sum over a job

A cell is a Msg, Len, Qty, list of them, int or text. Section ids: "order",
"anchors", "shims", "bed", "supports", "materials"; one whose inputs the drawing
leaves open is not there, and missing names every such input: nothing is guessed.
questions: what the drawing says and cannot be, or does not add up. unmeasured: readings
that some of the material follows from and that are still to be taken.
"""

from app.core.kinds import Json
from app.core.layout import anchors, crossed, jambs, materials, order, sill
from app.core.layout.book import Book, JobSettings, MaterialAmount, Surveyed
from app.core.quantity.messages import Msg
from app.core.trade.drawing import Drawing

__all__ = ["JobSettings", "for_job", "setout_of"]


def setout_of(
    drawing: Drawing, settings: "JobSettings | None" = None, surveyed: "Surveyed | None" = None
) -> Json:
    """Return the set-out of one opening (see the top of this module).

    surveyed: of layout/surveyed.py, where readings are there: they tell the shims.

    Errors: InputError 'waste-range', 'support-spacing' for settings that make no sense;
    what the drawing lacks is named in the result, never raised.
    """
    book = Book(drawing, settings or JobSettings(), surveyed)
    crossed.question_crossed_limits(book)
    order.panel_order(book)
    anchors.anchor_plans(book)
    jambs.jamb_shims(book)
    sill.sealant_bed(book)
    sill.rigid_supports(book)
    materials.materials_section(book)
    return {
        "sections": book.sections,
        "missing": book.missing,
        "questions": book.questions,
        "unmeasured": book.surveyed.missing,
        "sill": {"anchors": book.sill_points, "supports": book.support_points},
        "amounts": book.amounts,
    }


def for_job(lists: "list[list[MaterialAmount]]", settings: "JobSettings | None" = None) -> Json:
    """Return the section "materials" of a whole job from the amounts of its openings."""
    note = Msg("All openings together, sealant added up before it is counted in containers.")
    return materials.amounts_table(
        materials.summed_amounts(lists), settings or JobSettings(), [note]
    )
