"""Whether the door can be finished, how sure that is, and the least change that mends it.

A prediction carries its spread: what instruments may be off, and what nobody read. Rollers are
turned once the panels hang, so what a track hides does not bar a door: it makes a preset unsure.
"""

import math

from app.core.kinds import Any
from app.core.quantity.units import INCH, half_up
from app.core.trade.door_model.bounds import LEFT, RIGHT
from app.core.trade.door_model.chain import Bound, Node, cheapest_leans
from app.core.trade.door_model.door import Door, Gap, RigidPanel, spread_of_lean
from app.core.trade.door_model.plan import SPARE, Model, RollerPlan, plan_of
from app.core.trade.door_model.profile import Profile

CAN, CANNOT, CLOSE = "can", "cannot", "close"
HEAD, SHIM = "head", "shim"
STEP = INCH // 64  # jamb heads and shims are moved in 64ths
FARTHEST = INCH  # farther is no adjustment
TARGETS = (0.9, 0.8, 0.7, 0.5, 0.25, 0.0)  # shares to aim at, where the least change does not do


class Change:
    """A jamb's head moved, or a fixed panel shimmed anew.

    kind: HEAD of jamb `name` ("left", "right"), or SHIM under panel `name`. by: how far the
    head goes to the right, or how much higher the panel's right end comes; below zero the
    other way.
    """

    def __init__(self, kind: str, name: str, by: int) -> None:
        self.kind = kind
        self.name = name
        self.by = by


class Outlook:
    """What becomes of a door.

    answer: CAN, CANNOT, CLOSE. plan: see Plan. spreads: how unsure each of plan.tapers is,
    nanometres. short: [(letter, nm)] of panels whose bounds miss each other by so much.
    again: [(kind, name)] to read first: ("jamb", "left"), ("track", "B"), ("width", "B").
    unsure: letters of panels whose preset may miss a limit for want of readings.
    changes: the least change that mends the door, None where none was found or none is due.
    mended: the plan after it.
    """

    def __init__(self, answer: str, plan: RollerPlan) -> None:
        self.answer = answer
        self.plan = plan
        self.spreads: list[int] = []
        self.short: list[tuple[str, int]] = []
        self.again: list[tuple[str, str]] = []
        self.unsure: list[str] = []
        self.changes: list[Change] | None = None
        self.mended: RollerPlan | None = None


def outlook(door: Door, spare: float = SPARE) -> Outlook:
    """Return whether the door can be finished, with the plan and what else is to be done.

    spare: see plan.best_plan(). Errors: those of door.must_be_whole().
    """
    model = Model(door)
    plan = plan_of(model, spare)
    found = Outlook(_answer(model, plan), plan)
    found.spreads = [spread_of_taper(door, taper.number) for taper in plan.tapers]
    found.short = [
        (allowed.panel.letter, math.ceil(allowed.short))
        for allowed in model.allowed
        if allowed.short and not allowed.panel.held
    ]
    if found.answer == CLOSE:
        found.again = _to_read_again(model, plan)
    found.unsure = _unsure(door, plan, found.spreads)
    if not plan.within and not found.short:
        found.changes, found.mended = least_change(model, plan, spare)
    return found


def _answer(model: Model, plan: RollerPlan) -> str:
    for allowed in model.allowed:
        least, most = allowed.room(-1.0)
        if least > most and not allowed.panel.held:
            return CANNOT
    if plan.shares.lowest > 1:
        return CANNOT
    return CAN if plan.within and plan.shares.highest <= 1 else CLOSE


def spread_of_taper(door: Door, number: int) -> int:
    """Return how unsure a gap's predicted taper is, rounded up.

    From the tracks of its two panels or a jamb's two readings, and from the panels' widths; of
    a gap that was measured, what its own readings may be off.
    """
    gap = door.gaps[number]
    if gap.measured is not None:
        return gap.error
    total = 0.0
    for panel in door.panels[max(number - 1, 0) : number + 1]:
        total += panel.width_error / 2 + (0.0 if panel.held else spread_of_lean(door, panel))
    side = {0: 0, len(door.panels): 1}.get(number)
    if side is not None:
        jamb = door.jambs[side]
        total += 2 * jamb.error if jamb is not None else 0
    return math.ceil(total)


def _to_read_again(model: Model, plan: RollerPlan) -> "list[tuple[str, str]]":
    """Return what to read again: what the two things that bind were read from."""
    door = model.door
    out: list[tuple[str, str]] = []
    for node in (plan.shares.first, plan.shares.last):
        if node in (0, len(door.panels) + 1):
            out.append(("jamb", LEFT if node == 0 else RIGHT))
        elif not door.panels[node - 1].held:
            out.append(("track", door.panels[node - 1].letter))
    between = door.panels[max(plan.shares.first - 1, 0) : plan.shares.last]
    out.extend([("width", panel.letter) for panel in between if panel.width_error])
    return [one for k, one in enumerate(out) if one not in out[:k]]


