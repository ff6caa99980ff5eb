"""The section "materials": what to load for the opening, as far as it is known."""

from app.core.kinds import Any
from app.core.layout.book import Book
from app.core.trade import bed, sealant
from app.core.trade.anchors import ceil_div
from app.core.words import Len, Msg


def materials(book: Book) -> None:
    """What to load for this opening, as far as it is known."""
    drawing = book.drawing
    rows: list[list[Any]] = []
    if book.bed is not None:
        rows.extend(_sealant_rows(book, book.bed))
    if book.support_points:
        rows.append([Msg("Rigid supports, places in all"), len(book.support_points)])
    if book.anchor_count:
        rows.append([Msg("Anchors for jambs and head"), book.anchor_count])
    if book.sill_points:
        rows.append([Msg("Sill screws"), len(book.sill_points)])
    fixed = len([panel for panel in drawing.panels if not panel.slides])
    screws = drawing.count("fixed_screws")
    if fixed and screws is not None:
        rows.append([Msg("Screws for fixed panels"), fixed * screws])
    width, height = drawing.length("frame_width"), drawing.length("frame_height")
    if width is not None and height is not None:
        rows.append([Msg("Joint to seal at jambs and head"), Len(2 * height + width, "place")])
    notes = [
        Msg("Shims by thickness follow from the survey and the fit of the frame."),
        Msg("Waste {percent} %: a company setting.", percent=book.settings.waste),
    ]
    if rows:
        heads = [Msg("Material"), Msg("Amount")]
        book.add("materials", Msg("Materials"), heads, rows, notes, [])


def _sealant_rows(book: Book, laid: bed.Bed) -> "list[list[Any]]":
    """Return the sealant of the bed with waste: as a volume, then in each size it is sold in."""
    volume = sealant.with_waste(laid.volume, book.settings.waste)
    rows: list[list[Any]] = [[Msg("Sealant for the bed, with waste"), _volume(volume)]]
    return rows + [
        [Msg("or all of it as {container}", container=one.title), sealant.count(volume, one)]
        for one in sealant.containers()
    ]


def _volume(volume: int) -> Msg:
    return Msg(
        "{ml} mL ({ounces} fl oz)",
        ml=ceil_div(volume, sealant.MILLILITRE),
        ounces=ceil_div(volume, sealant.FLUID_OUNCE),
    )
