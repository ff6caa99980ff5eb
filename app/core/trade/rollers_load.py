"""What a roller carries, and what stands on the sill where open panels stack.

Masses in 1e-11 kg, lengths in nanometres along the panel. All rollers of a panel run
on one track: positions are one number each.
"""

from app.core.errors import InputError
from app.core.quantity.messages import Len, Msg, Qty
from app.core.quantity.units import round_up
from app.core.trade import moving, weight
from app.core.trade.drawing import Drawing
from app.core.trade.finding import INFORMATION, Finding
from app.core.trade.verdicts import OUT


def roller_shares(mass: int, left: int, right: int) -> "tuple[int, int]":
    """Return what the left and the right of two rollers carry, rounded up.

    left, right: distance of each roller from the centre of mass.
    Errors:  InputError 'mass-needed', 'rollers-needed'.
    Source:  moments about the other roller: R = W b / (a + b).
    Example: roller_shares(180, 500, 700) -> (105, 75)
    """
    _check_mass(mass)
    if min(left, right) < 0 or left + right == 0:
        raise InputError("rollers-needed", Msg("The centre of mass must be between two rollers."))
    return round_up(mass * right, left + right), round_up(mass * left, left + right)


def greatest_roller_load(mass: int, positions: "list[int]", centre: int) -> int:
    """Return the most that any roller may carry while an uneven track touches only two.

    positions: of all rollers; centre: of the mass. A panel stands on two rollers, one each
             side; with three of four touching, two may still carry all.
    Errors:  InputError 'mass-needed', 'rollers-needed'.
    Source:  statics: the extreme of all distributions is at two rollers.
    Example: greatest_roller_load(180, [0, 1200], 500) -> 105
    """
    _check_mass(mass)
    before = [position for position in positions if position <= centre]
    behind = [position for position in positions if position >= centre]
    if not before or not behind or min(positions) == max(positions):
        raise InputError("rollers-needed", Msg("The centre of mass must be between two rollers."))
    if max(before) == centre:  # one roller right under it can carry all
        return mass
    lefts = roller_shares(mass, centre - max(before), max(behind) - centre)
    rights = roller_shares(mass, centre - min(before), min(behind) - centre)
    return max(lefts[0], rights[1])


def needed_rating(mass: int) -> int:
    """Return the rating that each roller of a panel needs, rounded up: half of the mass.

    However many rollers there are: on an uneven track two of them carry all.
    Errors:  InputError 'mass-needed'.
    Source:  two of four rollers, centre of mass half-way (statics).
    Example: needed_rating(180 * KILOGRAM) -> 90 * KILOGRAM
    """
    _check_mass(mass)
    return round_up(mass, 2)


def judge_rating(mass: int, rating: int, greatest_load: int = 0) -> Finding:
    """Return whether the rating of each roller is below what one may have to carry.

    greatest_load: of greatest_roller_load(), where positions are known; else half of the mass.
    Errors:  InputError 'mass-needed', 'rating-needed'.
    Example: judge_rating(180 * KILOGRAM, 80 * KILOGRAM).verdict -> "out" (90 kg)
    """
    if rating <= 0:
        raise InputError("rating-needed", Msg("Read what the rollers are rated for, each."))
    needed = max(needed_rating(mass), greatest_load)
    says = [
        Msg(
            "One roller may have to carry {needed} of {mass}: an uneven track lets only two touch.",
            needed=Qty("mass", needed),
            mass=Qty("mass", mass),
        )
    ]
    if rating < needed:
        return Finding(
            OUT,
            says,
            [
                Msg(
                    "Rated {rating}: too little. Ask the office before this panel is set.",
                    rating=Qty("mass", rating),
                )
            ],
        )
    return Finding(
        INFORMATION,
        says,
        cautions=[Msg("The maker's rating for the whole panel wins. See that every roller turns.")],
    )


