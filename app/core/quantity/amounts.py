"""Amounts with their units, read from the tokens of what a person typed."""

from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.core.quantity.typed import Typed

DENOMINATORS = (2, 4, 8, 16, 32, 64)
ORDINAL = ("th", "ths", "nd", "nds", "avo", "avos")  # 1/16th, 3/32nds, 5/16avos


class Amount:
    """An amount n / d with the unit that follows it ("" if none); fraction: written as one."""

    def __init__(self, n: int, d: int, fraction: bool, unit: str) -> None:
        self.n = n
        self.d = d
        self.fraction = fraction
        self.unit = unit


class Reader:
    """Walks over the tokens of a text that was scanned."""

    def __init__(self, typed: Typed) -> None:
        self.typed = typed
        self.at = 0

    def kind(self, ahead: int = 0) -> str:
        """Return the kind of the token at the cursor, or "" past the end."""
        at = self.at + ahead
        return self.typed.tokens[at][0] if at < len(self.typed.tokens) else ""

    def gap(self, ahead: int = 0) -> bool:
        """Return whether a space stands before a token; False past the end."""
        at = self.at + ahead
        return self.typed.tokens[at][2] if at < len(self.typed.tokens) else False

    def left(self) -> int:
        """Return how many tokens are still to be read."""
        return len(self.typed.tokens) - self.at

    def sign(self) -> int:
        """Return -1 and step over a leading minus, else 1."""
        if self.kind() != "-":
            return 1
        self.at += 1
        return -1

    def amounts(self) -> "list[Amount]":
        """Return amounts with their units, up to the end of the text."""
        out: list[Amount] = []
        while self.kind():
            if out and out[-1].unit and self.kind() == "-":
                self._even_dash()
            out.append(self._amount())
        if not out:
            raise self.typed.unreadable()
        return out

    def _even_dash(self) -> None:
        """Step over the dash of 7'-4": tight, or spaced alike on both sides."""
        if self.gap() != self.gap(1):
            raise self._unclear_minus()
        self.at += 1

    def _unclear_minus(self) -> InputError:
        return self.typed.error(
            "minus-ambiguous",
            Msg(
                "Is “{text}” a minus or a dash? Write it like {example}.",
            ),
        )

    def _amount(self) -> Amount:
        if self._fraction_starts(0):
            n, d = self._ordinal()
            return Amount(n, d, True, self._unit())
        if self.kind() != "number":
            raise self.typed.unreadable()
        n, d = self.typed.tokens[self.at][1]
        self.at += 1
        if self.kind() == "-" and self._fraction_starts(1):
            if self.gap() or self.gap(1):
                raise self._unclear_minus()
            self.at += 1
        if not self._fraction_starts(0):
            return Amount(n, d, False, self._unit())
        if d != 1:
            raise self.typed.unreadable()
        part, d = self._ordinal()
        return Amount(n * d + part, d, True, self._unit())

    def _fraction_starts(self, ahead: int) -> bool:
        kind = self.kind(ahead)
        return kind == "fraction" or (kind == "number" and self.kind(ahead + 1) == "/")

    def _ordinal(self) -> "tuple[int, int]":
        """Return a fraction, stepping over the ending of 1/16th."""
        fraction = self._fraction()
        if self.kind() == "word" and self.typed.tokens[self.at][1] in ORDINAL and not self.gap():
            self.at += 1
        return fraction

    def _fraction(self) -> "tuple[int, int]":
        if self.kind() == "fraction":
            self.at += 1
            ready: tuple[int, int] = self.typed.tokens[self.at - 1][1]
            return ready
        above = self.typed.tokens[self.at][1]
        if self.kind(2) != "number":
            raise self.typed.unreadable()
        below = self.typed.tokens[self.at + 2][1]
        self.at += 3
        if above[1] != 1 or below[1] != 1:
            raise self.typed.unreadable()
        return self._checked(above[0], below[0])

    def _checked(self, n: int, d: int) -> "tuple[int, int]":
        if d == 0:
            raise self.typed.error(
                "fraction-zero",
                Msg("Nothing can be divided by 0. Write it like {example}."),
            )
        if d not in DENOMINATORS:
            raise self.typed.error(
                "fraction-denominator",
                Msg(
                    "A tape has halves, quarters, 8ths, 16ths, 32nds and 64ths, not {n}/{d}. "
                    "Write it like {example}.",
                    n=str(n),
                    d=str(d),
                ),
            )
        if n >= d:
            # 11/8 is more often a lost space in "1 1/8" than eleven eighths
            raise self.typed.error(
                "fraction-improper",
                Msg(
                    "{n}/{d} is not less than one. Write the whole number first, like 1 3/8.",
                    n=str(n),
                    d=str(d),
                ),
            )
        return n, d

    def _unit(self) -> str:
        kind = self.kind()
        if kind == "word":
            return self._word()
        if kind == "'":
            double = self.kind(1) == "'" and not self.gap(1)
            self.at += 2 if double else 1
            return '"' if double else "'"
        if kind == '"':
            self.at += 1
            return '"'
        return ""

    def _word(self) -> str:
        word: str = self.typed.tokens[self.at][1]
        self.at += 1
        if word in ("°", "deg", "degree", "degrees") and self.kind() == "word":
            word += self.typed.tokens[self.at][1]
            self.at += 1
        return word
