"""The text of a procedure while it is changed: only what is changed is written anew.

ruamel.yaml keeps comments, order and styles, but takes two seconds for a whole procedure. So the
text is cut into its steps first, and only the step that is changed is read and written.
"""

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import yaml
from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq
from ruamel.yaml.error import YAMLError
from ruamel.yaml.nodes import ScalarNode
from ruamel.yaml.resolver import VersionedResolver
from ruamel.yaml.scalarstring import FoldedScalarString, ScalarString
from ruamel.yaml.tag import Tag
from yaml.nodes import MappingNode, Node, SequenceNode

from app.core.errors import RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.procedures.source import LOADER

FOLD = 96  # columns of a folded text, before its indent
Change = Callable[[CommentedMap], None]
# The order in which new fields are written; it is that of the shipped files.
ORDER = (
    "id", "version", "title", "lang", "doors", "matters", "text", "kind", "calc", "about", "per",
    "hold", "parts", "quantity", "purpose", "how", "tool", "straightedge", "points", "limits",
    "start", "end", "typed", "least", "most", "place", "at", "near", "where", "short", "from",
    "signed", "closing", "asked", "instead", "info", "hint", "on", "settled", "after", "none",
    "settings", "remedy", "basis", "reason", "rank", "finer", "cautions", "reminders", "tasks",
    "decisions", "choices", "checks", "adjustments", "clocks", "stale", "asks", "steps", "nights",
)  # fmt: skip


class UnevenTextError(RefusedError):
    """A file whose form the editor cannot keep: it is changed as a file."""

    def __init__(self) -> None:
        words = Msg(
            "This file is written in a way that cannot be changed here (steps on one line, "
            "or names for repeated parts). Change the file itself and take it in."
        )
        super().__init__("draft-uneven", words)


class _AllText(VersionedResolver):
    """Every plain value is text, as the compiler reads it: no dates, no yes that becomes true."""

    def resolve(self, kind: Any, value: Any, implicit: Any) -> Any:
        if kind is ScalarNode:
            return Tag(suffix="tag:yaml.org,2002:str")
        return super().resolve(kind, value, implicit)  # type: ignore[no-untyped-call]


@dataclass(frozen=True)
class CutText:
    """A procedure's text in parts; joined they are the text, to the byte.

    dash: the column of the dash before each step.
    """

    head: str
    ids: tuple[str, ...]
    steps: tuple[str, ...]
    tail: str
    dash: int

    def joined(self) -> str:
        """Return the whole text."""
        return self.head + "".join(self.steps) + self.tail

    def with_steps(self, pairs: Sequence[tuple[str, str]]) -> str:
        """Return the text with these steps: (id, text)."""
        return self.head + "".join(text for _, text in pairs) + self.tail


def cut_text(text: str) -> CutText:
    """Cut a text that compiles into what stands before, the steps, and what stands after.

    Comments above a step go with it. Errors: UnevenTextError.
    """
    if not text.endswith("\n"):
        text += "\n"
    root = _composed(text)
    keys = [key.value for key, _ in root.value]
    at = keys.index("steps")
    key, steps = root.value[at]
    lines = text.splitlines(keepends=True)
    if steps.flow_style or len("".join(lines)) != len(text):
        raise UnevenTextError
    dash = steps.start_mark.column
    after = root.value[at + 1][0].start_mark.line if at + 1 < len(root.value) else len(lines)
    starts = [_start_of(lines, node.start_mark.line, dash) for node in steps.value]
    starts[0] = key.start_mark.line + 1
    bounds = [*starts, _back_over_comments(lines, after, dash)]
    blocks = ["".join(lines[a:b]) for a, b in pairwise(bounds)]
    ids = [_value_at(node, "id") for node in steps.value]
    head, tail = "".join(lines[: bounds[0]]), "".join(lines[bounds[-1] :])
    return CutText(head, tuple(ids), tuple(blocks), tail, dash)


def _composed(text: str) -> Node:
    """Return the root of a text that compiles."""
    root = yaml.compose(text, Loader=LOADER)
    assert root is not None  # noqa: S101
    return root


def _start_of(lines: list[str], line: int, dash: int) -> int:
    """Return the line where a step begins, with the comments above it; its dash is on `line`."""
    if lines[line][: dash + 1] != " " * dash + "-":
        raise UnevenTextError
    return _back_over_comments(lines, line, dash)


