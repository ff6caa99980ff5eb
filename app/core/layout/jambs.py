"""The section "shims": what goes behind the frame at every anchor and lock of the jambs.

It follows from the fit: the frame in its best place, the gaps beside it as measured. Between two
measured heights a jamb is taken as straight, beyond the lowest and the highest as there.
"""

from app.core.checks.base import thickness
from app.core.kinds import Any
from app.core.layout.book import Book
from app.core.order import sort_by
from app.core.trade import anchored, packing
from app.core.trade.sill import height_at
from app.core.words import Len, Msg


def jamb_shims(book: Book) -> None:
    """Shims at every anchor and behind every lock; nothing before the fit is measured."""
    fit = book.surveyed.beside
    if fit is None or not book.jamb_points:
        return
    tallest = max([0] + [place["gap"] for place in fit["places"]])
    ladder = packing.Ladder(book.drawing.shims, book.surveyed.pieces, tallest)
    book.jamb_shims = {}
    titles = (
        ("left", Msg("LEFT jamb, from the foot")),
        ("right", Msg("RIGHT jamb, from the foot")),
    )
    rows: list[list[Any]] = [[title, _at_spots(book, side, ladder)] for side, title in titles]
    heads = [Msg("Member"), Msg("Gap and shims")]
    book.add("shims", Msg("Shims behind the jambs"), heads, rows, [_taken_as_straight()], [])


def _taken_as_straight() -> Msg:
    return Msg(
        "At each anchor and lock, the frame in its best place. Between the heights that were "
        "measured a jamb is taken as straight: measure each gap before its shims go in."
    )


def _at_spots(book: Book, side: str, ladder: packing.Ladder) -> "list[Msg]":
    measured = _measured(book, side)
    locks = [zone.at for zone in anchored.lock_zones(book.drawing, side)]
    spots = book.jamb_points[side] + [at for at in locks if at not in book.jamb_points[side]]
    out = []
    for at in sort_by(spots, lambda at: at):
        num, den = height_at(measured[0], measured[1], at)
        where = Msg("lock {at}", at=Len(at, "place")) if at in locks else Len(at, "place")
        out.append(_shim(book, where, num // den, ladder))
    return out


def _measured(book: Book, side: str) -> "tuple[list[int], list[int]]":
    """Return heights and the gaps there, of one jamb, from the foot up."""
    fit = book.surveyed.beside or {"places": []}
    mine = [place for place in fit["places"] if place["side"] == side]
    mine = sort_by(mine, lambda place: place["at"])
    return [place["at"] for place in mine], [place["gap"] for place in mine]


def _shim(book: Book, where: Any, gap: int, ladder: packing.Ladder) -> Msg:
    """Return one gap with its shims, which are counted for the list of materials."""
    if gap < 0:
        return Msg("{where}: {size} too tight", where=where, size=Len(-gap))
    made = ladder.make(gap, packing.DOWN)
    if made is None:
        return Msg("{where}: {gap}, which the box does not make", where=where, gap=Len(gap))
    pieces = ladder.pieces(made)
    for piece in pieces:
        book.jamb_shims[piece] = book.jamb_shims.get(piece, 0) + 1
    if not pieces or pieces == (gap,):
        return Msg("{where}: {gap}", where=where, gap=Len(gap))
    shims = [thickness(piece) for piece in pieces]
    return Msg("{where}: {gap} (shims {shims})", where=where, gap=Len(gap), shims=shims)
