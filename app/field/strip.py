"""Takes out of Python sources what the phone does not need: docstrings, comments, types, space.

By the tokens' places, never by printing a tree anew: what is left is the source as written, line
for line, so that a traceback from the phone names the line of the source, and every version of
Python leaves the same bytes.
"""

import io
import keyword
import tokenize
from collections.abc import Iterator
from tokenize import TokenInfo

Place = tuple[int, int]  # line from 1, character from 0
Cut = tuple[Place, Place, str]  # from, to, what stands there instead

_LAYOUT = (tokenize.NL, tokenize.COMMENT)
_EDGES = (tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT, tokenize.ENCODING)
_OPEN, _CLOSE = ("(", "[", "{"), (")", "]", "}")
_QUOTES = ("'", '"')
_ENDS = ((":",), ("=", ",", ")"))  # what an annotation of the result, of a parameter, ends at
# From 3.12 on an f-string comes in pieces; here it is one, as it was before.
_PIECES_BEGIN = getattr(tokenize, "FSTRING_START", -1)
_PIECES_END = getattr(tokenize, "FSTRING_END", -1)


def stripped_source(source: str) -> str:
    """Return the source without docstrings, comments and annotations, with as many lines.

    A text that stands alone as a statement goes too. Errors: tokenize.TokenError, SyntaxError.
    """
    tokens = list(_whole_strings(tokenize.generate_tokens(io.StringIO(source).readline)))
    cuts = list(_comment_cuts(tokens))
    for statement, alone in _logical_lines(
        [token for token in tokens if token.type not in _LAYOUT]
    ):
        cuts += _of_statement(statement, alone)
    return _without_cuts(source, cuts)


def compact_source(source: str) -> str:
    """Return the source with each statement on its first line, without space that says nothing.

    The statement's other lines stay behind it, empty: what follows keeps its number. Errors: as
    stripped_source; ValueError for a text over several lines.
    """
    before = source.split("\n")
    lines = [""] * len(before)
    tokens = _whole_strings(tokenize.generate_tokens(io.StringIO(source).readline))
    for statement, _alone in _logical_lines([one for one in tokens if one.type not in _LAYOUT]):
        row, column = statement[0].start
        line = before[row - 1][:column]
        for token in statement:
            (top, left), (bottom, right) = token.start, token.end
            if top != bottom:
                raise ValueError("a source of the phone has a text over several lines")
            text = before[top - 1][left:right]
            line += " " * _needs_space(line[-1:], text[:1]) + text
        lines[row - 1] = line
    return "\n".join(lines)


def _needs_space(before: str, after: str) -> bool:
    """Return whether two tokens that end and begin so would read as one, or as another."""
    if before in _QUOTES:
        return after in _QUOTES
    return _is_of_name(before) and (_is_of_name(after) or after in _QUOTES)


def _is_of_name(char: str) -> bool:
    return char.isalnum() or char == "_"


def _whole_strings(tokens: Iterator[TokenInfo]) -> Iterator[TokenInfo]:
    """Give each f-string as one token."""
    depth, first = 0, None
    for token in tokens:
        if token.type == _PIECES_BEGIN:
            first = first if depth else token
            depth += 1
        if first is None:
            yield token
        if token.type == _PIECES_END:
            depth -= 1
            if not depth and first is not None:
                yield TokenInfo(tokenize.STRING, "f''", first.start, token.end, first.line)
                first = None


def _comment_cuts(tokens: list[TokenInfo]) -> Iterator[Cut]:
    for token in tokens:
        if token.type == tokenize.COMMENT:
            yield (token.start, token.end, "")


def _logical_lines(tokens: list[TokenInfo]) -> Iterator[tuple[list[TokenInfo], bool]]:
    """Yield each logical line, and whether it is the only one of its block."""
    begun, first = 0, False
    for at, token in enumerate(tokens):
        if token.type in _EDGES:
            if token.type == tokenize.NEWLINE and at > begun:
                yield tokens[begun:at], first and tokens[at + 1].type == tokenize.DEDENT
            begun, first = at + 1, token.type == tokenize.INDENT