def _back_over_comments(lines: list[str], line: int, dash: int) -> int:
    while line > 0 and _is_between(lines[line - 1], dash):
        line -= 1
    return line


def _is_between(line: str, dash: int) -> bool:
    """Return whether a line is empty, or a comment that no text of a step can hold."""
    told = line.lstrip(" ")
    return not told.strip() or (told.startswith("#") and len(line) - len(told) <= dash)


def _value_at(node: Node, name: str) -> str:
    pairs = node.value if isinstance(node, MappingNode) else []
    return next((str(value.value) for key, value in pairs if key.value == name), "")


def change_step(text: str, step: str, change: Change) -> str:
    """Return the text with one step changed. Errors: UnevenTextError."""
    cut = cut_text(text)
    at = cut.ids.index(step)
    lines = cut.steps[at].splitlines(keepends=True)
    first = next(n for n, line in enumerate(lines) if not _is_between(line, cut.dash))
    last = len(lines)
    while _is_between(lines[last - 1], cut.dash):
        last -= 1
    written = _written_anew("steps:\n" + "".join(lines[first:last]), cut.dash, _in_step(change))
    body = written.partition("\n")[2]
    block = "".join(lines[:first]) + body + "".join(lines[last:])
    pairs = list(zip(cut.ids, cut.steps, strict=True))
    pairs[at] = (step, block)
    return cut.with_steps(pairs)


def _in_step(change: Change) -> Change:
    def change_first(data: CommentedMap) -> None:
        change(data["steps"][0])

    return change_first


def change_rest(text: str, change: Change) -> str:
    """Return the text with something changed that stands in no step. Errors: UnevenTextError."""
    cut = cut_text(text)
    lines = cut.head.splitlines(keepends=True)
    at = max(n for n, line in enumerate(lines) if line.startswith("steps:"))
    mark = "steps: here\n"
    rest = "".join(lines[:at]) + mark + cut.tail
    written = _written_anew(rest, cut.dash, change)
    before, found, after = written.partition(mark)
    if not found:
        raise UnevenTextError
    return before + "".join(lines[at:]) + "".join(cut.steps) + after


def _written_anew(text: str, dash: int, change: Change) -> str:
    """Read a text, change it, write it."""
    try:
        data = _round_trip(dash).load(text)
        change(data)
        out = io.StringIO()
        _round_trip(dash).dump(data, out)
    except YAMLError as error:
        raise UnevenTextError from error
    return out.getvalue()


def _round_trip(dash: int) -> YAML:
    made = YAML()
    made.Resolver = _AllText
    made.preserve_quotes = True
    made.width = 10**6
    made.indent(mapping=2, sequence=dash + 2, offset=dash)
    return made


def move_step(text: str, step: str, by: int) -> str:
    """Return the text with a step one place up (-1) or down (1); at an end it stays."""
    cut = cut_text(text)
    pairs = list(zip(cut.ids, cut.steps, strict=True))
    at = cut.ids.index(step)
    to = at + by
    if 0 <= to < len(pairs):
        pairs[at], pairs[to] = pairs[to], pairs[at]
    return cut.with_steps(pairs)


def take_step_away(text: str, step: str) -> str:
    """Return the text without a step."""
    cut = cut_text(text)
    pairs = zip(cut.ids, cut.steps, strict=True)
    return cut.with_steps([(id_, block) for id_, block in pairs if id_ != step])


def add_step(text: str, step: str, title: str, after: str) -> str:
    """Return the text with an empty step, after another one ("": as the first)."""
    cut = cut_text(text)
    new = CommentedMap(id=step, title=title)
    out = io.StringIO()
    _round_trip(cut.dash).dump({"steps": [new]}, out)
    pairs = list(zip(cut.ids, cut.steps, strict=True))
    at = cut.ids.index(after) + 1 if after else 0
    pairs.insert(at, (step, out.getvalue().partition("\n")[2]))
    return cut.with_steps(pairs)


def put_value(where: CommentedMap, path: Sequence[str], value: object) -> None:
    """Put a value at a path of a mapping; "", [] or {} takes the field away, and empty ones above.

    A text that replaces another is written as that one was: folded, quoted or plain.
    """
    name, rest = path[0], path[1:]
    if rest:
        inner = where.get(name)
        if not isinstance(inner, CommentedMap):
            if value in ("", [], {}):
                return
            inner = _flow_map()
            _put_field(where, name, inner)
        put_value(inner, rest, value)
        if not inner:
            del where[name]
    elif value in ("", [], {}):
        where.pop(name, None)
    else:
        _put_field(where, name, _in_style_of(where.get(name), value))


