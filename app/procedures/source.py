"""YAML that remembers its lines, and the list of what is wrong with it."""

from collections.abc import Sequence

import yaml
from yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from app.core.errors import AppError
from app.core.quantity.messages import Msg

# libyaml's, four times as fast, wherever PyYAML was built with it
LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class SourceProblem:
    """One thing that is wrong: in which file, on which line (from 1), and why.

    column: counted from 0; of a text that is no YAML it is not known.
    """

    def __init__(self, file: str, line: int, reason: str, column: int = 0) -> None:
        self.file = file
        self.line = line
        self.reason = reason
        self.column = column

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.reason}"


class ProcedureError(AppError):
    """A procedure that is refused, with every problem that was found in it."""

    status = 500

    def __init__(self, problems: list[SourceProblem]) -> None:
        words = "\n".join(str(problem) for problem in problems)
        super().__init__("procedure-refused", Msg("The procedure is refused. {words}", words=words))
        self.problems = problems

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in self.problems)


class Source:
    """One file while it is read; problems gather here, so that all are told at once."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.problems: list[SourceProblem] = []

    def wrong(self, node: Node, reason: str) -> None:
        """Note a problem at the line of a node."""
        at = node.start_mark
        self.problems.append(SourceProblem(self.name, at.line + 1, reason, at.column))

    def read(self, text: str) -> Node:
        """Return the root of a YAML text; raises ProcedureError where it is not YAML."""
        try:
            root = yaml.compose(text, Loader=LOADER)
        except yaml.YAMLError as error:
            raise self._unreadable(error) from error
        except RecursionError as error:  # libyaml counts how deep it is; Python's own does not
            problem = SourceProblem(self.name, 1, "not readable as YAML: nested too deep")
            raise ProcedureError([problem]) from error
        if root is None:
            raise ProcedureError([SourceProblem(self.name, 1, "the file is empty")])
        return root

    def _unreadable(self, error: yaml.YAMLError) -> ProcedureError:
        mark = getattr(error, "problem_mark", None)
        why = getattr(error, "problem", None) or str(error)
        line = mark.line + 1 if mark else 1
        return ProcedureError([SourceProblem(self.name, line, f"not readable as YAML: {why}")])

    def finish(self) -> None:
        """Raise ProcedureError with every problem, in the order of lines, if there is any."""
        if self.problems:
            raise ProcedureError(sorted(self.problems, key=lambda problem: problem.line))


class Fields:
    """A mapping, read field by field; a field that has no meaning here is a problem."""

    def __init__(self, source: Source, node: Node, allowed: Sequence[str], what: str) -> None:
        self.source = source
        self.node = node
        self.what = what
        self._nodes: dict[str, Node] = {}
        for key, value in self._pairs(node):
            if key.value not in allowed:
                source.wrong(key, f"{what} has no field “{key.value}”")
            elif key.value in self._nodes:
                source.wrong(key, f"“{key.value}” stands twice in {what}")
            else:
                self._nodes[key.value] = value

    def _pairs(self, node: Node) -> list[tuple[Node, Node]]:
        if isinstance(node, MappingNode):
            return list(node.value)
        self.source.wrong(node, f"{self.what} must be a list of fields with values")
        return []

    def has(self, name: str) -> bool:
        """Return whether the field is there."""
        return name in self._nodes

    def at(self, name: str) -> Node:
        """Return the node of a field, or of the whole mapping where the field is missing."""
        return self._nodes.get(name, self.node)

    def missing(self, name: str) -> None:
        """Note that a field is missing."""
        self.source.wrong(self.node, f"{self.what} needs “{name}”")

    def text(self, name: str, needed: bool = True) -> str:
        """Return a field's text, "" where it is missing (a problem if it is needed)."""
        found = scalar_text(self.source, self._nodes[name], name) if self.has(name) else ""
        if needed and not found:
            self.missing(name)
        return found

    def one_of(self, name: str, options: Sequence[str], default: str | None = None) -> str:
        """Return one of several words; default None means that the field is needed."""
        if not self.has(name) and default is not None:
            return default
        found = self.text(name)
        if found and found not in options:
            self.source.wrong(
                self.at(name), f"unknown {name} “{found}”; it is one of: {', '.join(options)}"
            )
        return found

    def flag(self, name: str) -> bool:
        """Return true or false; a missing field is false."""
        return self.one_of(name, ("true", "false"), "false") == "true"

    def whole(self, name: str) -> int:
        """Return a whole number from 1 up."""
        found = self.text(name)
        if found.isascii() and found.isdigit() and int(found) > 0:
            return int(found)
        if found:
            self.source.wrong(self.at(name), f"“{name}” must be a whole number from 1 up")
        return 0

    def items(self, name: str) -> list[Node]:
        """Return the members of a list; [] where the field is missing."""
        return list_members(self.source, self._nodes[name], name) if self.has(name) else []

    def pairs(self, name: str) -> list[tuple[str, Node, Node]]:
        """Return a mapping's names with their own nodes and their values' nodes."""
        if not self.has(name):
            return []
        return [(key.value, key, value) for key, value in self._pairs(self._nodes[name])]


def scalar_text(source: Source, node: Node, what: str) -> str:
    """Return a node's text without the blanks around it."""
    if isinstance(node, ScalarNode):
        return " ".join(str(node.value).split())
    source.wrong(node, f"“{what}” must be one text")
    return ""


def list_members(source: Source, node: Node, what: str) -> list[Node]:
    """Return a node's members."""
    if isinstance(node, SequenceNode):
        return list(node.value)
    source.wrong(node, f"“{what}” must be a list")
    return []
