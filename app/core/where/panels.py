"""Places at panels, stiles, interlocks and locks."""

from app.core.kinds import Json
from app.core.order import sort_by
from app.core.quantity.messages import Len, Msg
from app.core.trade.drawing import Drawing, Panel
from app.core.where.place import Place
from app.core.where.words import jamb_word, level_heights, level_word, place_mark, standpoint_words

NO_BREAK = "\u2011"  # a hyphen at which no line breaks


def panel_places(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return one place a panel: each, those of one kind, or the step's own.

    Kinds: sliding, fixed, lead; one-lead: the first from the LEFT; unweighed: the order gives no
    weight of it.
    """
    return [
        Place(p.letter, Msg("panel {letter}", letter=p.letter), _middle_of(p), panel=p.letter)
        for p in _chosen_panels(where, drawing, step_panel)
    ]


def panel_sides(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return the named sides of each chosen panel."""
    out = []
    for panel in _chosen_panels(where, drawing, step_panel):
        out.extend([_at_side(panel, side, drawing) for side in where["at"]])
    return out


def panel_diagonals(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return both diagonals of each chosen panel."""
    out = []
    for panel in _chosen_panels(where, drawing, step_panel):
        name = panel.letter
        params = {"letter": name, "stand": standpoint_words(drawing)}
        rising = Msg("panel {letter}: LOW LEFT to HIGH RIGHT, {stand}", **params)
        falling = Msg("panel {letter}: LOW RIGHT to HIGH LEFT, {stand}", **params)
        out.append(Place(name + "-low-left-high-right", rising, panel=name))
        out.append(Place(name + "-low-right-high-left", falling, panel=name))
    return out


def stile_places(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return the left and the right stile of each chosen panel."""
    out = []
    for panel in _chosen_panels(where, drawing, step_panel):
        out.extend([_at_side(panel, side, drawing) for side in ("left", "right")])
    return out


def stroke_places(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return three tries to open and three to close each chosen panel, or one each way."""
    out = []
    tries = (1,) if where.get("tries") == "one" else (1, 2, 3)
    for panel in _chosen_panels(where, drawing, step_panel):
        if not panel.slides:
            continue
        for way in ("open", "close"):
            for count in tries:
                name = panel.letter + "-" + way + "-" + str(count)
                title = _stroke_place(panel.letter, way, count if len(tries) > 1 else 0)
                out.append(Place(name, title, panel=panel.letter, side=way))
    return out


def _stroke_place(letter: str, way: str, count: int) -> Msg:
    """Return a stroke in words; count: which try it is, 0 where there is one alone."""
    if not count:
        one = Msg("panel {letter}, opening") if way == "open" else Msg("panel {letter}, closing")
        return Msg(one.template, letter=letter)
    if way == "open":
        return Msg("panel {letter}, opening, try {count}", letter=letter, count=count)
    return Msg("panel {letter}, closing, try {count}", letter=letter, count=count)


def interlock_heights(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return each interlock low, middle and high.

    In a step that is done for each panel an interlock belongs to that one of its two
    panels that is set later: in the drawing's own order, else the one nearer to the
    side the crew sets from.
    """
    out = []
    pairs = [p for p in zip(drawing.panels, drawing.panels[1:]) if p[0].track != p[1].track]
    for (left, right), x in zip(pairs, drawing.interlocks):
        if step_panel in ("", _later_panel(left, right, drawing)):
            name = left.letter + "-" + right.letter
            said = left.letter + NO_BREAK + right.letter
            title = Msg("interlock {name}", name=said)
            out.extend(_places_up(name, title, x, step_panel, where, drawing))
    return out


def _later_panel(left: Panel, right: Panel, drawing: Drawing) -> str:
    order = drawing.data.get("order") or []
    if left.letter in order and right.letter in order:
        later = order.index(left.letter) > order.index(right.letter)
        return left.letter if later else right.letter
    from_room = drawing.data.get("set_from") == "room"
    return left.letter if (left.track < right.track) == from_room else right.letter


def closing_gap(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return the closing gap low, middle and high: at each lock jamb, or where two leads meet."""
    out = []
    for name, title, x, letter in _closing_spots(where, drawing):
        if step_panel in ("", letter):
            out.extend(_places_up(name, title, x, letter, where, drawing))
    return out


def lock_places(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return one place for each lock; only those at a jamb, or where two leads meet."""
    return [
        Place(name, title, x, panel=letter)
        for name, title, x, letter in _closing_spots(where, drawing)
        if step_panel in ("", letter)
    ]


def lock_points(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return each locking point of each lock, at the heights that the drawing gives.

    Where it gives none, one place for each lock: somebody looks at all its points.
    """
    out = []
    for lock in lock_places(where, drawing, step_panel):
        for y in sort_by(drawing.locks, lambda y: y):
            words = Msg(
                "{place}: {y} above the foot of the frame", place=lock.title, y=Len(y, "place")
            )
            name = lock.id + "-" + place_mark("y", y)
            out.append(Place(name, words, lock.x, y, lock.panel))
        if not drawing.locks:
            out.append(lock)
    return out


def lead_stiles(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return the closing stile of each lead low, middle and high."""
    if where.get("only") == "meeting" and not _leads_meet(drawing):
        return []
    out = []
    for panel in drawing.panels:
        if panel.lead and step_panel in ("", panel.letter):
            title = Msg("panel {letter}, closing stile", letter=panel.letter)
            x = _closing_edge(panel, drawing)
            out.extend(_places_up(panel.letter, title, x, panel.letter, where, drawing))
    return out


def _leading(drawing: Drawing) -> "list[Panel]":
    return [panel for panel in drawing.panels if panel.lead]


def _leads_meet(drawing: Drawing) -> bool:
    """Return whether two leads close against each other: neighbours on one track."""
    for left, right in zip(drawing.panels, drawing.panels[1:]):
        if left.lead and right.lead and left.track == right.track:
            return True
    return False


def _closing_edge(panel: Panel, drawing: Drawing) -> int:
    """Return the edge that a lead closes with."""
    if _leads_meet(drawing):
        return panel.right if panel is _leading(drawing)[0] else panel.left
    return panel.left if panel is drawing.panels[0] else panel.right


def _closing_spots(where: Json, drawing: Drawing) -> "list[tuple[str, Msg, int, str]]":
    """Return id, words, position and lead of everything that a lead closes against."""
    only = where.get("only", "")
    if _leads_meet(drawing):
        lead = _leading(drawing)[0]
        meeting = ("meeting", Msg("where the two leads meet"), lead.right, lead.letter)
        return [] if only == "jamb" else [meeting]
    if only == "meeting":
        return []
    return [_lock_jamb(panel, drawing) for panel in _leading(drawing)]


def _lock_jamb(panel: Panel, drawing: Drawing) -> "tuple[str, Msg, int, str]":
    side = "left" if panel is drawing.panels[0] else "right"
    return (side, jamb_word(side, drawing), _closing_edge(panel, drawing), panel.letter)


def _chosen_panels(where: Json, drawing: Drawing, step_panel: str) -> "list[Panel]":
    which = where.get("which", "each")
    if which == "one-lead":
        return _leading(drawing)[:1]
    chosen = [drawing.panel(step_panel)] if step_panel else drawing.panels
    return [panel for panel in chosen if _is_kind(panel, which)]


def _is_kind(panel: Panel, which: str) -> bool:
    if which == "lead":
        return panel.lead
    if which == "unweighed":
        return panel.mass is None
    return which == "each" or panel.slides == (which == "sliding")


def _middle_of(panel: Panel) -> int:
    return (panel.left + panel.right) // 2


def _at_side(panel: Panel, side: str, drawing: Drawing) -> Place:
    name = panel.letter
    if side == "left":
        title = Msg(
            "panel {letter}, LEFT stile, {stand}", letter=name, stand=standpoint_words(drawing)
        )
        return Place(name + "-left", title, panel.left, panel=name, side=side)
    if side == "right":
        title = Msg(
            "panel {letter}, RIGHT stile, {stand}", letter=name, stand=standpoint_words(drawing)
        )
        return Place(name + "-right", title, panel.right, panel=name, side=side)
    title = Msg("panel {letter}, top", letter=name)
    if side == "bottom":
        title = Msg("panel {letter}, bottom", letter=name)
    return Place(name + "-" + side, title, _middle_of(panel), panel=name, side=side)


def _places_up(
    name: str, title: Msg, x: int, panel: str, where: Json, drawing: Drawing
) -> "list[Place]":
    spots = level_heights(where, drawing.need("frame_height"))
    out = []
    for level, y in spots:
        words = Msg(
            "{place}: {level}, {y} up",
            place=title,
            level=level_word(level),
            y=Len(y, "place"),
        )
        out.append(Place(name + "-" + level, words, x, y, panel, level))
    return out
