"""The set-out of an opening: all that can be worked out before work starts.

Plain data with Msgs that a page places and a Speaker says:

    {"sections": [{"id", "title": Msg, "heads": [Msg], "rows": [[cell, …], …],
                   "notes": [Msg], "cautions": [Msg]}],
     "missing": [Msg], "questions": [Msg]}

A cell is a Msg, Len, Qty, list of them, int or text. Section ids: "order",
"anchors", "bed", "supports", "materials"; one whose inputs the drawing leaves
open is not there, and missing names every such input: nothing is guessed.
questions: what the drawing says and cannot be, or does not add up.
"""

from app.core.drawing import Drawing, title_of
from app.core.errors import AppError
from app.core.kinds import Any, Json
from app.core.trade import anchors, bed, moving, panels, sealant, setting, weight
from app.core.words import Len, Msg, Qty

INCH = 25400000


class Settings:
    """What the job sets, not the drawing: company settings, no standard gives them.

    waste: per cent added to sealant. supports: greatest distance of rigid supports, nm.
    """

    def __init__(self, waste: int = 15, supports: int = 12 * INCH) -> None:
        self.waste = waste
        self.supports = supports


def setout(drawing: Drawing, settings: "Settings | None" = None) -> Json:
    """Return the set-out of one opening (see the top of this module).

    Errors: InputError 'waste-range', 'support-spacing' for settings that make no sense;
    what the drawing lacks is named in the result, never raised.
    """
    book = _Book(drawing, settings or Settings())
    for part in (_order, _anchors, _bed, _supports, _materials):
        part(book)
    return {"sections": book.sections, "missing": book.missing, "questions": book.questions}


class _Book:
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
        self.support_count = 0

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


def _order(book: _Book) -> None:
    """Panels in order of setting, with weights and reasons; where they stack, and how heavy."""
    found = panels.questions(book.drawing)
    for error in found:
        book.lacks(error)
    if found:
        return
    try:
        turns = setting.order(book.drawing)
    except AppError as error:
        book.lacks(error)
        return
    weights = _weights(book)
    rows = [
        [turn.number, turn.panel.letter, weights[turn.panel.letter], sentences(turn.reasons)]
        for turn in turns
    ]
    cautions = [
        weight.caution(),
        Msg(
            "Nobody stands under a panel or on its glass side. "
            "Anti-lift parts in before letting go."
        ),
    ]
    heads = [Msg("Turn"), Msg("Panel"), Msg("Weight"), Msg("Why now")]
    book.add("order", Msg("Order of setting"), heads, rows, _stack_notes(book.drawing), cautions)


def _weights(book: _Book) -> "dict[str, Any]":
    """Return words for each panel's weight by letter; a weight that nothing gives is missing."""
    out: dict[str, Any] = {}
    for data in book.drawing.data.get("panels", []):
        found = weight.of_panel(data)
        if found is None:
            out[data["letter"]] = Msg("not given")
            text = Msg("Weight of panel {letter}: read it on the label.", letter=data["letter"])
            book.missing.append(text)
        elif found.basis == "label":
            out[data["letter"]] = Msg("{mass}, label", mass=Qty("mass", found.mass))
        else:
            out[data["letter"]] = Msg(
                "about {mass}: glass and {percent} % for frame and hardware",
                mass=Qty("mass", found.mass),
                percent=weight.FRAME_PERCENT,
            )
    return out


def _stack_notes(drawing: Drawing) -> "list[Msg]":
    masses = {data["letter"]: weight.of_panel(data) for data in drawing.data.get("panels", [])}
    out = []
    stacks = moving.stacks(drawing)
    for side in ("left", "right"):
        stood = stacks[side]
        if not stood:
            continue
        end = Msg("LEFT") if side == "left" else Msg("RIGHT")
        letters = [panel.letter for panel in stood]
        found = [masses[letter] for letter in letters]
        known = [one.mass for one in found if one is not None]
        if len(known) == len(letters):
            text = Msg(
                "Open, {letters} stand at the {end} end: {mass} bear there.",
                letters=letters,
                end=end,
                mass=Qty("mass", sum(known)),
            )
        else:
            text = Msg("Open, {letters} stand at the {end} end.", letters=letters, end=end)
        out.append(text)
    return out


