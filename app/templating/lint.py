"""Holds the templates to the small language that the phone speaks too.

Allowed: text; output of a value or of a macro's result; `if`/`elif`/`else`; `for` over a
list, with one name; `include`, `extends`, `block`; macros at the top that use only their
own parameters and other macros; `import` and `from … import` at the top, without context;
`and`, `or`, `not` and comparisons; attributes and constant items; the filter `t` on a
literal without holes.

Refused is all the rest: any other filter, tests (`is`), methods, `~`, arithmetic, `set`,
`with`, `call`, `x if y else z`, `for … else`, `super()`, and the names of NAMES: the core
numbers what is numbered, so there is no `loop` either.
"""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from jinja2 import Environment, TemplateSyntaxError, nodes

NAMES = ("loop", "self", "super", "caller", "varargs", "kwargs")
SUFFIX = ".html"
_PARSER = Environment(autoescape=True)

Found = Iterator[tuple[nodes.Node, str]]


class Refusal:
    """What is not allowed, and where."""

    def __init__(self, file: str, line: int, reason: str) -> None:
        self.file = file
        self.line = line
        self.reason = reason

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.reason}"


def template_refusals(folder: Path, below: str = "") -> list[Refusal]:
    """Return what the templates in folder/below do that is not allowed, by file and line.

    folder is the one that names in `include` and `extends` start from.
    """
    found = []
    known = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    for name in sorted(known):
        if name.startswith(below) and not Path(name).name.startswith("."):
            found += refusals_of(name, (folder / name).read_text(encoding="utf-8"), known)
    return found


def refusals_of(name: str, source: str, known: set[str]) -> list[Refusal]:
    """Return what one template does that is not allowed; known are the names that there are."""
    if not name.endswith(SUFFIX):
        return [Refusal(name, 1, f"a template's name ends in {SUFFIX}")]
    try:
        tree = _PARSER.parse(source)
    except TemplateSyntaxError as error:
        return [Refusal(name, error.lineno, error.message or "does not parse")]
    walk = _Walk(tree, known)
    found = [Refusal(name, _line_of(node), reason) for node, reason in walk.template(tree)]
    return sorted(found, key=lambda refusal: refusal.line)


