"""Finds the words on a page that did not go through translation.

Give it a page made with PseudoSpeaker (app/core/quantity/messages.py), which puts whatever was
translated into ⟦ ⟧. What is left with letters in it is a mistake, unless it is

- inside an element with translate="no": what people wrote, or what the drawing calls things;
- an amount with the symbol of its unit, which is the same in every language: 9.5 mm;
- a name of PROPER, or one of the texts that the caller says people wrote (for the title of
  a page, where no element can stand around a part).
"""

import re
from functools import cache
from html.parser import HTMLParser

PROPER = ("Sillbook",)
OPEN, CLOSE = "⟦", "⟧"

ATTRIBUTES = (
    "alt", "aria-description", "aria-label", "aria-roledescription", "aria-valuetext", "label",
    "placeholder", "title",
)  # fmt: skip
BUTTONS = ("button", "submit", "reset")
UNREAD = ("script", "style", "template")
TYPED = ("textarea",)  # holds what a person typed
VOID = frozenset(
    "area base br col embed hr img input link meta source track wbr".split()  # noqa: SIM905
)
_AMOUNT = re.compile(
    r"\d[\d\s/.,]*\s?(?:mm|cm|m|ft|in|lb|lbf|kg|N|°F|°C|h|min|s|x)(?![^\W\d_])|°[FC](?![^\W\d_])"
)


def unmarked(html: str, data: tuple[str, ...] = ()) -> list[str]:
    """Return "line: <element>: text" for every visible text that was not translated.

    data: texts that people wrote and that stand where no element can mark them.
    """
    finder = _Finder(data)
    finder.feed(html)
    finder.close()
    return finder.found


def outside(text: str, depth: int = 0) -> tuple[str, int]:
    """Return what of a text stands outside ⟦ ⟧, and how deep inside them it ends."""
    kept = []
    for char in text:
        depth += (char == OPEN) - (char == CLOSE and depth > 0)
        kept.append(char if depth == 0 and char != CLOSE else " ")
    return "".join(kept), depth


def left_over(rest: str, data: tuple[str, ...] = ()) -> str:
    """Return what is left of a text without names, data and amounts; "" when no letter is."""
    if not any(char.isalpha() for char in rest):
        return ""  # so most texts end: they are looked at many thousand times
    rest = _AMOUNT.sub(" ", _written_by_people(data).sub(" ", rest))
    return " ".join(rest.split()) if any(char.isalpha() for char in rest) else ""


@cache
def _written_by_people(data: tuple[str, ...]) -> re.Pattern[str]:
    """Return what finds names and data, the longest first: one may begin with another."""
    known = sorted({*PROPER, *filter(None, data)}, key=len, reverse=True)
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, known))})(?!\w)")


class _Finder(HTMLParser):
    """Keeps, for each open element, its name and whether it is to be translated."""

    def __init__(self, data: tuple[str, ...]) -> None:
        super().__init__(convert_charrefs=True)
        self.data = data
        self.open: list[tuple[str, bool]] = []
        self.found: list[str] = []
        self.depth = 0  # in a picture a sentence may be broken into lines, each an element

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        translated = self._translated(given)
        if translated:
            self._attributes(tag, given)
        if tag not in VOID:
            self.open.append((tag, translated))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        names = [name for name, _ in self.open]
        if tag == "svg":
            self.depth = 0
        if tag in names:
            del self.open[len(names) - 1 - names[::-1].index(tag) :]

    def handle_data(self, data: str) -> None:
        tag, translated = self.open[-1] if self.open else ("", True)
        if translated and tag not in UNREAD and tag not in TYPED:
            drawn = any(name == "svg" for name, _ in self.open)
            rest, depth = outside(data, self.depth if drawn else 0)
            self.depth = depth if drawn else 0
            self._report(tag, rest)

    def _translated(self, given: dict[str, str]) -> bool:
        if "translate" in given:
            return given["translate"].lower() != "no"
        return self.open[-1][1] if self.open else True

    def _attributes(self, tag: str, given: dict[str, str]) -> None:
        for name in ATTRIBUTES:
            self._judge(f"{tag} {name}", given.get(name, ""))
        if tag == "input" and given.get("type") in BUTTONS:
            self._judge("input value", given.get("value", ""))
        if tag == "meta" and given.get("name") == "description":
            self._judge("meta description", given.get("content", ""))

    def _judge(self, where: str, text: str) -> None:
        self._report(where, outside(text)[0])

    def _report(self, where: str, text: str) -> None:
        rest = left_over(text, self.data)
        if rest:
            self.found.append(f"{self.getpos()[0]}: <{where}>: {rest}")
