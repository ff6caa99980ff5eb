"""Crew and aids for a panel: what guidance holds against carrying it by hand.

Masses in 1e-11 kg. Guidance refuses; nothing here approves a lift.
Source: HSE guidance on the Manual Handling Operations Regulations (L23), guideline
weights and team handling, as public pages restate it.
"""

from app.core.errors import InputError
from app.core.quantity.messages import Msg, Qty
from app.core.quantity.units import KILOGRAM
from app.core.trade.finding import INFORMATION, Finding
from app.core.trade.verdicts import OUT

TEAM_MOST = 4  # more are unlikely to work well together (restated)
# (height of the hands, men near, men far, women near, women far), kg (restated)
GUIDE = (
    ("shoulder", 10, 5, 7, 3),
    ("elbow", 20, 10, 13, 7),
    ("knuckle", 25, 15, 16, 10),
    ("leg", 20, 10, 13, 7),
    ("floor", 10, 5, 7, 3),
)
EACH = 20 * KILOGRAM  # a man, hands at elbow height, close to the body


def guideline_mass(height: str, reach: str, who: str) -> int:
    """Return the guideline mass for one person, 1e-11 kg.

    height: "shoulder" (above it), "elbow" (up to the shoulder), "knuckle" (up to the
            elbow), "leg" (up to the knuckles), "floor" (below mid lower leg).
    reach:  "near" or "far" (arm's length). who: "man" or "woman".
    Errors: InputError 'guide-unknown'.
    Example: guideline_mass("knuckle", "near", "man") -> 25 * KILOGRAM
    """
    columns = {"man near": 1, "man far": 2, "woman near": 3, "woman far": 4}
    column = columns.get(who + " " + reach)
    for row in GUIDE:
        if row[0] == height and column is not None:
            return int(row[column]) * KILOGRAM
    raise InputError("guide-unknown", Msg("The guidance has no such height, reach or person."))


# lifts a minute in tenths, up to -> per cent off (restated; between two rows the greater)
OFTEN = ((5, 0), (20, 30), (80, 50))
OFTEN_BEYOND = 80


def filtered_mass(mass: int, tenths: int, twist: int) -> int:
    """Return a guideline mass for lifts that come often or with a twist, rounded down.

    tenths:  lifts a minute, in tenths; twist: whole degrees of the trunk.
    Errors:  InputError 'guide-unknown' below zero or beyond 180 degrees.
    Source:  HSE (restated): 1 to 2 a minute 30 % off, 5 to 8 half, over 12 80 %; twist over
             45 degrees 10 %, over 90 20 %.
    Example: filtered_mass(20 * KILOGRAM, 10, 0) -> 14 * KILOGRAM (once a minute, no twist)
    """
    if tenths < 0 or not 0 <= twist <= 180:
        raise InputError("guide-unknown", Msg("The guidance has no such height, reach or person."))
    off = OFTEN_BEYOND
    for most, percent in reversed(OFTEN):
        if tenths <= most:
            off = percent
    turned = 20 if twist > 90 else 10 if twist > 45 else 0
    return mass * (100 - off) * (100 - turned) // 10000


def team_mass(each: "list[int]") -> int:
    """Return the guideline mass for a team from what each could lift alone, rounded down.

    Two: two thirds of the sum. Three: half of it. For four the guidance has no fraction:
    the fourth (the strongest) is not counted.
    Errors:  InputError 'team-size' for none, or more than four.
    Source:  HSE L23 (restated).
    Example: team_mass([20 * KILOGRAM, 20 * KILOGRAM]) -> 2666666666666 (26.67 kg)
    """
    if not 1 <= len(each) <= TEAM_MOST or min(each) < 0:
        raise InputError(
            "team-size",
            Msg("A team is one to {most} people; more get in each other's way.", most=TEAM_MOST),
        )
    if len(each) == 1:
        return each[0]
    if len(each) == 2:
        return sum(each) * 2 // 3
    return sum(sorted(each)[:3]) // 2


def fewest_people(mass: int, each: int = EACH) -> "int | None":
    """Return the fewest people whose guideline mass is not exceeded, None for no hand team.

    Errors:  InputError 'mass-needed' at or below zero.
    Example: fewest_people(25 * KILOGRAM) -> 2; fewest_people(111 * KILOGRAM) -> None
    """
    if mass <= 0 or each <= 0:
        raise InputError("mass-needed", Msg("Read the weight on the label first."))
    for count in (1, 2, 3):
        if mass <= team_mass([each] * count):
            return count
    return None