def _unsure(door: Door, plan: RollerPlan, spreads: "list[int]") -> "list[str]":
    """Return the panels whose preset may miss a limit that their own track alone decides."""
    out: list[str] = []
    for taper, spread in zip(plan.tapers, spreads):
        if abs(taper.num) + spread * taper.den <= taper.limit * taper.den:
            continue
        for panel in door.panels[max(taper.number - 1, 0) : taper.number + 1]:
            unread = door.gaps[taper.number].measured is None and not panel.held
            if unread and panel.letter not in out:
                out.append(panel.letter)
    return out


def least_change(
    model: Model, plan: RollerPlan, spare: float = SPARE
) -> "tuple[list[Change] | None, RollerPlan | None]":
    """Return the least change of jamb heads and fixed panels' shims, and the plan after it.

    The same programme with those as unknowns: what heads and shims are moved in all is least.
    It aims at every limit, less the spread; where what a hand can set then misses one, lower.
    (None, None) where no change of these mends the door.
    """
    unsure = max(plan.shares.highest - plan.shares.share, 0.0)
    first = max(1.0 - unsure, 0.0)
    for target in (first,) + tuple([share for share in TARGETS if share < first]):
        changes = _changes(model, target)
        if not changes:
            continue
        mended = Model(changed_door(model.door, changes))
        after = plan_of(mended, spare)
        if after.within and after.shares.highest <= 1:
            return changes, after
    return None, None


def _changes(model: Model, share: float) -> "list[Change]":
    start = model.pieces[0][0]
    end = model.pieces[-1][1]
    nodes = [_free(model, k) for k in range(start, end + 1)]
    leans = cheapest_leans(nodes, model.ties[start:end], share)
    out = []
    for k, lean in zip(range(start, end + 1), leans):
        change = _change(model, k, lean)
        if change is not None and change.by:
            out.append(change)
    return out


def _free(model: Model, k: int) -> Node:
    """Return a node with its jamb's head or its shims free, and its rollers free of cost."""
    node = model.nodes[k]
    lever = _lever(model, k)
    if lever is None:
        bare = [(node.curve[0][0], 0.0), (node.curve[-1][0], 0.0)]
        return Node(node.name, node.lows, node.highs, bare)
    lean = node.curve[0][0]
    # the jamb of the lock was set first: the other one is moved, where it comes to the same
    dear = 1.01 if node.name == model.door.locks else 1.0
    far = FARTHEST / lever
    none: list[Bound] = []
    cost = FARTHEST * dear
    return Node(node.name, none, none, [(lean - far, cost), (lean, 0.0), (lean + far, cost)])


def _lever(model: Model, k: int) -> "float | None":
    """Return how far a jamb's head or a fixed panel's end moves per lean; None: rollers."""
    door = model.door
    if k in (0, len(door.panels) + 1):
        foot, head = jamb_ends(door, 0 if k == 0 else 1)
        return float(head - foot) / door.apart
    panel = door.panels[k - 1]
    return float(panel.apart) / door.apart if panel.held else None


def jamb_ends(door: Door, side: int) -> "tuple[int, int]":
    """Return the heights of a jamb's foot and head: of its lowest and highest reading."""
    jamb = door.jambs[side]
    if jamb is None or len(jamb.xs) < 2:
        return 0, door.high
    return jamb.xs[0], jamb.xs[-1]


def _change(model: Model, k: int, lean: float) -> "Change | None":
    """Return the change that brings node k to a lean, to the next 64th; None for rollers."""
    lever = _lever(model, k)
    if lever is None:
        return None
    by = (lean - model.nodes[k].curve[0][0]) * lever
    steps = int(abs(by) / STEP + 0.999)  # a thousandth of a step comes from floats
    size = steps * STEP if by > 0 else -steps * STEP
    if k in (0, len(model.door.panels) + 1):
        return Change(HEAD, LEFT if k == 0 else RIGHT, -size)
    return Change(SHIM, model.door.panels[k - 1].letter, size)


def changed_door(door: Door, changes: "list[Change]") -> Door:
    """Return the door as it stands after the changes; gaps that were measured move with them."""
    out = Door(list(door.panels), list(door.gaps), door.low, door.high)
    out.jambs, out.drawn, out.slope, out.locks = door.jambs, door.drawn, door.slope, door.locks
    for change in changes:
        if change.kind == HEAD:
            _move_head(out, 0 if change.name == LEFT else 1, change.by)
        else:
            _shim(out, change)
    return out


