"""Words with parameters, put together late.

The core never builds a sentence by gluing strings: it returns a Msg, which is
an English template with named holes. A Speaker turns it into text for one
person: in their language, with lengths in their units. What people wrote is a
plain str parameter and passes through untouched.
"""

from app.core.kinds import Any


class Msg:
    """A translatable sentence: ``Msg("Pack {size}.", size=Len(4762500))``."""

    def __init__(self, template: str, **params: Any) -> None:
        self.template = template
        self.params = params

    def __repr__(self) -> str:
        return "Msg(" + repr(self.template) + ")"

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Msg)
            and self.template == other.template
            and self.params == other.params
        )

    def __hash__(self) -> int:
        return hash(self.template)


class Len:
    """A length in whole nanometres, to be shown in the person's units.

    style "size" shows 3/16" or 4.8 mm; style "place" shows 8 ft or 2438 mm.
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


class Speaker:
    """Says a Msg in one language and one system of units.

    catalog maps English templates to the language's; a template that is not in
    it is said in English. units is "in" or "mm".
    """

    def __init__(self, catalog: "dict[str, str] | None" = None, units: str = "in") -> None:
        self.catalog = catalog or {}
        self.units = units

    def word(self, template: str) -> str:
        """Return the template in this language, holes and all."""
        return self.catalog.get(template, template)

    def say(self, thing: Any) -> str:
        """Return the text of a Msg, Len, Qty, list of them, int or plain str."""
        if isinstance(thing, Msg):
            return self.fill(self.word(thing.template), thing.params)
        if isinstance(thing, Len):
            return self.say_length(thing)
        if isinstance(thing, Qty):
            from app.core.measure import show

            return show(thing.quantity, thing.value, self.units)
        if isinstance(thing, (list, tuple)):
            return _listed([self.say(part) for part in thing])
        return str(thing)

    def say_length(self, length: Len) -> str:
        """Return a length in this person's units; a tiny size is "less than" what can be shown."""
        key = (length.nm, self.units, length.style, length.grain)
        if key not in _LENGTHS:
            if len(_LENGTHS) >= MOST_LENGTHS:
                _LENGTHS.clear()
            _LENGTHS[key] = self._length(length)
        template, grain = _LENGTHS[key]
        return self.say(Msg(template, size=Len(grain, grain=grain))) if grain else template

    def _length(self, length: Len) -> "tuple[str, int]":
        """Return a length's text and 0; a template and the grain where it is too small."""
        from app.core.measure import rounds_away, show_length

        grain = rounds_away(length.nm, self.units, length.style, length.grain)
        if grain and length.style == "size":
            return Msg("less than {size}").template, grain
        return show_length(length.nm, self.units, length.style, length.grain), 0

    def fill(self, template: str, params: "dict[str, Any]") -> str:
        """Return the template with each {name} replaced; a hole without a parameter stays."""
        out = []
        rest = template
        while rest:
            before, brace, after = rest.partition("{")
            out.append(before)
            if not brace:
                break
            name, end, rest = after.partition("}")
            if not end or name not in params:
                out.append("{" + name + end)
            else:
                out.append(self.say(params[name]))
        return "".join(out)


MOST_LENGTHS = 2000
# what was said already: a page names the same places and sizes many times
_LENGTHS: "dict[tuple[int, str, str, Any], tuple[str, int]]" = {}


def _listed(parts: "list[str]") -> str:
    """Return the parts as one list; where one of them has a comma, semicolons keep them apart."""
    mark = "; " if any([", " in part for part in parts]) else ", "
    return mark.join(parts)


class PseudoSpeaker(Speaker):
    """A language for tests: whatever went through translation stands in ⟦ ⟧."""

    def word(self, template: str) -> str:
        return "⟦" + template + "⟧"