def about_rollers(drawing: Drawing) -> "list[Msg]":
    """Return what a roller of the heaviest sliding panel may have to carry; [] without weights.

    Source: needed_rating(): three of four rollers may touch, or only two.
    Example: about_rollers(DOOR) -> []
    """
    heaviest, letter = 0, ""
    for data in drawing.data.get("panels", []):
        found = weight.of_panel(data)
        if found is not None and data["kind"] != "O" and found.mass > heaviest:
            heaviest, letter = found.mass, data["letter"]
    if not heaviest:
        return []
    return [
        Msg(
            "Rollers: on an uneven track two may carry a whole panel, one of panel {letter} then "
            "{load}. The maker's rating wins; see that every roller turns.",
            letter=letter,
            load=Qty("mass", needed_rating(heaviest)),
        )
    ]


STANDS = {
    "left": Msg("at the LEFT end"),
    "middle": Msg("at the fixed panel"),
    "right": Msg("at the RIGHT end"),
}


class Stack:
    """What stands in one place when the door is open.

    letters: left to right. mass: of all whose weight is known. unknown: letters of the others.
    """

    def __init__(self, letters: "list[str]", mass: int, unknown: "list[str]") -> None:
        self.letters = letters
        self.mass = mass
        self.unknown = unknown


def stack_loads(drawing: Drawing) -> "dict[str, Stack]":
    """Return what bears on the sill with the door open: see moving.stacked_panels().

    A weight that nothing gives is never guessed: its panel is in unknown.
    Source:  moving.stacked_panels() and weight.of_panel().
    Example: stack_loads(DOOR)["right"].unknown -> ["A", "B", "C", "D"]
    """
    masses = {data["letter"]: weight.of_panel(data) for data in drawing.data.get("panels", [])}
    out = {}
    for side, panels in moving.stacked_panels(drawing).items():
        letters = [panel.letter for panel in panels]
        found = [masses[letter] for letter in letters]
        known = sum([one.mass for one in found if one is not None])
        out[side] = Stack(letters, known, [one for one in letters if masses[one] is None])
    return out


def about_stacks(drawing: Drawing) -> "list[Msg]":
    """Return for each end with panels what bears there and how deep it stands; the way left.

    Example: len(about_stacks(DOOR)) -> 3
    """
    found = stack_loads(drawing)
    out = []
    for side in ("left", "middle", "right"):
        stack = found[side]
        if stack.letters:
            out.append(_bears_words(stack, STANDS[side]))
            out.extend(_depth_words(drawing, side))
    clear = Len(moving.clear_way(drawing), "place")
    out.append(Msg("Open, {clear} of way is left, less handles and stops.", clear=clear))
    return out


def _depth_words(drawing: Drawing, side: str) -> "list[Msg]":
    if side == "middle":
        taken = sum([high - low for low, high in moving.open_spans(drawing)])
        depth = Len(taken, "place")
        return [Msg("The stack takes {depth} of the way.", depth=depth)]
    end = Msg("LEFT") if side == "left" else Msg("RIGHT")
    standing = [panel for panel in moving.stacked_panels(drawing)[side] if not panel.pocketed]
    inside = moving.pocketed_panels(drawing, side)
    out = []
    if standing:
        depth = Len(moving.stack_depth(standing), "place")
        out.append(Msg("The stack at the {end} end is {depth} deep.", end=end, depth=depth))
    if inside:
        out.append(
            Msg(
                "{letters} go into the pocket at the {end} end: {depth} of depth at least. "
                "It is closed only after each has run its whole depth.",
                letters=[panel.letter for panel in inside],
                end=end,
                depth=Len(moving.stack_depth(inside), "place"),
            )
        )
    return out


def _bears_words(stack: Stack, where: Msg) -> Msg:
    if stack.unknown:
        return Msg(
            "Open, {letters} stand {where}; weight not known: {unknown}.",
            letters=stack.letters,
            where=where,
            unknown=stack.unknown,
        )
    return Msg(
        "Open, {letters} stand {where}: {mass} bear there.",
        letters=stack.letters,
        where=where,
        mass=Qty("mass", stack.mass),
    )


def _check_mass(mass: int) -> None:
    if mass <= 0:
        raise InputError("mass-needed", Msg("Read the weight on the label first."))
