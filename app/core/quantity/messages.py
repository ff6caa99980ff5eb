"""Words with parameters, put together late.

The core never builds a sentence by gluing strings: it returns a Msg, which is
an English template with named holes. A Speaker (speaker.py) turns it into text for one
person: in their language, with lengths in their units. What people wrote is a
plain str parameter and passes through untouched.
"""

from app.core.kinds import Any


class Msg:
    """A translatable sentence: ``Msg("Pack {size}.", size=Len(4762500))``.

    context says what an English word means here that has several words in another language:
    ``Msg("no", context="number")``.
    """

    def __init__(self, template: str, context: Any = "", **params: Any) -> None:
        self.template = template
        self.context: str = context
        self.params = params

    def __repr__(self) -> str:
        return "Msg(" + repr(self.template) + ")"

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Msg)
            and key_of(self.context, self.template) == key_of(other.context, other.template)
            and self.params == other.params
        )

    def __hash__(self) -> int:
        return hash(self.template)


class Plural:
    """A sentence for one thing and for several: ``Plural("{count} turn", "{count} turns")``."""

    def __init__(self, one: str, many: str) -> None:
        self.one = one
        self.many = many

    def of(self, count: int, **params: Any) -> Msg:
        """Return the sentence for so many; both forms may have a hole {count}."""
        return Msg(self.one if count == 1 else self.many, count=count, **params)


def key_of(context: str, template: str) -> str:
    """Return what a catalog has a template under (as gettext's catalogs have it)."""
    return context + "\x04" + template if context else template


class Len:
    """A length in whole nanometres, to be shown in the person's units.

    style "size" shows 3/16" or 4.8 mm; style "place" shows 8 ft or 2438 mm; "most" and "least"
    show a limit, rounded to the safe side.
    grain is the step to round to, half up, in nanometres; None takes the usual one.
    """

    def __init__(self, nm: int, style: str = "size", grain: "int | None" = None) -> None:
        self.nm = nm
        self.style = style
        self.grain = grain

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Len) and (self.nm, self.style) == (other.nm, other.style)

    def __hash__(self) -> int:
        return hash(self.nm)


class Qty:
    """A value of any quantity of measure.py, in its base unit (whole)."""

    def __init__(self, quantity: str, value: int) -> None:
        self.quantity = quantity
        self.value = value

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Qty) and (self.quantity, self.value) == (
            other.quantity,
            other.value,
        )

    def __hash__(self) -> int:
        return hash(self.value)


class When:
    """A claimed wall time, ISO 8601, to be shown as people read it: "2 Mar 2026, 14:05"."""

    def __init__(self, at: str) -> None:
        self.at = at

    def __eq__(self, other: object) -> bool:
        return isinstance(other, When) and self.at == other.at

    def __hash__(self) -> int:
        return hash(self.at)
