"""What others publish for the same thing: information beside the drawing, never a verdict.

The rows are data: seed_data/calculations/published.json, each with its source and how far
that was seen.
"""

import json
from functools import cache
from typing import Any

from app.calculations.calculation import Answer, Calculation
from app.calculations.fields import choice, length, maybe, one
from app.calculations.limits import FOLDER
from app.core.checks.decide import per_length
from app.core.errors import InputError
from app.core.quantity.measure import parse_amount
from app.core.quantity.messages import Len, Msg

Given = dict[str, Any]


@cache
def rows() -> dict[str, dict[str, Any]]:
    """Return every row by its id."""
    return json.loads((FOLDER / "published.json").read_text(encoding="utf-8"))  # type: ignore[no-any-return]


def _nm(text: str) -> int:
    return parse_amount("length", text, "mm")


def limit_of(row: dict[str, Any], size: int | None) -> int:
    """Return what a row allows, nanometres; size: of the member, where it depends on that.

    Errors:  InputError 'length-needed' where the row goes by the length and none is given.
    """
    if "per" not in row and "steps" not in row:
        return _nm(row["most"])
    if not size:
        raise InputError("length-needed", Msg("Give the length or the distance."), field="length")
    if "per" in row:
        cap = _nm(row["cap"]) if "cap" in row else None
        return per_length(_nm(row["most"]), _nm(row["per"]), size, cap)
    return next(_nm(most) for end, most in row["steps"] if not end or size <= _nm(end))


def _published(given: Given) -> Answer:
    row = rows()[given["row"]]
    allowed = limit_of(row, given["length"])
    said = Msg(
        "{what}: {text}; here {limit} at most. Source: {source}.",
        what=row["what"],
        text=row["says"],
        limit=Len(allowed),
        source=row["source"],
    )
    caution = Msg(
        "For information: such limits accept a window or a building. A track wants less, and the "
        "drawing judges."
    )
    results = {"limit": allowed, "source": row["source"]}
    return Answer(results, says=[said], cautions=[caution])


CALCULATIONS = (
    Calculation(
        "published-limit",
        "What is published elsewhere for frames and openings: information, never a verdict",
        ("app.core.checks.decide.per_length",),
        (
            choice("row", "which row", *rows()),
            maybe(length("length", "of the member, where the limit goes by it")),
        ),
        (
            length("limit", "what the row allows"),
            one("source", "text", "where it stands, and how far that was seen"),
        ),
        "each row names its own (most are restated on public pages)",
        _published,
    ),
)