def _anchors(book: _Book) -> None:
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
    plans = [
        (Msg("LEFT jamb, from the foot"), found["frame_height"]),
        (Msg("RIGHT jamb, from the foot"), found["frame_height"]),
        (Msg("Head, from the LEFT end, you outside"), found["frame_width"]),
    ]
    for title, length in plans:
        book.anchor_count += len(_member(book, title, length, [], rows, notes))
    _counted(book, drawing.count("frame_anchors"), book.anchor_count, "frame_anchors")
    _sill_screws(book, found, screws, rows, notes)
    cautions = [
        Msg(
            "The pattern of the drawing or of the product's approval wins. The distance from the "
            "edge of the concrete or timber has its own rule: ask the engineer or the office."
        ),
        Msg("Slotted head anchors stay free. No screw may leave a packer carrying the building."),
    ]
    if screws:
        cautions.append(
            Msg(
                "Before drilling the sill: scan for tendons, heating tubes and wiring. Seal every "
                "screw in the hole and over the head."
            )
        )
    heads = [Msg("Member"), Msg("Anchors"), Msg("Running dimensions")]
    book.add("anchors", Msg("Anchors"), heads, rows, notes, cautions)


def _sill_screws(
    book: _Book, found: "dict[str, int]", screws: "int | None", rows: Any, notes: "list[Msg]"
) -> None:
    if screws == 0:
        notes.append(Msg("No screw goes through the sill or the pan: none is drawn."))
    if not screws:
        return
    clear = book.need("anchor_clear")
    if clear is None:
        return
    zones = [anchors.Zone(at, clear["anchor_clear"], Msg("a weep")) for at in book.drawing.weeps]
    title = Msg("Sill, from the LEFT end, you outside")
    book.sill_points = _member(book, title, found["frame_width"], zones, rows, notes)
    _counted(book, screws, len(book.sill_points), "sill_screws")


def _member(
    book: _Book,
    title: Msg,
    length: int,
    zones: "list[anchors.Zone]",
    rows: "list[list[Any]]",
    notes: "list[Msg]",
) -> "list[int]":
    """Add one member's row and conflicts; return its positions."""
    drawing = book.drawing
    try:
        plan = anchors.plan(
            length, drawing.need("anchor_end"), drawing.need("anchor_spacing"), zones
        )
    except AppError as error:
        book.lacks(error)
        return []
    rows.append([title, len(plan.points), anchors.running(plan.points)])
    for conflict in plan.conflicts:
        notes.append(Msg("{member}: {what}", member=title, what=conflict.says))
    return plan.points


def _counted(book: _Book, drawn: "int | None", ours: int, field: str) -> None:
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


def _bed(book: _Book) -> None:
    """Beads under the sill: where they lie, how long, what stays open."""
    silent = bed.silent(book.drawing)
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
    rows: list[list[Any]] = [
        [Msg("Run along the room side, jamb to jamb"), Len(laid.width, "place")],
        [Msg("Return to the outer edge at each end"), Len(laid.depth)],
        [Msg("Turned up each jamb"), Len(laid.turn_up)],
        [
            Msg("{count} cross lines, from the LEFT end", count=len(laid.cross)),
            anchors.running(laid.cross),
        ],
        [Msg("Weeps kept clear, from the LEFT end"), anchors.running(laid.weeps)],
        [Msg("All beads together"), Len(laid.length, "place")],
    ]
    narrowest = min([bay.open_for for bay in laid.bays])
    notes = [
        Msg(
            "{count} bays, each open at the outer edge, the narrowest {size}.",
            count=len(laid.bays),
            size=Len(narrowest),
        )
    ]
    cautions = [
        Msg("No bead along the outer edge. Every weep and every bay stays open."),
        Msg("Sealant is no support: fix the rigid supports first."),
        Msg("Heed the sealant maker's sheet: compatibility, primer, temperature, skin time."),
    ]
    heads = [Msg("Bead"), Msg("Where")]
    notes.extend([conflict.says for conflict in laid.conflicts])
    book.add("bed", Msg("Sealant bed"), heads, rows, notes, cautions)


def _supports(book: _Book) -> None:
    """Rigid supports under jambs, interlocks, meeting stiles, sill screws, and between."""
    drawing = book.drawing
    found = book.need("frame_width", "jamb_face")
    if found is None or not drawing.panels:
        return
    width, jamb = found["frame_width"], found["jamb_face"] // 2
    must = [jamb, width - jamb] + drawing.interlocks + drawing.meetings + book.sill_points
    try:
        points = bed.supports(width, must, book.settings.supports)
    except AppError as error:
        if error.code == "support-spacing":
            raise
        book.lacks(error)
        return
    book.support_count = len(points)
    rows: list[list[Any]] = [
        [Msg("From the LEFT end, you outside"), len(points), anchors.running(points)]
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


def _materials(book: _Book) -> None:
    """What to load for this opening, as far as it is known."""
    drawing = book.drawing
    rows: list[list[Any]] = []
    if book.bed is not None:
        rows.extend(_sealant_rows(book, book.bed))
    if book.support_count:
        rows.append([Msg("Rigid supports, places in all"), book.support_count])
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


def _sealant_rows(book: _Book, laid: bed.Bed) -> "list[list[Any]]":
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
        ml=anchors.ceil_div(volume, sealant.MILLILITRE),
        ounces=anchors.ceil_div(volume, sealant.FLUID_OUNCE),
    )
