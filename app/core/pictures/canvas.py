"""A sheet to draw on: collects shapes, whose numbers are whole user units.

A picture is 340 units wide and its text 13 units high, so that on a phone of
360 px text stands at 12 px or more. What people wrote may be anything: text is
cleared of characters that no XML may hold, the template escapes the rest.
"""

from app.core.kinds import Any, Json
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker

WIDTH = 340
LINE = 17  # from one line of text to the next
CLOSE = 15  # the same in a label of two lines or three
TENTHS_A_CHARACTER = 84  # a character's width, tenths of a unit, on the wide side


class Canvas:
    """Collects the shapes of one picture."""

    def __init__(self, speaker: Speaker, width: int = WIDTH) -> None:
        self.speaker = speaker
        self.width = width
        self.shapes: list[Json] = []

    def line(self, x1: int, y1: int, x2: int, y2: int, style: str) -> None:
        """Add a straight line."""
        self._add("line", style, x1=x1, y1=y1, x2=x2, y2=y2)

    def rect(self, x: int, y: int, width: int, height: int, style: str, round: int = 0) -> None:
        """Add a rectangle; a width or height below 1 becomes 1, so that it shows."""
        self._add("rect", style, x=x, y=y, width=max(width, 1), height=max(height, 1), round=round)

    def circle(self, x: int, y: int, radius: int, style: str) -> None:
        """Add a circle."""
        self._add("circle", style, x=x, y=y, radius=radius)

    def polyline(self, points: "list[tuple[int, int]]", style: str) -> None:
        """Add lines from point to point."""
        text = " ".join([str(x) + "," + str(y) for x, y in points])
        self._add("polyline", style, points=text)

    def path(self, points: "list[tuple[int, int]]", style: str) -> None:
        """Add a closed area."""
        text = " L".join([str(x) + " " + str(y) for x, y in points])
        self._add("path", style, d="M" + text + " Z")

    def paths(self, lines: "list[list[tuple[int, int]]]", style: str, closed: bool = False) -> None:
        """Add several lines, or closed areas, of one look as one shape; nothing for none."""
        if lines:
            texts = ["M" + " ".join([str(x) + " " + str(y) for x, y in line]) for line in lines]
            self._add("path", style, d="".join([text + ("Z" if closed else "") for text in texts]))

    def text(
        self, x: int, y: int, thing: Any, style: str = "p-text", anchor: str = "middle"
    ) -> None:
        """Add a line of text; y is its baseline. anchor: start, middle or end."""
        text = clean_text(self.speaker.say(thing))
        self._add("text", style, x=x, y=y, text=text, anchor=anchor, turn="")

    def lines(
        self, y: int, thing: Any, style: str = "p-text", x: int = WIDTH // 2, anchor: str = "middle"
    ) -> int:
        """Add a sentence on as many lines as it takes; return the y below them.

        y is the top of the first line. anchor "middle" or "start".
        """
        room = self.width - x if anchor == "start" else self.width
        for text in wrapped_lines(
            clean_text(self.speaker.say(thing)), room * 10 // TENTHS_A_CHARACTER
        ):
            self.text(x, y + 13, text, style, anchor)
            y += LINE
        return y

    def beside(
        self, x: int, y: int, foot: int, texts: "list[str]", style: str, anchor: str = "middle"
    ) -> None:
        """Add short texts under each other.

        y is the baseline of the first, or higher, so that the last is not below foot.
        """
        y = min(y, foot - (len(texts) - 1) * CLOSE)
        for text in texts:
            self.text(x, y, text, style, anchor)
            y += CLOSE

    def broken(self, thing: Any, most: int) -> "list[str]":
        """Return a text in lines of at most so many characters, first broken at its brackets."""
        text = clean_text(self.speaker.say(thing))
        if len(text) <= most:
            return [text]
        before, _, inside = text.partition(" (")
        return wrapped_lines(before, most) + (wrapped_lines("(" + inside, most) if inside else [])

    def upright(
        self, x: int, y: int, thing: Any, style: str = "p-text", anchor: str = "end"
    ) -> None:
        """Add text that reads upward, centred on x: hung below y, or standing on it ("start")."""
        turn = "rotate(-90 " + str(x + 4) + " " + str(y) + ")"
        text = clean_text(self.speaker.say(thing))
        self._add("text", style, x=x + 4, y=y, text=text, anchor=anchor, turn=turn)

    def arrow(self, x1: int, x2: int, y: int, style: str = "p-arrow") -> None:
        """Add a level arrow from x1 to x2."""
        back = -5 if x2 > x1 else 5
        self.line(x1, y, x2, y, style)
        self.polyline([(x2 + back, y - 4), (x2, y), (x2 + back, y + 4)], style)

    def row(
        self, y: int, items: "list[tuple[int, Any]]", style: str = "p-dim", above: bool = False
    ) -> int:
        """Add labels under their places (or above them) and return the y below the labels.

        Side by side where they fit, else reading upward; where even that is too close,
        some are left out (the first and the last stay).
        """
        said = [(x, clean_text(self.speaker.say(thing))) for x, thing in items]
        if not said:
            return y
        if self._fits(said):
            for x, text in said:
                self.text(self._kept_in(x, text), y + 13, text, style)
            return y + LINE
        kept = spread_items(said, 14)
        end = y + 6 + max([label_width(text) for _, text in kept])
        for x, text in kept:
            if above:
                self.upright(x, end - 3, text, style, "start")
            else:
                self.upright(x, y + 2, text, style)
        return end

    def _fits(self, said: "list[tuple[int, str]]") -> bool:
        end = -100
        for x, text in said:
            half = label_width(text) // 2
            middle = self._kept_in(x, text)
            if middle - half < end + 6:
                return False
            end = middle + half
        return True

    def _kept_in(self, x: int, text: str) -> int:
        """Return where the middle of a label may stand so that none of it is cut off."""
        half = label_width(text) // 2 + 1
        return min(max(x, half), self.width - half)

    def legend(self, y: int, entries: "list[tuple[str, Msg]]") -> int:
        """Add lines of "sign: words" and return the y below them. Signs: see _sign."""
        for style, words in entries:
            self._sign(style, 14, y + 9)
            y = self.lines(y, words, "p-text", 30, "start")
        return y

    def _sign(self, style: str, x: int, y: int) -> None:
        if style in ("p-bead", "p-datum", "p-floor", "p-water"):
            self.line(x - 9, y, x + 9, y, style)
        elif style == "p-anchor":
            self.anchor(x, y)
        elif style == "p-weep":
            self.weep(x, y - 4)
        elif style == "p-number":
            self.circle(x, y, 7, style)
        else:
            self.rect(x - 7, y - 5, 14, 10, style)

    def anchor(self, x: int, y: int, radius: int = 5) -> None:
        """Add the sign of an anchor: a ring with a cross."""
        self.circle(x, y, radius, "p-anchor")
        self.line(x - radius, y, x + radius, y, "p-anchor")
        self.line(x, y - radius, x, y + radius, "p-anchor")

    def weep(self, x: int, y: int) -> None:
        """Add the sign of a weep: a drop's way out, pointing down."""
        self.path([(x - 5, y), (x + 5, y), (x, y + 9)], "p-weep")

    def picture(self, height: int, title: Msg, description: "Msg | str") -> Json:
        """Return the picture as plain data for the template."""
        return {
            "title": clean_text(self.speaker.say(title)),
            "description": clean_text(self.speaker.say(description)),
            "width": self.width,
            "height": height,
            "shapes": self.shapes,
        }

    def _add(self, kind: str, style: str, **values: Any) -> None:
        shape: Json = {"kind": kind, "class": style}
        shape.update(values)
        self.shapes.append(shape)


