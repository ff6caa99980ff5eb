"""What the model of the whole door says, in sentences: plan, outlook, least change, notes."""

from app.core.quantity.messages import Len, Msg
from app.core.quantity.units import INCH, half_up
from app.core.trade.door_model.door import INTERLOCK, MEETING, Door
from app.core.trade.door_model.outlook import CAN, CANNOT, HEAD, Change, Outlook
from app.core.trade.door_model.plan import RollerPlan, RollerTurn, Taper
from app.core.trade.turns import turn_words

GRAIN = INCH // 64
MOST_SHARE = 100  # beyond, the figure says no more than that it cannot be


def fine(nm: int) -> Len:
    """Return a length shown to 1/64 in."""
    return Len(nm, grain=GRAIN)


def outlook_words(found: Outlook, door: Door) -> "list[Msg]":
    """Return whether the door can be finished, and why not."""
    out = [answer_words(found)]
    out.extend([short_words(letter, nm) for letter, nm in found.short])
    share = found.plan.shares.share
    if found.answer != CAN and not found.short and 0 < share < MOST_SHARE:
        out.append(
            Msg(
                "The worst gap takes {share} % of its limit at best.",
                share=half_up(int(share * 1000), 10),
            )
        )
    out.extend([again_words(kind, name) for kind, name in found.again])
    if found.answer == CAN and found.unsure:
        out.append(
            Msg(
                "Preset unsure, panel {letters}: read the track at both axles.",
                letters=list(found.unsure),
            )
        )
    return out + notes(door)


def short_words(letter: str, nm: int) -> Msg:
    """Return by how much a panel's bounds miss each other."""
    return Msg(
        "Panel {letter}: clearance and head engagement miss each other by {size}.",
        letter=letter,
        size=fine(nm),
    )


def preset_words(move: RollerTurn) -> Msg:
    """Return how a panel's roller, or a fixed panel's end, starts before it hangs."""
    params = {"letter": move.letter, "rise": fine(abs(move.rise))}
    return Msg(_PRESETS[(move.fixed, move.rise > 0, move.side)].template, **params)


_PRESETS = {
    (False, True, "left"): Msg("Start panel {letter} with its LEFT roller {rise} up."),
    (False, True, "right"): Msg("Start panel {letter} with its RIGHT roller {rise} up."),
    (False, False, "left"): Msg("Start panel {letter} with its LEFT roller {rise} down."),
    (False, False, "right"): Msg("Start panel {letter} with its RIGHT roller {rise} down."),
    (True, True, "left"): Msg("Set panel {letter} with its LEFT end shimmed {rise} up."),
    (True, True, "right"): Msg("Set panel {letter} with its RIGHT end shimmed {rise} up."),
    (True, False, "left"): Msg("Set panel {letter} with its LEFT end {rise} lower."),
    (True, False, "right"): Msg("Set panel {letter} with its RIGHT end {rise} lower."),
}


def answer_words(found: Outlook) -> Msg:
    """Return in one line whether the door can be finished."""
    worst = found.plan.worst
    if found.answer == CANNOT:
        return Msg("As the frame stands, the door cannot be finished.")
    if found.answer != CAN:
        return Msg("Too close to say whether the door can be finished.")
    if worst is None or worst.num == 0:
        return Msg("Door can be finished, every gap even.")
    size = Len(half_up(abs(worst.num), worst.den))
    if worst.kind == INTERLOCK:
        return Msg("The door can be finished: the worst interlock will taper {size}.", size=size)
    return Msg("The door can be finished: the worst reveal will taper {size}.", size=size)


def again_words(kind: str, name: str) -> Msg:
    """Return what to read again, so that the outlook gets surer."""
    if kind == "jamb" and name == "left":
        return Msg("Read the LEFT jamb again, low and high.")
    if kind == "jamb":
        return Msg("Read the RIGHT jamb again, low and high.")
    if kind == "width":
        return Msg("Measure panel {letter}: width at top and bottom.", letter=name)
    return Msg(
        "Read track, sill and head at both axles and both stiles of panel {letter}.", letter=name
    )


def plan_words(plan: RollerPlan) -> "list[Msg]":
    """Return one line for each roller that is turned."""
    return [move_words(move) for move in plan.moves]


def move_words(move: RollerTurn) -> Msg:
    """Return which roller goes which way, how far, and how many turns; or which shims."""
    params = {"letter": move.letter, "rise": fine(abs(move.rise))}
    way = ("fixed" if move.fixed else "", move.rise > 0, move.side)
    if move.turns is not None and not move.fixed:
        params["turns"] = turns_of(move.turns)
        way = ("turns", move.rise > 0, move.side)
    return Msg(_MOVES[way].template, **params)


