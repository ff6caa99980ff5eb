"""Limits as data: each with its value and its basis, from seed_data/calculations/limits.json.

No limit stands in Python. One that the file does not have must be given with the request:
the drawing has it, nobody else.
"""

import json
from functools import cache
from typing import Any

from app.calculations.fields import Field
from app.core.errors import InputError
from app.core.quantity.messages import Msg
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


def in_order(given: dict[str, Any]) -> None:
    """Refuse a least that is more than its most: nothing could be within.

    Errors: InputError 'limits-crossed'.
    """
    for name, least in given.items():
        most = given.get(name.removesuffix("least") + "most") if name.endswith("least") else None
        if least is not None and most is not None and least > most:
            raise InputError(
                "limits-crossed",
                Msg("“{name}” is more than the “most” beside it: nothing is within.", name=name),
                field=name,
            )