class _Walk:
    """Goes through one tree; a table says who looks at which kind of node."""

    def __init__(self, tree: nodes.Template, known: set[str]) -> None:
        self.known = known
        self.modules = {node.target for node in tree.find_all(nodes.Import)}
        self.macros = {node.name for node in tree.find_all(nodes.Macro)}
        for node in tree.find_all(nodes.FromImport):
            self.macros |= {name if isinstance(name, str) else name[1] for name in node.names}
        self.extends = any(isinstance(node, nodes.Extends) for node in tree.body)
        self.statements: dict[type, Callable[[Any], Found]] = {
            nodes.Output: self.output,
            nodes.If: self.branch,
            nodes.For: self.each,
            nodes.Include: self.include,
            nodes.Block: self.block,
        }
        self.tops: dict[type, Callable[[Any], Found]] = {
            **self.statements,
            nodes.Extends: self.named,
            nodes.Import: self.imported,
            nodes.FromImport: self.imported,
            nodes.Macro: self.macro,
        }

    def template(self, tree: nodes.Template) -> Found:
        """Look at the whole: what may stand at the top, then all that is below."""
        for place, node in enumerate(tree.body):
            if isinstance(node, nodes.Extends) and place > 0:
                yield node, "extends comes first in a template"
            if self.extends and not _is_silent(node):
                yield node, "a template that extends shows nothing outside its blocks"
            yield from self.one(node, self.tops)

    def body(self, body: list[nodes.Node]) -> Found:
        """Look at statements below the top."""
        for node in body:
            yield from self.one(node, self.statements)

    def one(self, node: nodes.Node, table: dict[type, Callable[[Any], Found]]) -> Found:
        """Look at one statement by the table."""
        look = table.get(type(node))
        if look is not None:
            yield from look(node)
        elif type(node) in self.tops:
            yield node, f"{_node_word(node)} belongs at the top of a template"
        else:
            yield node, f"{_node_word(node)} is not in the small language"

    def output(self, node: nodes.Output) -> Found:
        """Text, values, and the results of macros."""
        for part in node.nodes:
            if isinstance(part, nodes.TemplateData):
                continue
            if isinstance(part, nodes.Call):
                yield from self.call(part)
            else:
                yield from self.value(part)
                yield from _truth_faults(part)

    def branch(self, node: nodes.If) -> Found:
        """if, elif, else."""
        yield from self.value(node.test)
        yield from self.body(node.body)
        for other in node.elif_:
            yield from self.branch(other)
        yield from self.body(node.else_)

    def each(self, node: nodes.For) -> Found:
        """for: one name, over a list that the context holds."""
        if not isinstance(node.target, nodes.Name):
            yield node, "for takes one name"
        elif node.target.name in NAMES:
            yield node, f"the name {node.target.name} is taken"
        if not isinstance(node.iter, nodes.Name | nodes.Getattr | nodes.Getitem):
            yield node, "for goes over a list of the context"
        if node.test is not None or node.recursive:
            yield node, "for takes neither a condition nor recursive"
        if node.else_:
            yield node, "for has no else here: ask with if before it"
        yield from self.value(node.iter)
        yield from self.body(node.body)

    def block(self, node: nodes.Block) -> Found:
        """block: plain."""
        if node.scoped or node.required:
            yield node, "block takes neither scoped nor required"
        yield from self.body(node.body)

    def include(self, node: nodes.Include) -> Found:
        """include: plain."""
        if node.ignore_missing or not node.with_context:
            yield node, "include takes neither ignore missing nor without context"
        yield from self.named(node)

    def imported(self, node: "nodes.Import | nodes.FromImport") -> Found:
        """import, from … import: without context."""
        if node.with_context:
            yield node, "import is without context: macros use their own parameters"
        yield from self.named(node)

    def named(
        self, node: "nodes.Extends | nodes.Include | nodes.Import | nodes.FromImport"
    ) -> Found:
        """Another template is named by a literal, and is there."""
        name = node.template.value if isinstance(node.template, nodes.Const) else None
        if not isinstance(name, str):
            yield node, f"{_node_word(node)} names one template, as a literal"
        elif not name.endswith(SUFFIX):
            yield node, f"a template's name ends in {SUFFIX}: {name}"
        elif name not in self.known:
            yield node, f"there is no template {name}"

    def macro(self, node: nodes.Macro) -> Found:
        """macro: literals as defaults, own names only."""
        for default in node.defaults:
            if not isinstance(default, nodes.Const):
                yield default, "a parameter's default is a literal"
        own = {parameter.name for parameter in node.args} | self.modules | self.macros
        own |= {
            loop.target.name
            for loop in node.find_all(nodes.For)
            if isinstance(loop.target, nodes.Name)
        }
        for name in node.find_all(nodes.Name):
            if name.name not in own:
                yield name, f"macro {node.name} uses {name.name}, which is not its parameter"
        for include in node.find_all((nodes.Include, nodes.Block)):
            yield include, f"a macro has no {_node_word(include)}"
        yield from self.body(node.body)

    def call(self, node: nodes.Call) -> Found:
        """A call: of a macro, its result placed as it is."""
        if not self.is_macro(node.node):
            yield node, "only macros are called"
        if node.dyn_args is not None or node.dyn_kwargs is not None:
            yield node, "a macro takes no * and no **"
        for value in [*node.args, *[pair.value for pair in node.kwargs]]:
            yield from self.value(value)

    def is_macro(self, node: nodes.Node) -> bool:
        """Return whether this names a macro of this template or of an imported one."""
        if isinstance(node, nodes.Getattr) and isinstance(node.node, nodes.Name):
            return node.node.name in self.modules
        return isinstance(node, nodes.Name) and node.name in self.macros

    def value(self, node: nodes.Node) -> Found:
        """Look at an expression."""
        reason = self.wrong(node)
        if reason:
            yield node, reason
        elif not isinstance(node, nodes.Filter):
            for child in node.iter_child_nodes():
                if not isinstance(child, nodes.Operand):
                    yield from self.value(child)
                else:
                    yield from self.value(child.expr)

    def wrong(self, node: nodes.Node) -> str:
        """Return why this kind of expression is refused; empty when it is allowed."""
        check = _EXPRESSIONS.get(type(node))
        return check(node) if check else f"{_node_word(node)} is not in the small language"