_MOVES = {
    ("", True, "left"): Msg("Panel {letter}: raise LEFT roller {rise}."),
    ("", True, "right"): Msg("Panel {letter}: raise RIGHT roller {rise}."),
    ("", False, "left"): Msg("Panel {letter}: lower LEFT roller {rise}."),
    ("", False, "right"): Msg("Panel {letter}: lower RIGHT roller {rise}."),
    ("turns", True, "left"): Msg("Panel {letter}: raise LEFT {rise}, {turns}."),
    ("turns", True, "right"): Msg("Panel {letter}: raise RIGHT {rise}, {turns}."),
    ("turns", False, "left"): Msg("Panel {letter}: lower LEFT {rise}, {turns}."),
    ("turns", False, "right"): Msg("Panel {letter}: lower RIGHT {rise}, {turns}."),
    ("fixed", True, "left"): Msg("Panel {letter}: shim its LEFT end up {rise}."),
    ("fixed", True, "right"): Msg("Panel {letter}: shim its RIGHT end up {rise}."),
    ("fixed", False, "left"): Msg("Panel {letter}: shim its LEFT end down {rise}."),
    ("fixed", False, "right"): Msg("Panel {letter}: shim its RIGHT end down {rise}."),
}


def turns_of(turns: "tuple[int, int]") -> Msg:
    """Return turns of a screw, (steps, steps a turn), in words.

    Such as "1 1/2 turns" for (6, 4), "3/8 of a turn" for (3, 8).
    """
    if abs(turns[0]) * 4 % turns[1] == 0:
        return turn_words(abs(turns[0]) * 4 // turns[1])
    return Msg("{turns} of a turn", turns=turns_in_figures(turns))


def turns_in_figures(turns: "tuple[int, int]") -> str:
    """Return turns of a screw, (steps, steps a turn), as a mixed number.

    Example: turns_in_figures((-6, 4)) -> "1 1/2"
    """
    steps, parts = abs(turns[0]), turns[1]
    while parts > 1 and steps % 2 == 0:
        steps //= 2
        parts //= 2
    whole, rest = steps // parts, steps % parts
    part = str(rest) + "/" + str(parts) if rest else ""
    return " ".join([one for one in (str(whole) if whole or not rest else "", part) if one])


def change_words(change: Change) -> Msg:
    """Return the change of a jamb's head or of a fixed panel's shims."""
    size = fine(abs(change.by))
    if change.kind == HEAD:
        to_right = change.by > 0
        if change.name == "left":
            if to_right:
                return Msg("Move the head of the LEFT jamb {size} to the right.", size=size)
            return Msg("Move the head of the LEFT jamb {size} to the left.", size=size)
        if to_right:
            return Msg("Move the head of the RIGHT jamb {size} to the right.", size=size)
        return Msg("Move the head of the RIGHT jamb {size} to the left.", size=size)
    if change.by > 0:
        return Msg(
            "Shim panel {letter} {size} higher at its RIGHT end.", letter=change.name, size=size
        )
    return Msg("Shim panel {letter} {size} higher at its LEFT end.", letter=change.name, size=size)


def remedy_words(found: Outlook) -> "list[Msg]":
    """Return what to do: the least change first where one is due, else what to turn."""
    if found.changes and found.mended is not None:
        return [change_words(change) for change in found.changes] + plan_words(found.mended)
    return [] if found.short else plan_words(found.plan)


def gap_words(number: int, door: Door) -> Msg:
    """Return where a gap is, counted from 0 at the left jamb."""
    if number == 0:
        return Msg("LEFT jamb")
    if number == len(door.panels):
        return Msg("RIGHT jamb")
    left, right = door.panels[number - 1].letter, door.panels[number].letter
    return Msg("Between {left} and {right}", left=left, right=right)


def taper_words(taper: Taper, door: Door) -> Msg:
    """Return where a gap is and how it tapers, for a list."""
    size = fine(half_up(abs(taper.num), taper.den))
    where = gap_words(taper.number, door)
    if taper.num == 0:
        return Msg("{where}: even", where=where)
    if taper.num > 0:
        return Msg("{where}: {size} wider at top", where=where, size=size)
    return Msg("{where}: {size} wider at bottom", where=where, size=size)


def notes(door: Door) -> "list[Msg]":
    """Return what was taken for given, and what the drawing leaves open."""
    out = [
        Msg(
            "Panel {letter} has {count} rollers: the outer two count. Back the middle ones off"
            " first, load them last.",
            letter=panel.letter,
            count=len(panel.axles),
        )
        for panel in door.panels
        if len(panel.axles) > 2
    ]
    silent = [
        (door.drawn.clearance[0] is None and door.drawn.clearance[1] is None, Msg("clearance")),
        (door.drawn.engagement is None, Msg("head engagement")),
        (door.drawn.pocket is None, Msg("lift play")),
    ]
    open_ones = [words for missing, words in silent if missing]
    if open_ones:
        out.append(Msg("The drawing is silent: {what}. Ask the office.", what=open_ones))
    out.extend(
        [
            Msg("Nobody read the head over panel {letter}: engagement is unsure.", letter=p.letter)
            for p in door.panels
            if not p.lip.xs
        ]
    )
    meets = any([gap.kind == MEETING for gap in door.gaps])
    if meets and door.drawn.plumb is None:
        out.append(Msg("No limit is given for the plumb of the meeting leads."))
    return out


def cautions() -> "list[Msg]":
    """Return what goes with every turn of a roller."""
    return [
        Msg("Weight off the roller, hand tool only. Measure one trial turn first."),
        Msg("After the last turn, measure again: engagement, lift play, stops, anti-lift."),
        Msg("Assumed: rigid panels, two axles, straight track between stations."),
    ]