def _move_head(door: Door, side: int, by: int) -> None:
    foot, head = jamb_ends(door, side)
    before = door.jambs[side] or Profile([], [])
    xs = before.xs if len(before.xs) > 1 else [foot, head]
    ys = [
        half_up(n * (head - foot) + by * (y - foot) * d, d * (head - foot))
        for y, (n, d) in [(y, before.exact_height(y)) for y in xs]
    ]
    after = Profile(xs, ys, before.error)
    door.jambs = (after, door.jambs[1]) if side == 0 else (door.jambs[0], after)
    # to the right by `by` at the head: the taper of the left gap shrinks, of the right one grows
    moved = half_up(by * door.apart, head - foot)
    _shift_measured(door, 0 if side == 0 else len(door.panels), -moved if side == 0 else moved)


def _shim(door: Door, change: Change) -> None:
    letters = [panel.letter for panel in door.panels]
    k = letters.index(change.name)
    before = door.panels[k]
    left, right = before.extensions
    door.panels[k] = panel_at(before, (left - min(change.by, 0), right + max(change.by, 0)))
    leaning = half_up(change.by * door.apart, before.apart)
    if before.plumbed is not None:
        door.panels[k].plumbed = before.plumbed + leaning
    _shift_measured(door, k, -leaning)
    _shift_measured(door, k + 1, leaning)


def _shift_measured(door: Door, number: int, by: int) -> None:
    gap = door.gaps[number]
    if gap.measured is not None:
        door.gaps[number] = Gap(gap.kind, gap.most, gap.measured + by, gap.error)


def panel_at(panel: RigidPanel, extensions: "tuple[int, int]") -> RigidPanel:
    """Return the same panel with other extensions."""
    out = RigidPanel(panel.letter, panel.left, panel.width, panel.height, panel.axles)
    for name in _COPIED:
        setattr(out, name, getattr(panel, name))
    out.extensions = extensions
    return out


_COPIED = (
    "travel",
    "track",
    "sill",
    "lip",
    "slides",
    "wider",
    "racked",
    "width_error",
    "meets",
    "plumbed",
    "trial",
    "fixed",
    "fastened",
)


def turned_door(door: Door, plan: RollerPlan) -> Door:
    """Return the door with its rollers as the plan has them, nothing measured again."""
    panels = [panel_at(panel, ends) for panel, ends in zip(door.panels, plan.extensions)]
    for letter, num, den, _ in plan.plumbs:
        for panel in panels:
            if panel.letter == letter and panel.plumbed is not None:
                panel.plumbed = half_up(num, den)
    gaps = [Gap(gap.kind, gap.most) for gap in door.gaps]
    for taper in plan.tapers:
        old = door.gaps[taper.number]
        if old.measured is not None:
            tapers = half_up(taper.num, taper.den)
            gaps[taper.number] = Gap(old.kind, old.most, tapers, old.error)
    out = Door(panels, gaps, door.low, door.high)
    out.jambs, out.drawn, out.slope, out.locks = door.jambs, door.drawn, door.slope, door.locks
    return out


class Effect:
    """What one act moves: kind "taper" (name: the gap's number), "plumb", "clearance" or
    "engagement" (name: letter and side), by num / den nanometres."""

    def __init__(self, kind: str, name: Any, num: int, den: int) -> None:
        self.kind = kind
        self.name = name
        self.num = num
        self.den = den


def what_moves(door: Door, letter: str, side: str, rise: int) -> "list[Effect]":
    """Return everything that moves when a roller of a panel is raised by `rise`.

    Source:  the panel turns about its other axle: the lean by rise / distance of the axles, a
             stile's foot by its distance from that axle over that distance; the head with it.
    Errors:  InputError 'panel-unknown'.
    Such as the right roller raised 3/64 in, axles 36 in apart: the left gap's taper over 84 in
    goes down by 7/64.
    """
    panel = door.panel(letter)
    k = [one.letter for one in door.panels].index(letter)
    turn = rise if side == RIGHT else -rise
    out = []
    for number, sign in ((k, -1), (k + 1, 1)):
        if door.gaps[number].judged:
            out.append(Effect("taper", number, sign * turn * door.apart, panel.apart))
    if panel.meets and door.drawn.plumb is not None:
        out.append(Effect("plumb", (letter, panel.meets), turn * door.apart, panel.apart))
    for corner, at in ((LEFT, 0), (RIGHT, panel.width)):
        far = at - panel.first if side == RIGHT else panel.axles[-1] - at
        kinds = ("clearance", "engagement")
        out.extend([Effect(kind, (letter, corner), rise * far, panel.apart) for kind in kinds])
    return out