def _name_fault(node: nodes.Name) -> str:
    return f"the name {node.name} is not in the small language" if node.name in NAMES else ""


def _const_fault(node: nodes.Const) -> str:
    plain = node.value is None or isinstance(node.value, str | int)
    return "" if plain else f"{node.value!r}: literals are text and whole numbers"


def _attribute_fault(node: nodes.Getattr) -> str:
    return f"{node.attr} is private" if node.attr.startswith("_") else ""


def _item_fault(node: nodes.Getitem) -> str:
    constant = isinstance(node.arg, nodes.Const) and isinstance(node.arg.value, str | int)
    return "" if constant else "an item is taken by a literal"


def _filter_fault(node: nodes.Filter) -> str:
    if node.name != "t":
        return f"the filter {node.name} is not in the small language"
    if node.args or node.kwargs or node.dyn_args or node.dyn_kwargs:
        return "t takes no arguments"
    if not (isinstance(node.node, nodes.Const) and isinstance(node.node.value, str)):
        return "t translates a literal; what the core hands over is finished"
    if "{" in node.node.value or "}" in node.node.value:
        return "words with holes are put together in the core"
    return "" if node.node.value.strip() else "t has nothing to translate"


def _no_fault(_: nodes.Node) -> str:
    return ""


_EXPRESSIONS: dict[type, Callable[[Any], str]] = {
    nodes.Name: _name_fault,
    nodes.Const: _const_fault,
    nodes.Getattr: _attribute_fault,
    nodes.Getitem: _item_fault,
    nodes.Filter: _filter_fault,
    nodes.Compare: _no_fault,
    nodes.And: _no_fault,
    nodes.Or: _no_fault,
    nodes.Not: _no_fault,
}
_WORDS = {
    "Assign": "set",
    "AssignBlock": "set",
    "CallBlock": "call",
    "Scope": "autoescape",
    "FilterBlock": "filter",
    "FromImport": "import",
    "Concat": "~",
    "CondExpr": "x if y else z",
    "Test": "is",
    "Call": "a call inside an expression",
    "Slice": "a slice",
    **dict.fromkeys(
        ("Add", "Sub", "Mul", "Div", "FloorDiv", "Mod", "Pow", "Neg", "Pos"), "arithmetic"
    ),
}


def _truth_faults(part: nodes.Expr) -> Found:
    """What is placed is text: Jinja2 itself would print True or None where it knows beforehand."""
    for node in [part, *part.find_all(nodes.Expr)]:
        value = node.value if isinstance(node, nodes.Const) else ""
        if isinstance(node, nodes.Compare | nodes.Not) or value is None or isinstance(value, bool):
            yield node, "a truth value is asked with if, not placed"


def _line_of(node: nodes.Node) -> int:
    """Return the node's line; Jinja gives a scope of its own making none, what is in it has one."""
    if node.lineno:
        return node.lineno
    return next((_line_of(child) for child in node.iter_child_nodes()), 1)


def _node_word(node: nodes.Node) -> str:
    kind = type(node).__name__
    return _WORDS.get(kind, kind.lower())


def _is_silent(node: nodes.Node) -> bool:
    if isinstance(node, nodes.Output):
        return all(isinstance(p, nodes.TemplateData) and not p.data.strip() for p in node.nodes)
    kinds = (nodes.Extends, nodes.Block, nodes.Import, nodes.FromImport, nodes.Macro)
    return isinstance(node, kinds)
