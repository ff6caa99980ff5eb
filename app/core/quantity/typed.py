"""What a person typed, cut into tokens: numbers, fractions, words and marks.

Small scanners instead of regular expressions: the phone's interpreter knows
only some of those, and takes other digits for digits where this one does not.
"""

from app.core.errors import InputError
from app.core.kinds import Any
from app.core.quantity.messages import Msg
from app.core.quantity.units import BARE, EXAMPLES, NAMES, QUANTITIES, UNITS

LONGEST = 64
DIGITS = "0123456789"
LETTERS = "abcdefghijklmnopqrstuvwxyz"
UPPER = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
MARKS = "./,-+'\":%° "
# a reading a little over, or under, the mark that is named
STRONG = ("strong", "heavy", "plus", "fuerte", "mas")
LIGHT = ("light", "minus", "ligero", "escaso", "menos")
VULGAR = {
    "½": (1, 2),
    "¼": (1, 4),
    "¾": (3, 4),
    "⅛": (1, 8),
    "⅜": (3, 8),
    "⅝": (5, 8),
    "⅞": (7, 8),
}


def _fold_table() -> "dict[str, str]":
    table = {}
    for plain, others in (
        (" ", "\t\u00a0\u2002\u2003\u2007\u2008\u2009\u200a\u202f\u3000"),
        ("'", "\u2018\u2019\u201b\u2032\u02b9\u02bc\u00b4`\uff07"),
        ('"', "\u201c\u201d\u201f\u2033\u02ba\uff02"),
        ("-", "\u2010\u2011\u2012\u2013\u2014\u2212\uff0d"),
        ("/", "\u2044\u2215\uff0f"),
        ("+", "\uff0b"),
        (".", "\uff0e"),
        (",", "\uff0c"),
        ("°", "\u00ba"),
        ("a", "áÁ"),
        ("i", "íÍ"),
    ):
        for other in others:
            table[other] = plain
    table.update(zip(UPPER, LETTERS))
    # full-width digits, as some keyboards give them
    table.update([(chr(0xFF10 + k), digit) for k, digit in enumerate(DIGITS)])
    table.update([(same, same) for same in DIGITS + LETTERS + MARKS + "½¼¾⅛⅜⅝⅞"])
    return table


FOLD = _fold_table()


