"""Contexts guessed from the templates alone: what they loop over, ask for, compare and show.

So a template is tried in all its branches on the day it is written, before any page uses it.
"""

import random
from typing import Any

from jinja2 import nodes

from app.templating.compiler import Family
from app.templating.compiler.soundness import (
    call_arguments,
    macro_references,
    macros_of,
    reference_of,
)

TEXTS = ("", "text", "<&>\"'", "a longer text, with é and 😀 and {braces}", 7, 10**18)


class Shape:
    """What templates do with a value: its items by name, its elements, what it is compared with."""

    def __init__(self) -> None:
        self.items: dict[Any, Shape] = {}
        self.element: Shape | None = None
        self.words: set[Any] = set()
        self.asked = False

    def at(self, name: Any) -> "Shape":
        """Return the shape of an item."""
        return self.items.setdefault(name, Shape())

    def made(self, chance: random.Random) -> Any:
        """Return a value of this shape, by chance."""
        if self.asked and chance.random() < 0.25:
            nothing: list[Any] = [[]] if self.element else [None] if self.items else ["", 0]
            return chance.choice(nothing)
        if self.element is not None:
            return [self.element.made(chance) for _ in range(chance.choice([0, 1, 1, 2, 3]))]
        if self.items:
            return {name: item.made(chance) for name, item in self.items.items()}
        return chance.choice([*sorted(self.words), chance.choice(TEXTS)])


class Guess:
    """Reads a page's templates; `root` is the shape of its context."""

    def __init__(self, family: Family, page: str) -> None:
        self.family = family
        self.root = Shape()
        self.read(page, family.trees[page], {}, ())

    def read(
        self, template: str, tree: nodes.Node, scope: dict[str, Shape], inside: tuple[str, ...]
    ) -> None:
        """Read what stands in a tree, and what it extends, includes and calls."""
        for node in tree.iter_child_nodes():
            within = scope
            if isinstance(node, nodes.Macro):
                continue
            if isinstance(node, nodes.For):
                over = self.shape(node.iter, scope)
                over.element = over.element or Shape()
                within = {**scope, node.target.name: over.element}  # type: ignore[attr-defined]
            elif isinstance(node, nodes.If):
                self.asks(node.test, scope)
            elif isinstance(node, nodes.Include | nodes.Extends):
                other = node.template.value  # type: ignore[attr-defined]
                if other not in inside:
                    self.read(other, self.family.trees[other], scope, (*inside, other))
            elif isinstance(node, nodes.Call):
                self.call(template, node, scope, inside)
            elif isinstance(node, nodes.Name | nodes.Getattr | nodes.Getitem | nodes.Compare):
                self.shape(node, scope)
                continue
            self.read(template, node, {} if isinstance(node, nodes.Block) else within, inside)

    def call(
        self, template: str, call: nodes.Call, scope: dict[str, Shape], inside: tuple[str, ...]
    ) -> None:
        """Read a macro with the shapes that it is handed."""
        where, name = reference_of(call, macro_references(template, self.family.trees[template]))
        macro = macros_of(self.family.trees[where])[name]
        given = [self.shape(node, scope) for node in call_arguments(macro, call)]  # type: ignore[arg-type]
        names = [parameter.name for parameter in macro.args]
        if f"{where}#{name}" not in inside:
            own = dict(zip(names, given, strict=True))
            for node in macro.body:
                self.read(where, nodes.Scope([node]), own, (*inside, f"{where}#{name}"))

    def asks(self, test: nodes.Node, scope: dict[str, Shape]) -> None:
        """Note what an `if` asks for: it may be there or not."""
        if isinstance(test, nodes.Name | nodes.Getattr):
            self.shape(test, scope).asked = True
        elif isinstance(test, nodes.Not):
            self.asks(test.node, scope)
        elif isinstance(test, nodes.And | nodes.Or):
            self.asks(test.left, scope)
            self.asks(test.right, scope)

    def shape(self, node: nodes.Node, scope: dict[str, Shape]) -> Shape:
        """Return the shape that an expression names."""
        if isinstance(node, nodes.Name):
            return scope.get(node.name) or self.root.at(node.name)
        if isinstance(node, nodes.Getattr):
            return self.shape(node.node, scope).at(node.attr)
        if isinstance(node, nodes.Compare):
            named = self.shape(node.expr, scope)
            others = [operand.expr for operand in node.ops]
            named.words |= {other.value for other in others if isinstance(other, nodes.Const)}
        return Shape()


def guessed(family: Family, each: int, seed: int = 2) -> list[tuple[str, Any]]:
    """Return (template, context), `each` of them for every template that is a page."""
    chance = random.Random(seed)
    found: list[tuple[str, Any]] = []
    for name in sorted(family.trees):
        root = Guess(family, name).root
        if name.startswith("field/") and root.items:
            found += [
                (name, {key: item.made(chance) for key, item in root.items.items()})
                for _ in range(each)
            ]
    return found
