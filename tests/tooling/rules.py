"""What the tests of the rules share: the shipped procedure, calculations, a set-out in words."""

from typing import Any

from app.calculations.registry import find
from app.core.layout.setout import setout_of
from app.core.quantity.speaker import Speaker
from app.core.trade.drawing import Drawing
from tests.core import doors
from tests.procedures.demo_book import PROCEDURE

INCH = 25400000
STEPS = {step["id"]: step for step in PROCEDURE["steps"]}
CHECKS = {check["id"]: check for step in PROCEDURE["steps"] for check in step["checks"]}
POINTS = {point["id"]: point for step in PROCEDURE["steps"] for point in step["points"]}


def calc(name: str, **given: Any) -> dict[str, Any]:
    """Return the answer of a calculation."""
    return find(name).answer(given)


def words(found: dict[str, Any]) -> str:
    """Return all that an answer says."""
    return " ".join([*found["says"], *found["remedies"], *found["cautions"]])


def tasks(step: str) -> str:
    return " ".join(task["text"] for task in STEPS[step]["tasks"])


def cautions(step: str) -> str:
    return " ".join(STEPS[step]["cautions"])


def section(id_: str, made: Drawing | None = None) -> str:
    """Return all words of a section of a door's set-out."""
    found = next(one for one in setout_of(made or doors.four())["sections"] if one["id"] == id_)
    speaker = Speaker()
    rows = [speaker.say(cell) for row in found["rows"] for cell in row]
    return " ".join([*rows, *[speaker.say(w) for w in found["notes"] + found["cautions"]]])
