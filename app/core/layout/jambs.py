"""The section "shims": what goes behind the frame at every anchor and lock of the jambs.

It follows from the fit: the frame in its best place, the gaps beside it as measured. Between two
measured heights a jamb is taken as straight, beyond the lowest and the highest as there.
"""

from app.core.checks.base import shim_len
from app.core.kinds import Any
from app.core.layout.book import Book
from app.core.order import sort_by
from app.core.quantity.messages import Len, Msg
from app.core.trade import anchored, packing
from app.core.trade.sill import height_at

SIDES = ("left", "right")


def jamb_shims(book: Book) -> None:
    """Shims at every anchor and behind every lock; nothing before the fit is measured."""
    fit = book.surveyed.beside
    if fit is None or not book.jamb_points:
        return
    tallest = max([0] + [place["gap"] for place in fit["places"]])
    ladder = packing.Ladder(book.drawing.shims, book.surveyed.pieces, tallest)
    heads = [Msg("From the foot"), Msg("LEFT jamb"), Msg("RIGHT jamb")]
    note = Msg(
        "The gap at each anchor and lock, the frame in its best place, and the shims that fill it. "
        "Between the heights that were measured a jamb is taken as straight: measure each gap "
        "before its shims go in."
    )
    rows = _height_rows(book, ladder)
    book.add("shims", Msg("Shims behind the jambs"), heads, rows, [note], [])


def _height_rows(book: Book, ladder: packing.Ladder) -> "list[list[Any]]":
    """Return a row for each height at which either jamb has an anchor or a lock."""
    locks = {side: [z.at for z in anchored.lock_zones(book.drawing, side)] for side in SIDES}
    spots = {side: book.jamb_points[side] + locks[side] for side in SIDES}
    measured = {side: _measured_gaps(book, side) for side in SIDES}
    rows: list[list[Any]] = []
    heights = {at for side in SIDES for at in spots[side]}
    for at in sort_by(list(heights), lambda at: at):
        behind = at in locks["left"] or at in locks["right"]
        where = Msg("{at}, lock", at=Len(at, "place")) if behind else Len(at, "place")
        cells = [
            _filled_gap(book, measured[side], at, ladder) if at in spots[side] else ""
            for side in SIDES
        ]
        rows.append([where] + cells)
    return rows


def _measured_gaps(book: Book, side: str) -> "tuple[list[int], list[int]]":
    """Return heights and the gaps there, of one jamb, from the foot up."""
    fit = book.surveyed.beside or {"places": []}
    mine = [place for place in fit["places"] if place["side"] == side]
    mine = sort_by(mine, lambda place: place["at"])
    return [place["at"] for place in mine], [place["gap"] for place in mine]


def _filled_gap(
    book: Book, measured: "tuple[list[int], list[int]]", at: int, ladder: packing.Ladder
) -> "Msg | Len":
    """Return one gap with its shims, which are counted for the list of materials."""
    num, den = height_at(measured[0], measured[1], at)
    gap = num // den
    if gap < 0:
        return Msg("{size} too tight", size=Len(-gap))
    made = ladder.make(gap, packing.DOWN)
    if made is None:
        return Msg("{gap}, which the box does not make", gap=Len(gap))
    pieces = ladder.pieces(made)
    for piece in pieces:
        book.jamb_shims[piece] = book.jamb_shims.get(piece, 0) + 1
    if not pieces or pieces == (gap,):
        return Len(gap)
    return Msg("{gap} (shims {shims})", gap=Len(gap), shims=[shim_len(piece) for piece in pieces])