def _of_statement(statement: list[TokenInfo], alone: bool) -> list[Cut]:
    """Return the cuts in one logical line."""
    if all(_is_text(token) for token in statement):
        return [(statement[0].start, statement[-1].end, "pass" if alone else "")]
    word = statement[0].string
    if word == "def" or (word == "async" and statement[1].string == "def"):
        return list(_of_function(statement))
    if keyword.iskeyword(word):
        return []
    return _of_variable(statement)


def _is_text(token: TokenInfo) -> bool:
    """Return whether a token is a string that holds no expressions."""
    prefix = token.string.partition('"')[0].partition("'")[0]
    return token.type == tokenize.STRING and "f" not in prefix.lower()


def _of_function(statement: list[TokenInfo]) -> Iterator[Cut]:
    """Annotations of parameters stand after a name that follows ( , * or **; then the result's."""
    depth = 0
    lambdas: list[int] = []  # the depths of those whose colon is still to come
    begun: tuple[Place, int] | None = None  # where an annotation begins, at which depth it ends
    for at, token in enumerate(statement):
        text = token.string
        if begun is not None and depth == begun[1] and text in _ENDS[depth]:
            yield (begun[0], statement[at - 1].end, "")
            begun = None
        if text in _OPEN:
            depth += 1
        elif text in _CLOSE:
            depth -= 1
        elif text == "lambda":
            lambdas.append(depth)
        elif text == "->" and depth == 0:
            begun = (statement[at - 1].end, 0)
        elif text == ":" and lambdas and lambdas[-1] == depth:
            lambdas.pop()
        elif text == ":" and depth == 1 and begun is None:
            begun = (statement[at - 1].end, 1)
        elif text == ":" and depth == 0:
            return


def _of_variable(statement: list[TokenInfo]) -> list[Cut]:
    """name: int = 3 loses its annotation; a name that is only annotated becomes `pass`."""
    colon = _first_outside(statement, ":")
    equals = _first_outside(statement, "=")
    if (
        colon is None
        or (equals is not None and equals < colon)
        or not _may_be_annotated(statement[:colon])
    ):
        return []
    if equals is None:
        return [(statement[0].start, statement[-1].end, "pass")]
    return [(statement[colon].start, statement[equals - 1].end, "")]


def _first_outside(statement: list[TokenInfo], text: str) -> int | None:
    """Return where an operator first stands outside all brackets; None: nowhere."""
    depth = 0
    for at, token in enumerate(statement):
        if token.string == text and depth == 0:
            return at
        depth += (token.string in _OPEN) - (token.string in _CLOSE)
    return None


def _may_be_annotated(tokens: list[TokenInfo]) -> bool:
    """Return whether this is what may be annotated: a name, then .name and [item]."""
    after_name = False
    depth = 0
    for token in tokens:
        if depth == 0 and token.type == tokenize.NAME:
            if after_name:
                return False
            after_name = True
        elif depth == 0 and token.string == ".":
            after_name = False
        elif depth == 0 and token.string != "[":
            return False
        depth += (token.string in _OPEN) - (token.string in _CLOSE)
    return bool(tokens) and tokens[0].type == tokenize.NAME


def _without_cuts(source: str, cuts: list[Cut]) -> str:
    """Return the source with the cuts made, every line kept; what a cut leaves at an end goes."""
    lines = source.splitlines(keepends=True)
    for (top, left), (bottom, right), instead in sorted(cuts, reverse=True):
        head = lines[top - 1][:left] + instead
        tail = lines[bottom - 1][right:]
        between = "\n" * (bottom - top)
        if not tail.strip():
            head, tail = head.rstrip(" \t"), "\n" if tail or between else ""
        lines[top - 1 : bottom] = [head + between + tail]
        lines[top:top] = [""] * (bottom - top)
    return "".join(lines)
