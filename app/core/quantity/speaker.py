"""Says messages to one person: in their language, with amounts in their units."""

from app.core.kinds import Any
from app.core.quantity.measure import amount_shown, rounds_away, show_length
from app.core.quantity.messages import Len, Msg, Qty, When, key_of

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_MONTH_NUMBERS = ("01", "02", "03", "04", "05", "06", "07", "08", "09", "10", "11", "12")
# the catalogue of words is collected from literals inside Msg("…")
_COLLECTED = (
    Msg("Jan"), Msg("Feb"), Msg("Mar"), Msg("Apr"), Msg("May"), Msg("Jun"),
    Msg("Jul"), Msg("Aug"), Msg("Sep"), Msg("Oct"), Msg("Nov"), Msg("Dec"),
)  # fmt: skip


# each language that there is, in its own name; English is the program's own
LANGUAGES = (("en", "English"), ("es", "Español"))


class Speaker:
    """Says a Msg in one language and one system of units.

    catalog maps keys (see key_of) to the language's templates; what is not in it is
    said in English. units is "in" or "mm".
    """

    def __init__(self, catalog: "dict[str, str] | None" = None, units: str = "in") -> None:
        self.catalog = catalog or {}
        self.units = units

    def word(self, template: str, context: str = "") -> str:
        """Return the template in this language, holes and all."""
        return self.catalog.get(key_of(context, template), template)

    def say(self, thing: Any) -> str:
        """Return the text of a Msg, Len, Qty, When, list of them, int or plain str."""
        if isinstance(thing, Msg):
            return self.fill(self.word(thing.template, thing.context), thing.params)
        if isinstance(thing, Len):
            return self.say_length(thing)
        if isinstance(thing, Qty):
            return amount_shown(thing.quantity, thing.value, self.units)
        if isinstance(thing, When):
            return self._time(thing.at)
        if isinstance(thing, (list, tuple)):
            return _listed([self.say(part) for part in thing])
        return str(thing)

    def _time(self, at: str) -> str:
        """Return a claimed time, or a day, as people read it; as claimed where it is odd."""
        if (
            (len(at) != 10 and len(at) < 16)
            or at[4:5] != "-"
            or at[7:8] != "-"
            or at[5:7] not in _MONTH_NUMBERS
        ):
            return at
        month = self.word(MONTHS[_MONTH_NUMBERS.index(at[5:7])])
        day = at[8:10].lstrip("0") + " " + month + " " + at[:4]
        return day if len(at) == 10 else day + ", " + at[11:16]

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

    def word(self, template: str, context: str = "") -> str:  # noqa: ARG002  (as Speaker has it)
        return "⟦" + template + "⟧"