def in_short(mass: int) -> Msg:
    """Return crew and aid in a few words, for a row of a table; the cautions go with it.

    Errors:  InputError 'mass-needed'.
    Example: in_short(111 * KILOGRAM).template -> "a rated lifting aid: more than guidance gives
             any team of people"
    """
    count = fewest_people(mass)
    if count is None:
        return Msg("a rated lifting aid: more than guidance gives any team of people")
    if count == 1:
        return Msg("usual guidance: 2 people, for its size")
    return Msg("usual guidance: {count} people at least", count=count)


def judge_crew(mass: int, each: int = EACH) -> Finding:
    """Return whether a panel is beyond every hand team, and what guidance says else.

    each: guideline mass of one person. Never an approval: OUT or INFORMATION.
    Errors:  InputError 'mass-needed' at or below zero.
    Example: judge_crew(111 * KILOGRAM).verdict -> "out" (no hand team, a lifting aid)
    """
    count = fewest_people(mass, each)
    if count is not None:
        return Finding(INFORMATION, [_fits_words(mass, count, each)], cautions=lifting_cautions())
    return Finding(
        OUT,
        [
            Msg(
                "{mass}: more than usual guidance gives any team of people ({most}).",
                mass=Qty("mass", mass),
                most=Qty("mass", max([team_mass([each] * count) for count in (1, 2, 3, 4)])),
            )
        ],
        [
            Msg(
                "Use a lifting aid that is rated for it (vacuum lifter, hoist, panel cart), with a "
                "lift plan and a path kept clear."
            )
        ],
        lifting_cautions(),
    )


def _fits_words(mass: int, count: int, each: int) -> Msg:
    if count == 1:
        return Msg(
            "{mass}: guidance for one person is {most}.",
            mass=Qty("mass", mass),
            most=Qty("mass", each),
        )
    return Msg(
        "{mass}: guidance for {count} people is {most}, held at elbow height, close to the body.",
        mass=Qty("mass", mass),
        count=count,
        most=Qty("mass", team_mass([each] * count)),
    )


def lifting_cautions() -> "list[Msg]":
    """Return what every figure about lifting is shown with."""
    return [
        Msg(
            "Guidance may refuse a lift; it approves none. A panel is wide, catches wind and has "
            "poor holds. Whoever directs the lift decides crew and aids: a competent person, by "
            "local rules and the aid's own plate."
        ),
        Msg("Count the lites before lifting: a third one of 6 mm adds 15 kg a square metre."),
    ]


def one_pad_lost(mass: int, pad: int, pads: int) -> Finding:
    """Return whether a vacuum lifter still holds a panel with one pad lost.

    pad:     rated load of one pad; pads: how many are on the glass. Only what is left ABOVE
             the panel's mass counts: exactly its mass leaves nothing in hand.
    Errors:  InputError 'pads-needed' for no pad or no rated load, 'mass-needed'.
    Source:  the rule of one part lost (N - 1), common practice; the rated load is marked on
             lifter and pads (ASME B30.20 as required by WAC 296-155-56205, seen).
    Example: one_pad_lost(180 * KILOGRAM, 60 * KILOGRAM, 4).verdict -> "out" (180 kg are left)
    """
    if mass <= 0:
        raise InputError("mass-needed", Msg("Read the weight on the label first."))
    if pads <= 0 or pad <= 0:
        raise InputError("pads-needed", Msg("Read on the lifter how many pads, and their load."))
    left = pad * (pads - 1)
    says = [
        Msg(
            "One of {pads} pads lost: the others are rated for {left}, the panel is {mass}.",
            pads=pads,
            left=Qty("mass", left),
            mass=Qty("mass", mass),
        )
    ]
    if left <= mass:
        return Finding(
            OUT,
            says,
            [Msg("Do not lift with it: more pads, or a lifter that is rated for more.")],
            lifter_cautions(),
        )
    return Finding(INFORMATION, says, cautions=lifter_cautions())


def lifter_cautions() -> "list[Msg]":
    """Return the usual cautions with a vacuum lifter (ILO dock-work code 17.1; WAC, both seen)."""
    return [
        Msg(
            "The rated load on the lifter's plate wins, for the way it is used: a pad that holds a "
            "panel upright holds less than one on top of it. This page approves no lift."
        ),
        Msg(
            "Before and during every lift: clean dry glass, whole seals, gauge off its red mark, "
            "alarm working. Set it down at once when the vacuum falls. Nobody under it."
        ),
    ]
