"""The section "order": panels in order of setting, weights, crew and aids, where they stack."""

from app.core.errors import AppError
from app.core.kinds import Any
from app.core.layout.book import Book, joined_sentences
from app.core.quantity.messages import Msg, Qty
from app.core.trade import handling, panels, rollers_load, setting, weight
from app.core.trade.lifting import LOAD


def panel_order(book: Book) -> None:
    """Panels in order of setting, with weights and reasons; where they stack, and how heavy."""
    found = panels.panel_questions(book.drawing)
    for error in found:
        book.lacks(error)
    if found:
        return
    try:
        turns = setting.setting_order(book.drawing)
    except AppError as error:
        book.lacks(error)
        return
    weights = _weight_words(book)
    rows = []
    for turn in turns:
        letter = turn.panel.letter
        rows.append([turn.number, letter, weights[letter], joined_sentences(turn.reasons)])
    notes = rollers_load.about_stacks(book.drawing) + _crew_words(book)
    notes += rollers_load.about_rollers(book.drawing)
    cautions = [weight.weight_caution()] + handling.lifting_cautions()
    cautions.append(
        Msg(
            "Nobody stands under a panel or on its glass side. "
            "Anti-lift parts in before letting go."
        )
    )
    heads = [Msg("Turn"), Msg("Panel"), Msg("Weight"), Msg("Why now")]
    book.add("order", Msg("Order of setting"), heads, rows, notes, cautions)


def _weight_words(book: Book) -> "dict[str, Any]":
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


def _crew_words(book: Book) -> "list[Msg]":
    """Return crew and aid, each answer once: guidance that refuses, never approves."""
    answers: list[tuple[Msg, list[str]]] = []
    for data in book.drawing.data.get("panels", []):
        found = weight.of_panel(data)
        words = Msg("weigh it first") if found is None else handling.in_short(found.mass)
        same = [letters for other, letters in answers if other == words]
        if same:
            same[0].append(data["letter"])
        else:
            answers.append((words, [data["letter"]]))
    out = [
        Msg("Carrying, panels {letters}: {crew}.", letters=letters, crew=words)
        for words, letters in answers
    ]
    most = Qty("mass", LOAD["in"])
    out.append(
        Msg("The NIOSH lifting equation gives one person {most} at most, held at best.", most=most)
    )
    return out
