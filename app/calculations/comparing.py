"""Readings against each other and against the drawing: alike, the middle one of three forces."""

from typing import Any

from app.calculations.asking import Pairs, asked, judged
from app.calculations.calculation import Answer, Calculation, of_outcome
from app.calculations.fields import length, lengths, maybe, one, some
from app.calculations.limits import limit
from app.core.checks.decide import middle_of
from app.core.quantity.messages import Msg
from app.core.where.place import Place

Given = dict[str, Any]


def _read(given: Given) -> dict[str, Pairs]:
    """Return the readings, each named by its number."""
    return {
        "readings": [
            (Place(f"r{i}", Msg("reading {n}", n=i)), value)
            for i, value in enumerate(given["readings"], 1)
        ]
    }


def _alike(given: Given) -> Answer:
    ask = asked("alike", _read(given), {"most": given["most"]})
    read = given["readings"]
    return of_outcome(judged("alike", ask), least=min(read), greatest=max(read))


def _force(given: Given) -> Answer:
    if given["most"] is None:
        return Answer({"value": middle_of(given["readings"]), "over": 0})
    limits, settings = {"most": given["most"]}, {"quantity": "force"}
    ask = asked("middle-of-three", _read(given), limits, settings)
    return of_outcome(judged("middle-of-three", ask))


CALCULATIONS = (
    Calculation(
        "alike",
        "Whether reveals, widths, heights or overlaps are alike",
        ("app.core.checks.alike.alike",),
        (lengths("readings", "what was measured, at two places or more", least=2),),
        (
            length("value", "greatest less least"),
            length("over", "by how much it is out; 0 where it is not"),
            length("least", "the least reading"),
            length("greatest", "the greatest reading"),
        ),
        "arithmetic: greatest less least; the limit has a basis of its own",
        _alike,
        (limit("alike", "most", "greatest less least, most"),),
    ),
    Calculation(
        "sliding-force",
        "Force to start a panel or to keep it moving: the middle one of three counts",
        ("app.core.checks.middle.middle_of_three",),
        (some("readings", "force", "three readings, one way", least=3, most=3),),
        (
            one("value", "force", "the middle one"),
            one("over", "force", "by how much it is out; 0 where it is not"),
        ),
        "the median; the limit is the drawing's, never a class's (ASTM E2068, scope seen)",
        _force,
        (maybe(limit("sliding-force", "most", "force, most", "force")),),
    ),
)
