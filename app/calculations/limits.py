"""Limits as data: each with its value and its basis, from seed_data/calculations/limits.json.

No limit stands in Python. One that the file does not have must be given with the request:
the drawing has it, nobody else.
"""

import json
from functools import cache

from app.calculations.fields import Field
from app.settings import SEED_DATA

FOLDER = SEED_DATA / "calculations"
DRAWING = "the drawing: there is no common value"


@cache
def _kept() -> dict[str, dict[str, dict[str, str]]]:
    return json.loads((FOLDER / "limits.json").read_text(encoding="utf-8"))  # type: ignore[no-any-return]


def limit(
    calculation: str, name: str, words: str, quantity: str = "length", **more: object
) -> Field:
    """Return a limit of a calculation, with its value and basis where the data have one."""
    kept = _kept().get(calculation, {}).get(name, {})
    more.setdefault("needed", "value" not in kept)
    return Field(
        name,
        quantity,
        words,
        start=kept.get("value"),
        basis=kept.get("basis", DRAWING),
        **more,  # type: ignore[arg-type]
    )
