"""Makes the question that a check of the core answers, without a job, a drawing or a record."""

from itertools import pairwise
from typing import Any

from app.core.checks.base import Ask, Outcome
from app.core.checks.index import load
from app.core.errors import InputError
from app.core.quantity.messages import Len, Msg, Plural
from app.core.trade.drawing import Drawing
from app.core.where.place import Place
from app.core.where.words import along_words, jamb_word

Pairs = list[tuple[Place, int]]


def drawing(**data: Any) -> Drawing:
    """Return a drawing with the lengths given (None: left open), shims, lock, panels.

    Example: drawing(frame_width=25400000).need("frame_width") -> 25400000
    """
    top: dict[str, Any] = {
        key: data.pop(key) for key in ("shims", "lock", "set_from", "panels") if key in data
    }
    if "shims" in top:
        top["shims"] = [str(size) for size in top["shims"] or []]
    lengths = {name: str(nm) for name, nm in data.items() if nm is not None}
    return Drawing({**top, "lengths": lengths})


def asked(
    name: str,
    inputs: dict[str, Pairs],
    limits: dict[str, int | None],
    settings: dict[str, Any] | None = None,
    made: Drawing | None = None,
) -> Ask:
    """Return the question: every place is measured. A limit of None is one not asked for."""
    _ = load(name)
    return Ask(
        {input: [place for place, _ in pairs] for input, pairs in inputs.items()},
        {input: {place.id: nm for place, nm in pairs} for input, pairs in inputs.items()},
        {limit: nm for limit, nm in limits.items() if nm is not None},
        {key: value for key, value in (settings or {}).items() if value is not None},
        made or drawing(),
    )


def judged(name: str, ask: Ask) -> Outcome:
    """Return what the check of this name finds."""
    return load(name)[0](ask)


def stations(given: dict[str, Any], values: str, at: str = "stations") -> Pairs:
    """Return (place, value) along the sill; the two lists must be of one length.

    Errors: InputError 'input-uneven', 'stations-order' where positions do not rise.
    """
    xs, heights = given[at], given[values]
    even(given, at, values)
    rising(at, xs)
    end = xs[-1]
    return [
        (Place(f"x{x}", along_words(x, end, drawing()), x), height)
        for x, height in zip(xs, heights, strict=True)
    ]


def even(given: dict[str, Any], one: str, other: str) -> None:
    """Refuse two lists of which each entry belongs to one of the other, and are not alike long."""
    if len(given[one]) != len(given[other]):
        raise InputError(
            "input-uneven",
            Plural(
                "“{one}” has {count} entry, “{other}” has {m}: each belongs to one.",
                "“{one}” has {count} entries, “{other}” has {m}: each belongs to one.",
            ).of(len(given[one]), one=one, other=other, m=len(given[other])),
            field=other,
        )


def rising(name: str, xs: list[int]) -> None:
    """Refuse positions that do not rise."""
    if any(left >= right for left, right in pairwise(xs)):
        raise InputError(
            "stations-order",
            Msg("“{name}” must rise from one to the next.", name=name),
            field=name,
        )


def up(jamb: str, ys: list[int], values: list[int], prefix: str) -> Pairs:
    """Return (place, value) up a jamb ("left", "right") or across the opening ("")."""
    return [
        (_height(jamb, y, prefix + str(i)), value)
        for i, (y, value) in enumerate(zip(ys, values, strict=True))
    ]


def _height(jamb: str, y: int, id: str) -> Place:
    if not jamb:
        return Place(id, Msg("{y} above sill", y=Len(y, "place")), y=y)
    title = Msg("{jamb}: {y} above sill", jamb=jamb_word(jamb, drawing()), y=Len(y, "place"))
    return Place(id, title, y=y)
