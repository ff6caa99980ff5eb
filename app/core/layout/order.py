"""The section "order": panels in order of setting, weights, where they stack."""

from app.core.drawing import Drawing
from app.core.errors import AppError
from app.core.kinds import Any
from app.core.layout.book import Book, sentences
from app.core.trade import moving, panels, setting, weight
from app.core.words import Msg, Qty


def panel_order(book: Book) -> None:
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


def _weights(book: Book) -> "dict[str, Any]":
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