class Typed:
    """The text at a field, with what it should be: quantity and the units of bare numbers."""

    def __init__(self, quantity: str, text: str, units: str) -> None:
        self.quantity = quantity
        self.text = text
        self.units = units
        self.example = EXAMPLES[quantity][1 if units == "mm" else 0]
        self.tokens: list[tuple[str, Any, bool]] = []

    def error(self, code: str, message: Msg) -> InputError:
        """Return the refusal; its words may hold {text}, {what} and {example}."""
        message.params.update(text=self.text, what=NAMES[self.quantity], example=self.example)
        return InputError(code, message, quantity=self.quantity)

    def unreadable(self) -> InputError:
        """Return the refusal for text that follows no pattern."""
        return self.error(
            "unreadable",
            Msg(
                "“{text}” cannot be read as {what}. Write it like {example}.",
            ),
        )

    def factor(self, unit: str) -> int:
        """Return the base units in one unit; "" is what a bare number means here.

        Errors: InputError 'unit-wrong' (a unit of something else), 'unit-unknown'.
        """
        unit = unit or BARE[self.quantity][1 if self.units == "mm" else 0]
        size = UNITS[self.quantity].get(unit)
        if size is not None:
            return size
        for quantity in QUANTITIES:
            if unit in UNITS[quantity]:
                raise self.error(
                    "unit-wrong",
                    Msg(
                        "“{unit}” does not go with {what}. Write it like {example}.",
                        unit=unit,
                    ),
                )
        raise self.error(
            "unit-unknown",
            Msg("“{unit}” is not a unit. Write it like {example}.", unit=unit),
        )

    def scan(self) -> None:
        """Cut the text into tokens (kind, value, whether a space stands before it)."""
        chars = self._folded()
        at = 0
        gap = False
        while at < len(chars):
            if chars[at] == " ":
                gap = True
                at += 1
                continue
            kind, value, at = self._token(chars, at)
            self.tokens.append((kind, value, gap))
            gap = False
        if not self.tokens:
            raise self.error("empty", Msg("Nothing is written here. Write it like {example}."))

    def strength(self) -> int:
        """Take "+", "-", "strong", "light" and the like off the end; return 1, -1 or 0.

        A bare "-" counts only right after a fraction or the inch mark: elsewhere it is a dash
        after which something is missing.
        """
        kind, value, gap = self.tokens[-1]
        over = kind == "+" or (kind == "word" and value in STRONG)
        under = kind == "word" and value in LIGHT
        if kind == "-" and not gap:
            under = self._ends_in_fraction(len(self.tokens) - 2)
        if over or under:
            self.tokens.pop()
            if not self.tokens:
                raise self.unreadable()
        return 1 if over else -1 if under else 0

    def _ends_in_fraction(self, at: int) -> bool:
        if at > 0 and self.tokens[at][0] == '"':
            at -= 1
        if at < 0:
            return False
        return self.tokens[at][0] == "fraction" or (at > 1 and self.tokens[at - 1][0] == "/")

    def minus(self) -> bool:
        """Return whether the text starts with a minus."""
        return self.tokens[0][0] == "-"

    def _folded(self) -> "list[str]":
        if len(self.text) > LONGEST:
            raise self.error(
                "too-long",
                Msg(
                    "That is longer than {most} characters. Write it like {example}.",
                    most=LONGEST,
                ),
            )
        out = []
        for char in self.text:
            if char not in FOLD:
                raise self.error(
                    "character-unknown",
                    Msg(
                        "There is a character here that does not belong in {what}. "
                        "Write it like {example}.",
                    ),
                )
            out.append(FOLD[char])
        return out

    def _token(self, chars: "list[str]", at: int) -> "tuple[str, Any, int]":
        char = chars[at]
        if char in VULGAR:
            return "fraction", VULGAR[char], at + 1
        if char in DIGITS or _decimals_at(chars, at):
            return self._number(chars, at)
        if char in LETTERS:
            end = _char_run(chars, at, LETTERS)
            word = "".join(chars[at:end])
            return "word", word, end + (1 if end < len(chars) and chars[end] == "." else 0)
        if char in "%°":
            return "word", char, at + 1
        return char, None, at + 1

    def _number(self, chars: "list[str]", at: int) -> "tuple[str, Any, int]":
        end = _char_run(chars, at, DIGITS)
        whole = "".join(chars[at:end])
        if not _decimals_at(chars, end):
            return "number", (int(whole), 1), end
        last = _char_run(chars, end + 1, DIGITS)
        rest = "".join(chars[end + 1 : last])
        if _decimals_at(chars, last):
            raise self.error(
                "separators",
                Msg(
                    "A number has one decimal point, and nothing between thousands. "
                    "Write it like {example}.",
                ),
            )
        if reads_two_ways(whole, chars[end], rest):
            raise self._two_ways(whole, rest)
        return "number", (int(whole + rest), 10 ** len(rest)), last

    def _two_ways(self, whole: str, rest: str) -> InputError:
        return self.error(
            "comma-ambiguous",
            Msg(
                "“{number}” can be read two ways. Write {point} or {thousands}.",
                number=whole + "," + rest,
                point=whole + "." + rest,
                thousands=whole + rest,
            ),
        )


def reads_two_ways(whole: str, mark: str, rest: str) -> bool:
    """Return whether a mark between digits may stand before decimals or between thousands.

    Example: reads_two_ways("1", ",", "250") -> True
    """
    return mark == "," and len(rest) == 3 and len(whole) < 4 and whole.strip("0") != ""


def _char_run(chars: "list[str]", at: int, allowed: str) -> int:
    while at < len(chars) and chars[at] in allowed:
        at += 1
    return at


def _decimals_at(chars: "list[str]", at: int) -> bool:
    """Return whether a point or comma with a digit after it stands here."""
    return at + 1 < len(chars) and chars[at] in ".," and chars[at + 1] in DIGITS
