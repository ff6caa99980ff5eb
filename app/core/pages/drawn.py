"""/field/o/ID/drawing: what the shop drawing gives, and what it leaves open."""

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Page, Request, amount_of, size_text
from app.core.pictures import drawings
from app.core.quantity.messages import Len, Msg, Qty, When
from app.core.record.state import State, setting_letters
from app.core.trade import bed
from app.core.trade.drawing import AMOUNTS, COUNTS, LENGTHS


def get(request: Request) -> Page:
    """Return the drawing of an opening."""
    id = request.parts[1]
    opening = request.opening(id)
    state = request.state(id)
    data = state.drawing.data
    back = common.page_link(common.path_of(id), request.say(Msg("Opening")))
    groups = _value_groups(request, state)
    context = {
        "page": common.page_frame(request, request.say(Msg("Drawing")), opening, back),
        "number": request.say(
            Msg(
                "{number}, revision {revision}",
                number=data.get("number", ""),
                revision=data.get("revision", ""),
            )
        ),
        "date": request.say(When(data.get("date", ""))),
        "pictures": _drawing_pictures(request, state),
        "groups": groups,
        "panels": [_panel_values(request, state, letter) for letter in _panel_letters(state)],
        "weeps": [request.say(Len(at, "place")) for at in state.drawing.weeps],
        "shims": [request.say(Len(size)) for size in state.drawing.shims],
        "locks": [request.say(Len(at, "place")) for at in state.drawing.locks],
        "limits": _drawn_limits(request, state),
        "missing": sum([len([f for f in group["facts"] if not f["given"]]) for group in groups]),
        "query": common.path_of(id, "queries"),
    }
    return Page("field/drawing.html", context)


def _drawing_pictures(request: Request, state: State) -> "list[Json]":
    """Return the pictures that the drawing gives enough for."""
    order = setting_letters(state.drawing)
    out = [
        (Msg("From outside"), drawings.elevation_picture(state.drawing, request.speaker)),
        (Msg("From above"), drawings.plan_picture(state.drawing, request.speaker, order)),
    ]
    try:
        layout = drawings.sill_layout(bed.of_drawing(state.drawing), request.speaker)
        out.append((Msg("Sill from above"), layout))
    except AppError:
        pass  # the drawing leaves the bed open; the set-out says what is missing
    return [{"title": request.say(title), "picture": picture} for title, picture in out]


def _panel_letters(state: State) -> "list[str]":
    return [panel.letter for panel in state.drawing.panels]


def _value_groups(request: Request, state: State) -> "list[Json]":
    drawing = state.drawing
    sizes = [
        common.labelled_fact(
            request.say(Msg(title)), size_text(request, drawing.length(field)), hint
        )
        for field, title, hint in LENGTHS
        if drawing.asks(field)
    ]
    counts = [
        common.labelled_fact(request.say(Msg(title)), _count_words(drawing.count(field)))
        for field, title in COUNTS
        if drawing.asks(field)
    ]
    amounts = [
        common.labelled_fact(
            request.say(Msg(title)), _amount_words(request, state, field, quantity)
        )
        for field, quantity, title in AMOUNTS
        if drawing.asks(field)
    ]
    door = [
        common.labelled_fact(request.say(Msg("Author")), str(drawing.data.get("author", ""))),
        common.labelled_fact(
            request.say(Msg("Lock, seen from outside")),
            _side_words(request, drawing.data.get("lock", "")),
        ),
        common.labelled_fact(
            request.say(Msg("Set from")), _side_words(request, drawing.data.get("set_from", ""))
        ),
    ]  # fmt: skip
    return [
        {"id": "door", "title": request.say(Msg("Door")), "facts": door},
        {"id": "sizes", "title": request.say(Msg("Sizes")), "facts": sizes},
        {"id": "counts", "title": request.say(Msg("Counts")), "facts": counts},
        {
            "id": "amounts",
            "title": request.say(Msg("Forces, temperatures, times")),
            "facts": amounts,
        },
    ]


SIDES = {
    "left": Msg("left"),
    "right": Msg("right"),
    "meeting": Msg("where the two leading panels meet"),
    "outside": Msg("outside"),
    "room": Msg("the room side"),
}


def _side_words(request: Request, side: str) -> str:
    return request.say(SIDES[side]) if side in SIDES else side


def _count_words(value: "int | None") -> str:
    return "" if value is None else str(value)


def _amount_words(request: Request, state: State, field: str, quantity: str) -> str:
    value = state.drawing.amount(field)
    return "" if value is None else request.say(Qty(quantity, value))


_KIND_WORDS = {"X": Msg("slides"), "P": Msg("slides into a pocket")}


def _panel_values(request: Request, state: State, letter: str) -> Json:
    panel = state.drawing.panel(letter)
    return {
        "letter": letter,
        "kind": panel.kind,
        "kind_text": request.say(_KIND_WORDS.get(panel.kind, Msg("fixed"))),
        "lead": panel.lead,
        "track": str(panel.track),
        "width": size_text(request, panel.width),
        "height": size_text(request, panel.height),
        "mass": request.say(Qty("mass", panel.mass)) if panel.mass else "",
    }


def _drawn_limits(request: Request, state: State) -> "list[Json]":
    from app.core.checks.index import spec_of
    from app.core.checks.limit_words import limit_words
    from app.core.order import sort_by

    limits = state.drawing.data.get("limits", {})
    out = []
    for name in sort_by([key for key in limits], lambda key: key):
        id, _dot, which = name.partition(".")
        check = state.check(id)
        if check is None:
            continue
        quantity = spec_of(check["calc"]).limits.get(which, "length")
        value = amount_of("length" if quantity == "any" else quantity, int(limits[name]))
        words = request.say(limit_words(check, which, value))
        out.append({"label": request.say(Msg(check["title"])), "words": words})
    return out
