"""The section "materials": what to load for an opening, and for all openings of a job."""

from app.core.errors import AppError
from app.core.kinds import Any, Json
from app.core.layout.book import Book, JobSettings, MaterialAmount, setout_section
from app.core.order import sort_by
from app.core.quantity.messages import Len, Msg
from app.core.trade import joint, sealant
from app.core.trade.anchors import ceil_div
from app.core.trade.drawing import title_of
from app.core.trade.packing import CUBIC_LITRE

# Rows stand in this order, whatever the door; the part of an id before "-" counts.
ORDER = (
    "bed",
    "joint",
    "rod",
    "finish",
    "blocks",
    "supports",
    "anchors",
    "screws",
    "fixed",
    "shim",
    "compound",
    "pan",
    "pour",
    "force",
)


def materials_section(book: Book) -> None:
    """What to load for this opening, as far as it is known."""
    _under_the_sill(book)
    _add_fasteners(book)
    _add_joint(book)
    _add_finish(book)
    _add_shims(book)
    _add_tests(book)
    if book.amounts:
        book.sections.append(amounts_table(book.amounts, book.settings, _material_notes()))


def amounts_table(
    amounts: "list[MaterialAmount]", settings: JobSettings, notes: "list[Msg]"
) -> Json:
    """Return the section of these amounts, sealant with waste."""
    rows: list[list[Any]] = []
    for amount in sort_by(amounts, _row_order):
        rows.extend(_amount_rows(amount, settings))
    waste = Msg("Waste {percent} %: a company setting.", percent=settings.waste)
    heads = [Msg("Material"), Msg("Amount")]
    return setout_section("materials", Msg("Materials"), heads, rows, notes + [waste], [])


def summed_amounts(lists: "list[list[MaterialAmount]]") -> "list[MaterialAmount]":
    """Return the sum of the amounts of several openings: what has one id is added up.

    Example: summed_amounts([[MaterialAmount("pan", T, "count", 1)], [MaterialAmount("pan", T,
             "count", 2)]])[0].value -> 3
    """
    sums: dict[str, MaterialAmount] = {}
    for amounts in lists:
        for one in amounts:
            before = sums[one.id].value if one.id in sums else 0
            sums[one.id] = MaterialAmount(one.id, one.title, one.kind, before + one.value)
    return [sums[id] for id in sort_by(list(sums), lambda id: id)]


def _row_order(amount: MaterialAmount) -> "tuple[int, int, str]":
    """Return where a row stands; thin shims and rods before thick ones."""
    kind, _dash, thick = amount.id.partition("-")
    return ORDER.index(kind), int(thick or 0), amount.id


