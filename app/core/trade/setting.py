"""In which order the panels are set, with the reason at each.

The crew works from one side, and what is set near would stand in the way of
what is far: the farthest track comes first. On a track the leading panel opens
(where two meet, the active one first, both parked with stops), what goes into
a pocket comes before what stays before it, and a fixed panel closes. The
drawing may give an order of its own, which wins. (Common practice, no
published source.)
"""

from app.core.errors import InputError
from app.core.order import sort_by
from app.core.quantity.messages import Msg
from app.core.trade import moving, panels
from app.core.trade.drawing import Drawing, Panel


class Turn:
    """One panel's turn: when, which, and why."""

    def __init__(self, number: int, panel: Panel, reasons: "list[Msg]") -> None:
        self.number = number
        self.panel = panel
        self.reasons = reasons


def setting_order(drawing: Drawing) -> "list[Turn]":
    """Return the panels in the order they are set.

    Errors:  those of panels.must_build(); InputError 'set-from-unknown' where the drawing does
             not say from which side; 'order-letters' where its own order names others.
    Source:  common practice, no published source.
    Example: "".join([turn.panel.letter for turn in setting_order(DOOR)]) -> "ABCD" (A B C D on
             tracks 1 2 3 4, A leads, D fixed, set from outside; from the room D C B A)
    """
    panels.must_build(drawing)
    side = set_from(drawing)
    worked_out = sort_by(drawing.panels, lambda panel: _setting_rank(drawing, panel, side))
    drawn = _drawn_order(drawing)
    turns = []
    placed: list[Panel] = []
    for panel in drawn or worked_out:
        reasons = _setting_reasons(drawing, panel, side, placed)
        if drawn:
            reasons = _by_drawing(panel, side, placed)
        placed.append(panel)
        turns.append(Turn(len(placed), panel, reasons))
    return turns


def set_from(drawing: Drawing) -> str:
    """Return "outside" or "room"; raises InputError 'set-from-unknown'.

    Example: set_from(DOOR) -> "outside"
    """
    side = drawing.data.get("set_from")
    if side not in ("outside", "room"):
        raise InputError(
            "set-from-unknown",
            Msg("Nobody said from which side the crew sets the panels: from outside or the room."),
            field="set_from",
        )
    return str(side)


def _setting_rank(drawing: Drawing, panel: Panel, side: str) -> "tuple[int, int, int]":
    far_first = panel.track if side == "outside" else -panel.track
    kind = 4
    if panel.lead:
        kind = 0 if panel is moving.active_lead(drawing) else 1
    elif panel.slides:
        kind = 2 if panel.pocketed else 3
    # of those that share a pocket and a track, the one nearest to the pocket goes in first
    deepest = panel.pocketed and moving.end_of(drawing, panel) == "right"
    return (far_first, kind, -panel.left if deepest else panel.left)


def _drawn_order(drawing: Drawing) -> "list[Panel]":
    """Return the panels in the drawing's own order, or nothing where it gives none."""
    letters = drawing.data.get("order") or []
    if not letters:
        return []
    due = [panel.letter for panel in drawing.panels]
    if sort_by(letters, lambda text: text) != sort_by(due, lambda text: text):
        raise InputError(
            "order-letters",
            Msg(
                "The drawing's order of setting names {letters}; its panels are {due}.",
                letters=letters,
                due=due,
            ),
        )
    return [drawing.panel(letter) for letter in letters]


def _by_drawing(panel: Panel, side: str, placed: "list[Panel]") -> "list[Msg]":
    reasons = [Msg("The drawing gives this order.")]
    nearer = [
        other
        for other in placed
        if other.track != panel.track and (other.track > panel.track) == (side == "outside")
    ]
    return reasons + [
        Msg(
            "Panel {letter}, set before, runs on a nearer track: slide it out of the way.",
            letter=other.letter,
        )
        for other in nearer
    ]


def _setting_reasons(
    drawing: Drawing, panel: Panel, side: str, placed: "list[Panel]"
) -> "list[Msg]":
    out = [_track_reason(drawing, panel, side, placed)]
    mates = [other for other in drawing.panels if other.track == panel.track]
    if panel.pocketed:
        out.append(_pocket_reason(drawing, panel))
    if panel.lead:
        out.append(_lead_reason(drawing, panel))
    elif not panel.slides and len(mates) > 1:
        out.append(Msg("It is fixed: on its track it comes last, once the others are in."))
    elif not panel.slides:
        out.append(Msg("It is fixed: set it in its place, it holds the line for its neighbours."))
    if len(placed) == len(drawing.panels) - 1 and not panel.slides:
        out.append(Msg("A fixed panel closes the sequence."))
    return out + [
        Msg("Slide it until it hooks with panel {letter}.", letter=other.letter)
        if panel.slides
        else Msg("It hooks with panel {letter}.", letter=other.letter)
        for other in placed
        if _hook_together(drawing, panel, other)
    ]


def _track_reason(drawing: Drawing, panel: Panel, side: str, placed: "list[Panel]") -> Msg:
    tracks = [other.track for other in drawing.panels]
    farthest = min(tracks) if side == "outside" else max(tracks)
    here = Msg("outside") if side == "outside" else Msg("the room")
    if placed and placed[-1].track == panel.track:
        return Msg("Same track as panel {letter}.", letter=placed[-1].letter)
    if panel.track == farthest:
        return Msg(
            "Track {track} is the farthest from where you stand ({side}): it fills first.",
            track=panel.track,
            side=here,
        )
    return Msg(
        "Track {track} is the next nearer to you: what is beyond it is in.", track=panel.track
    )


def _pocket_reason(drawing: Drawing, panel: Panel) -> Msg:
    end = Msg("LEFT") if moving.end_of(drawing, panel) == "left" else Msg("RIGHT")
    return Msg(
        "It slides into the pocket at the {end} end: run it in and out, the whole depth, "
        "while nothing stands before the pocket.",
        end=end,
    )


def _lead_reason(drawing: Drawing, panel: Panel) -> Msg:
    if not moving.leads_meet(drawing):
        return Msg("It leads: park it at its lock jamb with a stop.")
    if panel is moving.active_lead(drawing):
        return Msg(
            "Of the two leading panels it is the active one: set it first and park it with a stop."
        )
    return Msg(
        "It meets the active panel on the same track: park it with a stop, "
        "so that neither can run into the other."
    )


def _hook_together(drawing: Drawing, panel: Panel, other: Panel) -> bool:
    """Return whether the two are neighbours with an interlock between them."""
    for left, right in zip(drawing.panels, drawing.panels[1:]):
        if (left is panel and right is other) or (left is other and right is panel):
            return left.track != right.track
    return False
