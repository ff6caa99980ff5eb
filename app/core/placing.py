"""What compiled templates call: escaping, and the rules of what may be placed.

The phone's pages are templates compiled to Python (app/templating/compiler). There a name that the
context lacks raises KeyError where it is used; only a macro may be handed one unused, as Gone.
Everything raised here is a mistake in the program, never of a person: no AppError.
"""

from app.core.kinds import Any


class PlacingError(Exception):
    """A template, or what it was given, is not what the small language allows."""


class Gone:
    """What a macro was handed that is not there: whoever uses it gets a PlacingError."""

    def __init__(self, name: "str | int") -> None:
        self.name = name

    def _fail(self, *_: object) -> Any:
        raise PlacingError("there is no " + str(self.name))

    def __getitem__(self, name: object) -> Any:
        return self._fail()

    def __hash__(self) -> int:
        return hash(self._fail())

    __bool__ = __eq__ = __ne__ = __lt__ = __le__ = __gt__ = __ge__ = _fail
    __iter__ = __contains__ = __len__ = _fail


def get(thing: Any, name: "str | int") -> Any:
    """Return thing[name], to be handed to a macro; Gone where there is none.

    Errors:  PlacingError where the thing itself is Gone.
    Example: get({"a": 1}, "a") -> 1
    """
    try:
        return thing[name]
    except (KeyError, IndexError, TypeError):
        return Gone(name)


def each(things: Any) -> Any:
    """Return what a `for` goes over; a dict has no order that both interpreters share.

    Errors:  PlacingError for a dict.
    Example: each([1, 2]) -> [1, 2]
    """
    if isinstance(things, dict):
        raise PlacingError("a for goes over a list, not over a dict")
    return things


def shown(thing: Any) -> str:
    """Return text or a whole number as HTML.

    Errors:  PlacingError for anything else: None or a truth value on a page is a mistake.
    Source:  WHATWG HTML, 13.1.2 (what must be escaped in text and in quoted attributes); the
             five references are spelled as markupsafe spells them.
    Example: shown("<b>") -> "&lt;b&gt;"
    """
    if isinstance(thing, str):
        return escaped(thing)
    if isinstance(thing, int) and thing is not True and thing is not False:
        return str(thing)
    raise PlacingError("a template places text, not " + repr(thing)[:60])


# They turn round what stands after them, beyond the text that they are in (Unicode, UAX 9).
TURNING = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"


def in_one_direction(text: str) -> str:
    """Return text with the signs that turn its direction replaced.

    A name from right to left turns by itself; these would show "gpj.exe" as "exe.jpg".
    Example: in_one_direction("a\u202eb") -> "a\ufffdb"
    """
    for sign in TURNING:
        if sign in text:
            text = text.replace(sign, "\ufffd")
    return text


def escaped(text: str) -> str:
    """Return text with & < > " ' as references. Example: escaped("'") -> "&#39;"."""
    text = in_one_direction(text)
    text = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return text.replace('"', "&#34;").replace("'", "&#39;")