def _amount_rows(amount: MaterialAmount, settings: JobSettings) -> "list[list[Any]]":
    if amount.kind == "length":
        return [[amount.title, Len(amount.value, "place")]]
    if amount.kind == "compound":
        litres = ceil_div(amount.value * 10, CUBIC_LITRE)
        text = Msg("{litres} L", litres=str(litres // 10) + "." + str(litres % 10))
        return [[amount.title, text]]
    if amount.kind == "sealant":
        return _sealant_rows(amount, settings)
    return [[amount.title, amount.value]]


def _sealant_rows(amount: MaterialAmount, settings: JobSettings) -> "list[list[Any]]":
    """Return sealant with waste: as a volume, then in each size it is sold in."""
    volume = sealant.with_waste(amount.value, settings.waste)
    rows: list[list[Any]] = [[amount.title, _volume_words(volume)]]
    return rows + [
        [
            Msg("or all of it as {container}", container=one.title),
            sealant.container_count(volume, one),
        ]
        for one in sealant.sealant_containers()
    ]


def _volume_words(volume: int) -> Msg:
    return Msg(
        "{ml} mL ({ounces} fl oz)",
        ml=ceil_div(volume, sealant.MILLILITRE),
        ounces=ceil_div(volume, sealant.FLUID_OUNCE),
    )


def _under_the_sill(book: Book) -> None:
    if book.bed is not None:
        title = Msg("Sealant for the bed, with waste")
        book.amounts.append(MaterialAmount("bed", title, "sealant", book.bed.volume))
    _add_count(book, "supports", Msg("Rigid supports, places in all"), len(book.support_points))


def _add_fasteners(book: Book) -> None:
    _add_count(book, "anchors", Msg("Anchors for jambs and head"), book.anchor_count)
    _add_count(book, "screws", Msg("Sill screws"), len(book.sill_points))
    fixed = len([panel for panel in book.drawing.panels if not panel.slides])
    screws = book.drawing.count("fixed_screws")
    if fixed and screws is None:
        book.asks(Msg(title_of("fixed_screws")))
    _add_count(book, "fixed", Msg("Screws for fixed panels"), fixed * (screws or 0))


def _add_count(book: Book, id: str, title: Msg, value: int) -> None:
    if value:
        book.amounts.append(MaterialAmount(id, title, "count", value))


def _add_joint(book: Book) -> None:
    """Sealant and backer rod around jambs and head, for the widest joint that is drawn."""
    found = book.need("frame_width", "frame_height", "joint_width_most")
    if found is None:
        return
    wide = found["joint_width_most"]
    run = 2 * found["frame_height"] + found["frame_width"]
    try:
        volume = run * sealant.rectangular_section(wide, joint.sealant_depth(wide))
        thick = joint.backer_rod(wide)
    except AppError as error:
        book.lacks(error)
        return
    title = Msg("Sealant for jambs and head, joint {width} wide, with waste", width=Len(wide))
    book.amounts.append(MaterialAmount("joint-" + str(wide), title, "sealant", volume))
    rod = Msg("Backer rod for jambs and head, {size} thick", size=Len(thick))
    book.amounts.append(MaterialAmount("rod-" + str(thick), rod, "length", run))


def _add_finish(book: Book) -> None:
    """What is sealed and blocked last: lengths and numbers, for nothing draws the section."""
    wide = book.drawing.length("frame_width")
    if wide is None or not book.drawing.panels:
        return
    feet = sum([panel.width for panel in book.drawing.panels if not panel.slides])
    line = Msg(
        "Finishing line, room side of the sill and feet of fixed panels; its sealant is not "
        "counted, nothing draws its section"
    )
    book.amounts.append(MaterialAmount("finish", line, "length", wide + feet))
    places = len(book.drawing.interlocks) + len(book.drawing.meetings)
    _add_count(book, "blocks", Msg("Foam blocks at the head, where panels meet"), places)


def _add_shims(book: Book) -> None:
    """Shims and compound, as far as survey and fit tell."""
    found = book.surveyed
    shims = _all_shims(book)
    for size in sort_by(list(shims), lambda size: size):
        words = Msg("Shims, {size}", size=Len(size, "size", 396875))
        book.amounts.append(MaterialAmount("shim-" + str(size), words, "count", shims[size]))
    if found.compound:
        words = Msg("Compound, where the sill is filled instead of shimmed, without waste")
        book.amounts.append(MaterialAmount("compound", words, "compound", found.compound))


def _all_shims(book: Book) -> "dict[int, int]":
    """Return {thickness: count} under the sill and behind the jambs.

    Behind the jambs at every anchor; where anchors cannot be planned, where the fit was measured.
    """
    sums = dict(book.surveyed.shims)
    beside = book.jamb_shims or book.surveyed.jambs
    for size in beside:
        sums[size] = sums.get(size, 0) + beside[size]
    return sums


def _add_tests(book: Book) -> None:
    """What the crew tries out: its own workmanship checks, no test to a standard."""
    if book.drawing.panels:
        _add_count(book, "pan", Msg("Pans to flood, or to pour where they are not made for it"), 1)
    if book.bed is not None:
        _add_count(book, "pour", Msg("Pours, one at each bay of the sill"), len(book.bed.bays))
    sliding = len([panel for panel in book.drawing.panels if panel.slides])
    _add_count(book, "force", Msg("Panels to pull with the force gauge, both ways"), sliding)


def _material_notes() -> "list[Msg]":
    return [
        Msg(
            "The joint is taken as wide as the drawing allows: measure it before rod and sealant "
            "are opened."
        ),
        Msg(
            "Pouring and flooding are the crew's own checks. A pressure test is its agency's: the "
            "label or the contract gives the pressure."
        ),
    ]
