"""One template as one module of Python.

def root(put, say, context, blocks)      the template from its top; an include calls it
def block_NAME(put, say, context, blocks)
def m_MODULE__MACRO(put, say, …)         a macro: puts its text down where it is called
def render(context, say) -> str          the page; say(text) translates a literal
"""

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from jinja2 import nodes
from markupsafe import escape

from app.templating.compiler import soundness
from app.templating.compiler.expressions import Scope, argument_source, literal_source, value_source
from app.templating.compiler.family import Family, module_of

PACKAGE = "pages"
_HEAD = "from app.core.placing import each, get, shown"
_BODY = "(put, say, context, blocks):"
_RENDER = """
def render(context, say):
    out = []
    root(out.append, say, context, {})
    return "".join(out)
"""


def compiled_modules(family: Family) -> dict[str, str]:
    """Return {path below the package's parent: source} of every template, and of the package."""
    found = {f"{PACKAGE}/__init__.py": ""}
    for template in family.trees:
        found[f"{PACKAGE}/{module_of(template)}.py"] = compile_template(template, family)
    return found


def compile_template(template: str, family: "Family | None" = None) -> str:
    """Return a template's module; errors: TemplateRefusedError, for any template of the family."""
    return _Module(template, family or Family()).source()


class _Module:
    """Writes one template's module."""

    def __init__(self, template: str, family: Family) -> None:
        self.template = template
        self.trees = family.trees
        self.tree = family.trees[template]
        self.macros = soundness.macro_references(template, self.tree)
        self.used: set[soundness.Reference] = set()  # macros of other templates that are called
        self.lines: list[str] = []
        self.writers: dict[type, Callable[[Any, Scope, str], None]] = {
            nodes.Output: self._output,
            nodes.If: self._if,
            nodes.For: self._for,
            nodes.Include: self._include,
            nodes.Block: self._block,
        }

    def source(self) -> str:
        """Return the whole module."""
        for macro in self.tree.find_all(nodes.Macro):
            names = [parameter.name for parameter in macro.args]
            scope = {name: f"v_{name}" for name in names}
            heads = ", ".join(["put", "say", *scope.values()])
            self._function(
                f"{_function_of(self.template, macro.name)}({heads}):", macro.body, scope
            )
        blocks = [block.name for block in self.tree.find_all(nodes.Block)]
        for block in self.tree.find_all(nodes.Block):
            self._function(f"block_{block.name}{_BODY}", block.body, {})
        self._root(blocks)
        imports = [
            f"from {PACKAGE}.{module_of(where)} import {_function_of(where, name)}"
            for where, name in sorted(self.used)
        ]
        return "\n".join([_HEAD, *imports, "", *self.lines, _RENDER])

    def _root(self, blocks: list[str]) -> None:
        own = ", ".join(f"{literal_source(name)}: block_{name}" for name in blocks)
        parents = list(self.tree.find_all(nodes.Extends))
        self.lines += ["", f"def root{_BODY}"]
        if blocks:
            self.lines += [
                f"    known = {{{own}}}",
                "    known.update(blocks)",
                "    blocks = known",
            ]
        if parents:
            self._call(_callee_name(parents[0]), "context", "blocks", "    ")
        else:
            self._body(self.tree.body, {}, "    ")

    def _function(self, head: str, body: list[nodes.Node], scope: Scope) -> None:
        self.lines += ["", f"def {head}"]
        self._body(body, scope, "    ")

    def _body(self, body: Iterable[nodes.Node], scope: Scope, margin: str) -> None:
        """Write statements; macros and imports at the top have been dealt with."""
        before = len(self.lines)
        for node in body:
            if type(node) in self.writers:
                self.writers[type(node)](node, scope, margin)
        if len(self.lines) == before:
            self.lines.append(f"{margin}pass")

    def _output(self, node: nodes.Output, scope: Scope, margin: str) -> None:
        for text, part in _text_runs(node.nodes):
            if text:
                self.lines.append(f"{margin}put({literal_source(text)})")
            if isinstance(part, nodes.Call):
                self.lines.append(f"{margin}{self._macro_call(part, scope)}")
            elif part is not None:
                self.lines.append(f"{margin}put(shown({value_source(part, scope)}))")

    def _macro_call(self, call: nodes.Call, scope: Scope) -> str:
        where, name = soundness.reference_of(call, self.macros)
        if where != self.template:
            self.used.add((where, name))
        given = soundness.call_arguments(soundness.macros_of(self.trees[where])[name], call)
        values = [argument_source(node, scope) for node in given if isinstance(node, nodes.Node)]
        return f"{_function_of(where, name)}({', '.join(['put', 'say', *values])})"

    def _if(self, node: nodes.If, scope: Scope, margin: str) -> None:
        for word, branch in [("if", node), *[("elif", other) for other in node.elif_]]:
            self.lines.append(f"{margin}{word} {value_source(branch.test, scope)}:")
            self._body(branch.body, scope, margin + "    ")
        if node.else_:
            self.lines.append(f"{margin}else:")
            self._body(node.else_, scope, margin + "    ")

    def _for(self, node: nodes.For, scope: Scope, margin: str) -> None:
        """Each loop has a variable of its own: after an inner one of that name, the outer holds."""
        name = node.target.name  # type: ignore[attr-defined]
        variable = f"v{len(margin) // 4}_{name}"
        self.lines.append(f"{margin}for {variable} in each({value_source(node.iter, scope)}):")
        self._body(node.body, {**scope, name: variable}, margin + "    ")

    def _include(self, node: nodes.Include, scope: Scope, margin: str) -> None:
        """An include sees the context and the loops that it stands in."""
        context = "context"
        if scope:
            context = "inner"
            self.lines.append(f"{margin}inner = context.copy()")
            self.lines += [
                f"{margin}inner[{literal_source(name)}] = {variable}"
                for name, variable in scope.items()
            ]
        self._call(_callee_name(node), context, "{}", margin)

    def _call(self, template: str, context: str, blocks: str, margin: str) -> None:
        """Import another template where it is needed: a page that does not reach it is quicker."""
        self.lines.append(f"{margin}from {PACKAGE}.{module_of(template)} import root as other")
        self.lines.append(f"{margin}other(put, say, {context}, {blocks})")

    def _block(self, node: nodes.Block, _: Scope, margin: str) -> None:
        self.lines.append(f"{margin}blocks[{literal_source(node.name)}](put, say, context, blocks)")


def _callee_name(node: "nodes.Extends | nodes.Include") -> str:
    return str(node.template.value)  # type: ignore[attr-defined]


def _function_of(template: str, macro: str) -> str:
    return f"m_{module_of(template)}__{macro}"


def _text_runs(parts: list[nodes.Expr]) -> Iterator[tuple[str, "nodes.Expr | None"]]:
    """Yield (text, what follows it): what is known beforehand is put together and escaped."""
    text = ""
    for part in parts:
        if isinstance(part, nodes.TemplateData):
            text += part.data
        elif isinstance(part, nodes.Const):
            text += str(escape(part.value))
        else:
            yield text, part
            text = ""
    yield text, None
