"""Handling of panels: reasons to refuse a lift, never to approve one."""

from typing import Any

from app.calculations.calculation import Answer, Calculation, of_finding
from app.calculations.fields import Field, choice, group, length, maybe, one, some
from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.core.quantity.units import round_up
from app.core.trade import handling, lifting

Given = dict[str, Any]


def _crew(given: Given) -> Answer:
    each = given["each"] or handling.guideline_mass(given["height"], given["reach"], given["who"])
    found = handling.judge_crew(given["mass"], each)
    teams = [{"people": n, "most": handling.team_mass([each] * n)} for n in (1, 2, 3)]
    return of_finding(found, teams=teams)


def _team(given: Given) -> Answer:
    return Answer({"most": handling.team_mass(given["each"])}, cautions=handling.lifting_cautions())


def _often(given: Given) -> Answer:
    if given["minutes"] <= 0:
        raise InputError("minutes-none", Msg("“minutes” must be above zero."))
    tenths = round_up(10 * given["lifts"], given["minutes"])
    most = handling.filtered_mass(given["mass"], tenths, given["twist"])
    return Answer({"most": most}, cautions=handling.lifting_cautions())


def _vacuum(given: Given) -> Answer:
    pads = given["pads"]
    found = handling.one_pad_lost(given["mass"], given["pad"], pads)
    return of_finding(found, left=given["pad"] * (pads - 1))


def _lift(row: Given, given: Given) -> lifting.Lift:
    return lifting.Lift(
        row["away"],
        row["height"],
        given["travel"],
        row["turn"],
        lifting.lifts_a_minute(given["lifts"], 1, given["minutes"]),
        given["hold"],
        given["units"],
    )


def _one_person(given: Given) -> Answer:
    if not 1 <= len(given["ends"]) <= 2:
        raise InputError(
            "lift-ends", Msg("“ends” takes the start of the lift, and its end where it is guided.")
        )
    ends = [_lift(row, given) for row in given["ends"]]
    found = lifting.judge_lift(given["mass"], ends[0], ends[1] if len(ends) > 1 else None)
    rows = [
        {
            "formula": lifting.recommended_weight(end, lifting.lifting_multipliers(end)),
            "worksheet": lifting.recommended_weight(end, lifting.worksheet_multipliers(end)),
        }
        for end in ends
    ]
    return of_finding(found, ends=rows)


_END: tuple[Field, ...] = (
    length("away", "hands from the middle of the ankles"),
    length("height", "hands over the floor"),
    maybe(one("turn", "count", "whole degrees off straight ahead"), "0"),
)

CALCULATIONS = (
    Calculation(
        "team-lift",
        "What guidance holds against carrying a panel by hand",
        ("app.core.trade.handling.judge_crew", "app.core.trade.handling.guideline_mass"),
        (
            one("mass", "mass", "weight of the panel"),
            maybe(one("each", "mass", "guideline weight of one person")),
            maybe(
                choice("height", "height of the hands", *[row[0] for row in handling.GUIDE]),
                "elbow",
            ),
            maybe(choice("reach", "close to the body, or at arm's length", "near", "far"), "near"),
            maybe(choice("who", "guideline for", "man", "woman"), "man"),
        ),
        (
            group(
                "teams",
                "guideline for teams",
                one("people", "count", "how many"),
                one("most", "mass", "guideline weight"),
            ),
        ),
        "HSE guidance on manual handling, L23 (restated); it refuses, it approves nothing",
        _crew,
    ),
    Calculation(
        "team-most",
        "Guideline weight for a team of people who are not alike",
        ("app.core.trade.handling.team_mass",),
        (some("each", "mass", "what each could lift alone, by the guidance"),),
        (one("most", "mass", "guideline weight of the team"),),
        "HSE guidance on manual handling, L23 (restated): 2/3 for two, 1/2 for three",
        _team,
    ),
    Calculation(
        "lift-often",
        "Guideline weight for lifts that come often or with a twist",
        ("app.core.trade.handling.filtered_mass",),
        (
            one("mass", "mass", "guideline weight for one lift"),
            one("lifts", "count", "lifts"),
            maybe(one("minutes", "count", "in how many minutes"), "1"),
            maybe(one("twist", "count", "whole degrees of the trunk"), "0"),
        ),
        (one("most", "mass", "guideline weight"),),
        "HSE guidance on manual handling (restated): 30, 50, 80 % off by pace; 10, 20 % by twist",
        _often,
    ),
    Calculation(
        "lift-limit",
        "The revised lifting equation for one person: a reason to refuse, never to approve",
        ("app.core.trade.lifting.recommended_weight", "app.core.trade.lifting.judge_lift"),
        (
            one("mass", "mass", "the load"),
            length("travel", "how far up or down"),
            group("ends", "start of the lift; and its end, where the load is guided there", *_END),
            maybe(choice("hold", "hold; a panel's edge is poor", *sorted(lifting.HOLD)), "poor"),
            maybe(one("lifts", "count", "lifts"), "1"),
            maybe(one("minutes", "count", "in how many minutes"), "5"),
        ),
        (
            group(
                "ends",
                "recommended limit at each end",
                one("formula", "mass", "by the formula"),
                one("worksheet", "mass", "by the worksheet's rounded multipliers"),
            ),
        ),
        "NIOSH 94-110, revised 9/2021 (a public transcription, seen)",
        _one_person,
    ),
    Calculation(
        "vacuum-pads",
        "Whether a vacuum lifter still holds a panel with one pad lost",
        ("app.core.trade.handling.one_pad_lost",),
        (
            one("mass", "mass", "weight of the panel"),
            one("pad", "mass", "rated load of one pad"),
            one("pads", "count", "pads on the glass"),
        ),
        (one("left", "mass", "what the others are rated for"),),
        "one part lost (N - 1), common practice; rated load marked on lifter and pads, ASME B30.20",
        _vacuum,
    ),
)