def clean_text(text: str) -> str:
    """Return the text with what no XML document may hold replaced by a space."""
    if text not in _CLEANED:
        if len(_CLEANED) >= MOST_CLEANED:
            _CLEANED.clear()
        _CLEANED[text] = "".join([mark if _is_printable(ord(mark)) else " " for mark in text])
    return _CLEANED[text]


MOST_CLEANED = 1000
_CLEANED: "dict[str, str]" = {}  # a door's pictures have the same labels again and again


def _is_printable(code: int) -> bool:
    if code < 0x20 or 0x7F <= code < 0xA0:
        return False
    return not 0xD800 <= code <= 0xDFFF and code & 0xFFFE != 0xFFFE


def label_width(text: str) -> int:
    """Return about how wide a label is, user units."""
    return (len(text) * TENTHS_A_CHARACTER + 9) // 10


def wrapped_lines(text: str, most: int) -> "list[str]":
    """Return the text in lines of at most so many characters, broken at spaces.

    A single word that is longer keeps a line of its own.
    """
    out: list[str] = []
    line = ""
    for word in text.split(" "):
        if line and len(line) + 1 + len(word) > most:
            out.append(line)
            line = word
        else:
            line = line + " " + word if line else word
    out.append(line)
    return out


def spread_items(items: "list[tuple[int, str]]", least: int) -> "list[tuple[int, str]]":
    """Return the items that stand at least so far apart; the first and the last stay."""
    last = items[-1]
    kept: list[tuple[int, str]] = []
    for item in items[:-1]:
        if (not kept or item[0] - kept[-1][0] >= least) and last[0] - item[0] >= least:
            kept.append(item)
    return kept + [last]


def scaled_to(value: int, size: int, whole: int) -> int:
    """Return value as a part of whole, in a drawing size user units long, half up."""
    return (2 * value * size + whole) // (2 * whole)
