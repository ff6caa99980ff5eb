"""Expressions of the small language as Python source.

A value that the context lacks raises KeyError where it is read, as Jinja2's strict undefined
does where it is used. A macro may be handed one: so a call's arguments are read with `get`.
"""

from collections.abc import Callable
from typing import Any

from jinja2 import nodes

Scope = dict[str, str]  # names that loops and parameters give -> the variable in Python

_OPERATORS = {
    "eq": "==", "ne": "!=", "lt": "<", "lteq": "<=", "gt": ">", "gteq": ">=",
    "in": "in", "notin": "not in",
}  # fmt: skip
_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\r": "\\r", "\t": "\\t"}


def literal(value: "str | int | None") -> str:
    """Return a literal: text spelled by hand, since repr differs between versions of Python."""
    if not isinstance(value, str):
        return repr(value)
    return '"' + "".join(_char(char) for char in value) + '"'


def _char(char: str) -> str:
    if char in _ESCAPES:
        return _ESCAPES[char]
    return f"\\x{ord(char):02x}" if ord(char) < 32 else char


def value(node: nodes.Node, scope: Scope) -> str:
    """Return an expression that is read at once."""
    return _KINDS[type(node)](node, scope)


def argument(node: nodes.Node, scope: Scope) -> str:
    """Return an expression that is handed to a macro: what is not there is so when it is used."""
    if isinstance(node, nodes.And | nodes.Or):
        word = "and" if isinstance(node, nodes.And) else "or"
        return f"({value(node.left, scope)} {word} {argument(node.right, scope)})"
    if isinstance(node, nodes.Name) and node.name not in scope:
        return f"get(context, {literal(node.name)})"
    if isinstance(node, nodes.Getattr):
        return f"get({value(node.node, scope)}, {literal(node.attr)})"
    if isinstance(node, nodes.Getitem):
        return f"get({value(node.node, scope)}, {_item(node)})"
    return value(node, scope)


def _name(node: nodes.Name, scope: Scope) -> str:
    return scope.get(node.name) or f"context[{literal(node.name)}]"


def _const(node: nodes.Const, _: Scope) -> str:
    return literal(node.value)


def _getattr(node: nodes.Getattr, scope: Scope) -> str:
    return f"{value(node.node, scope)}[{literal(node.attr)}]"


def _getitem(node: nodes.Getitem, scope: Scope) -> str:
    return f"{value(node.node, scope)}[{_item(node)}]"


def _item(node: nodes.Getitem) -> str:
    return literal(node.arg.value)  # type: ignore[attr-defined]


def _translated(node: nodes.Filter, _: Scope) -> str:
    return f"say({literal(node.node.value)})"  # type: ignore[union-attr]


def _not(node: nodes.Not, scope: Scope) -> str:
    return f"(not {value(node.node, scope)})"


def _both(node: "nodes.And | nodes.Or", scope: Scope) -> str:
    word = "and" if isinstance(node, nodes.And) else "or"
    return f"({value(node.left, scope)} {word} {value(node.right, scope)})"


def _compare(node: nodes.Compare, scope: Scope) -> str:
    searched = node.ops[0].op in ("in", "notin")  # in an empty list nothing is compared
    parts = [argument(node.expr, scope) if searched else value(node.expr, scope)]
    for operand in node.ops:
        parts += [_OPERATORS[operand.op], value(operand.expr, scope)]
    return f"({' '.join(parts)})"


_KINDS: dict[type, Callable[[Any, Scope], str]] = {
    nodes.Name: _name,
    nodes.Const: _const,
    nodes.Getattr: _getattr,
    nodes.Getitem: _getitem,
    nodes.Filter: _translated,
    nodes.Not: _not,
    nodes.And: _both,
    nodes.Or: _both,
    nodes.Compare: _compare,
}