def _put_field(where: CommentedMap, name: str, value: object) -> None:
    if name in where or name not in ORDER:
        where[name] = value
        return
    before = ORDER[: ORDER.index(name)]
    at = max((n + 1 for n, key in enumerate(where) if key in before), default=0)
    where.insert(at, name, value)


def _in_style_of(old: object, value: object) -> object:
    """Return a value to be written, in the style of what stood there."""
    if isinstance(value, dict):
        made = old if isinstance(old, CommentedMap) else _flow_map()
        for name in [name for name in made if name not in value]:
            del made[name]
        for name in value:
            _put_field(made, name, _in_style_of(made.get(name), value[name]))
        return made
    if isinstance(value, list):
        return _list_in_style_of(old, value)
    if not isinstance(value, str) or (isinstance(old, str) and " ".join(old.split()) == value):
        return old if isinstance(value, str) else value
    if isinstance(old, FoldedScalarString):
        return folded_text(value)
    return type(old)(value) if isinstance(old, ScalarString) else value


def _flow_map() -> CommentedMap:
    made = CommentedMap()
    made.fa.set_flow_style()
    return made


def _list_in_style_of(old: object, value: list[Any]) -> CommentedSeq:
    """Return a list; texts that were there already stay as they are written."""
    before = old if isinstance(old, CommentedSeq) else []
    known = {" ".join(one.split()): one for one in before if isinstance(one, str)}
    made = CommentedSeq()
    for one in value:
        long = isinstance(one, str) and len(one) > FOLD
        made.append(known.get(one, folded_text(one)) if long else _known_or_new(known, one))
    flow = before.fa.flow_style() if isinstance(before, CommentedSeq) else None
    short = all(isinstance(one, str) and "-" not in one[:1] and len(one) < 30 for one in value)
    if (flow if flow is not None else short) and not any(isinstance(o, dict) for o in value):
        made.fa.set_flow_style()
    return made


def _known_or_new(known: dict[str, Any], one: Any) -> Any:
    return known.get(one, one) if isinstance(one, str) else _in_style_of(None, one)


def folded_text(text: str) -> FoldedScalarString:
    """Return a text that is written folded, in lines of FOLD columns where it has spaces."""
    folded: FoldedScalarString = FoldedScalarString(text)
    places, start = [], 0
    for at, sign in enumerate(text):
        following = text.find(" ", at + 1)
        end = len(text) if following < 0 else following
        if sign == " " and end - start > FOLD:
            places.append(at)
            start = at + 1
    folded.fold_pos = places  # type: ignore[attr-defined]
    return folded


def path_of_mark(text: str, line: int, column: int) -> list[str]:
    """Return the way to what stands at a line (from 1) and a column (from 0), by fields and ids.

    Example: ["steps", "C", "checks", "sill-level", "limits", "most"]
    """
    return _path_to(_composed(text), (line - 1, column)) or []


def _path_to(node: Node, mark: tuple[int, int]) -> list[str] | None:
    if (node.start_mark.line, node.start_mark.column) == mark:
        return []
    pairs: list[tuple[str, Node]] = []
    if isinstance(node, MappingNode):
        for key, value in node.value:
            if (key.start_mark.line, key.start_mark.column) == mark:
                return [str(key.value)]
            pairs.append((str(key.value), value))
    elif isinstance(node, SequenceNode):
        pairs = [(_value_at(item, "id") or str(n), item) for n, item in enumerate(node.value)]
    for name, inner in pairs:
        path = _path_to(inner, mark)
        if path is not None:
            return [name, *path]
    return None


def written_procedure(text: str) -> Json:
    """Return a procedure as it is written: every value a text, a list or a mapping of them."""
    written: Json = _plain_value(_composed(text))
    return written


def _plain_value(node: Node) -> Any:
    if isinstance(node, MappingNode):
        return {str(key.value): _plain_value(value) for key, value in node.value}
    if isinstance(node, SequenceNode):
        return [_plain_value(item) for item in node.value]
    return " ".join(str(node.value).split())
