"""The section "anchors": both jambs, head and sill as running dimensions."""

from app.core.errors import AppError
from app.core.kinds import Any
from app.core.layout.book import Book
from app.core.quantity.messages import Msg
from app.core.trade import anchored, anchors, moving
from app.core.trade.drawing import title_of


def anchor_plans(book: Book) -> None:
    """Anchors of both jambs, head and sill as running dimensions."""
    drawing = book.drawing
    found = book.need("frame_height", "frame_width", "anchor_end", "anchor_spacing")
    screws = drawing.count("sill_screws")
    if screws is None:
        book.missing.append(
            Msg(
                "The drawing does not give “{what}”. Ask the office.",
                what=Msg(title_of("sill_screws")),
            )
        )
    if found is None:
        return
    rows: list[list[Any]] = []
    notes: list[Msg] = []
    high, wide = found["frame_height"], found["frame_width"]
    plans = [
        (Msg("LEFT jamb, from the foot"), high, _beside_locks(book, "left", notes)),
        (Msg("RIGHT jamb, from the foot"), high, _beside_locks(book, "right", notes)),
        (Msg("Head, from the LEFT end, you outside"), wide, _beside_interlocks(book, notes)),
    ]
    points = [
        _add_member(book, title, length, zones, rows, notes) for title, length, zones in plans
    ]
    book.anchor_count = sum([len(member) for member in points])
    if points[0] and points[1]:
        book.jamb_points = {"left": points[0], "right": points[1]}
    _compare_counts(book, drawing.count("frame_anchors"), book.anchor_count, "frame_anchors")
    _sill_screws(book, found, screws, rows, notes)
    heads = [Msg("Member"), Msg("Anchors"), Msg("Running dimensions")]
    book.add("anchors", Msg("Anchors"), heads, rows, notes, _anchor_cautions(bool(screws)))


def _anchor_cautions(through_sill: bool) -> "list[Msg]":
    cautions = [
        Msg(
            "The pattern of the drawing or of the product's approval wins. The distance from the "
            "edge of the concrete or timber has its own rule: ask the engineer or the office."
        ),
        Msg("Slotted head anchors stay free. No screw may leave a shim carrying the building."),
    ]
    if through_sill:
        cautions.append(
            Msg(
                "Before drilling the sill: scan for tendons, heating tubes and wiring. Seal every "
                "screw in the hole and over the head."
            )
        )
    return cautions


def _sill_screws(
    book: Book, found: "dict[str, int]", screws: "int | None", rows: Any, notes: "list[Msg]"
) -> None:
    if screws == 0:
        notes.append(Msg("No screw goes through the sill or the pan: none is drawn."))
    if not screws:
        return
    clear = book.need("anchor_clear")
    if clear is None:
        return
    zones = [anchors.Zone(at, clear["anchor_clear"], Msg("a weep")) for at in book.drawing.weeps]
    zones.extend(_beside_interlocks(book, notes))
    title = Msg("Sill, from the LEFT end, you outside")
    book.sill_points = _add_member(book, title, found["frame_width"], zones, rows, notes)
    _compare_counts(book, screws, len(book.sill_points), "sill_screws")


def _beside_locks(book: Book, side: str, notes: "list[Msg]") -> "list[anchors.Zone]":
    """Return the places that one jamb's anchors keep clear of; silence of the drawing is said."""
    drawing = book.drawing
    if side not in moving.lock_jambs(drawing):
        return []
    if not drawing.locks:
        book.asks(Msg("Locks, from the foot of the frame up the jamb"))
    clear = book.need("lock_clear")
    if clear is None or not drawing.locks:
        _said_once(notes, Msg("The jambs' anchors are not yet kept clear of locks: see above."))
        return []
    return anchored.lock_zones(drawing, side)


def _beside_interlocks(book: Book, notes: "list[Msg]") -> "list[anchors.Zone]":
    """Return the places of interlocks and meeting stiles that head and sill keep clear of."""
    drawing = book.drawing
    places = drawing.interlocks + drawing.meetings
    if not places:
        return []
    clear = book.need("interlock_clear")
    if clear is None:
        words = Msg("The anchors of head and sill are not yet kept clear of interlocks: see above.")
        _said_once(notes, words)
        return []
    return anchored.interlock_zones(drawing)


def _said_once(notes: "list[Msg]", words: Msg) -> None:
    if words not in notes:
        notes.append(words)


def _add_member(
    book: Book,
    title: Msg,
    length: int,
    zones: "list[anchors.Zone]",
    rows: "list[list[Any]]",
    notes: "list[Msg]",
) -> "list[int]":
    """Add one member's row and conflicts; return its positions."""
    drawing = book.drawing
    try:
        plan = anchors.anchor_plan(
            length, drawing.need("anchor_end"), drawing.need("anchor_spacing"), zones
        )
    except AppError as error:
        book.lacks(error)
        return []
    rows.append([title, len(plan.points), anchors.running_dimensions(plan.points)])
    for conflict in plan.conflicts:
        notes.append(Msg("{member}: {what}", member=title, what=conflict.says))
    return plan.points


def _compare_counts(book: Book, drawn: "int | None", ours: int, field: str) -> None:
    if drawn is not None and drawn != ours:
        book.questions.append(
            Msg(
                "“{what}”: the drawing counts {drawn}; by end distance and spacing it takes "
                "{ours}. Ask the office.",
                what=Msg(title_of(field)),
                drawn=drawn,
                ours=ours,
            )
        )
