"""The sections "bed" and "supports": what lies under the sill."""

from app.core.errors import AppError
from app.core.kinds import Any
from app.core.layout.book import Book
from app.core.quantity.messages import Len, Msg, Plural
from app.core.trade import bed
from app.core.trade.anchors import running_dimensions


def sealant_bed(book: Book) -> None:
    """Beads under the sill: where they lie, how long, what stays open."""
    silent = bed.bed_questions(book.drawing)
    for error in silent:
        book.lacks(error)
    if silent:
        return
    try:
        laid = bed.of_drawing(book.drawing)
    except AppError as error:
        book.lacks(error)
        return
    book.bed = laid
    narrowest = min([bay.open_for for bay in laid.bays])
    notes = [
        Msg(
            "Bays: {count}, each open at the outer edge, the narrowest {size}.",
            count=len(laid.bays),
            size=Len(narrowest),
        )
    ] + [conflict.says for conflict in laid.conflicts]
    heads = [Msg("Bead"), Msg("Where")]
    book.add("bed", Msg("Sealant bed"), heads, _bead_rows(laid), notes, _bed_cautions())


def _bead_rows(laid: bed.Bed) -> "list[list[Any]]":
    return [
        [Msg("Run along the room side, jamb to jamb"), Len(laid.width, "place")],
        [Msg("Return to the outer edge at each end"), Len(laid.depth)],
        [Msg("Turned up each jamb"), Len(laid.turn_up)],
        [
            Plural(
                "{count} cross line, from the LEFT end", "{count} cross lines, from the LEFT end"
            ).of(len(laid.cross)),
            running_dimensions(laid.cross),
        ],
        [Msg("Weeps kept clear, from the LEFT end"), running_dimensions(laid.weeps)],
        [Msg("All beads together"), Len(laid.length, "place")],
    ]


def _bed_cautions() -> "list[Msg]":
    return [
        Msg("No bead along the outer edge. Every weep and every bay stays open."),
        Msg("Sealant is no support: fix the rigid supports first."),
        Msg("Heed the sealant maker's sheet: compatibility, primer, temperature, skin time."),
    ]


def rigid_supports(book: Book) -> None:
    """Rigid supports under jambs, interlocks, meeting stiles, sill screws, and between."""
    drawing = book.drawing
    found = book.need("frame_width", "jamb_face")
    if found is None or not drawing.panels:
        return
    width, jamb = found["frame_width"], found["jamb_face"] // 2
    must = [jamb, width - jamb] + drawing.interlocks + drawing.meetings + book.sill_points
    try:
        points = bed.support_places(width, must, book.settings.supports)
    except AppError as error:
        if error.code == "support-spacing":
            raise
        book.lacks(error)
        return
    book.support_points = points
    rows: list[list[Any]] = [
        [Msg("From the LEFT end, you outside"), len(points), running_dimensions(points)]
    ]
    notes = [
        Msg(
            "Under each jamb, interlock, meeting stile and screw, at most {size} apart "
            "(common practice, no published source), under every roller track.",
            size=Len(book.settings.supports),
        )
    ]
    heads = [Msg("Supports"), Msg("Places"), Msg("Running dimensions")]
    book.add("supports", Msg("Rigid supports"), heads, rows, notes, [])
