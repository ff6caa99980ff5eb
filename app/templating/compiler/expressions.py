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


def literal_source(value: "str | int | None") -> str:
    """Return a literal: text spelled by hand, since repr differs between versions of Python."""
    if not isinstance(value, str):
        return repr(value)
    return '"' + "".join(_char_source(char) for char in value) + '"'


def _char_source(char: str) -> str:
    if char in _ESCAPES:
        return _ESCAPES[char]
    return f"\\x{ord(char):02x}" if ord(char) < 32 else char


def value_source(node: nodes.Node, scope: Scope) -> str:
    """Return an expression that is read at once."""
    return _KINDS[type(node)](node, scope)


def argument_source(node: nodes.Node, scope: Scope) -> str:
    """Return an expression that is handed to a macro: what is not there is so when it is used."""
    if isinstance(node, nodes.And | nodes.Or):
        word = "and" if isinstance(node, nodes.And) else "or"
        return f"({value_source(node.left, scope)} {word} {argument_source(node.right, scope)})"
    if isinstance(node, nodes.Name) and node.name not in scope:
        return f"get(context, {literal_source(node.name)})"
    if isinstance(node, nodes.Getattr):
        return f"get({value_source(node.node, scope)}, {literal_source(node.attr)})"
    if isinstance(node, nodes.Getitem):
        return f"get({value_source(node.node, scope)}, {_item_key(node)})"
    return value_source(node, scope)


def _name_source(node: nodes.Name, scope: Scope) -> str:
    return scope.get(node.name) or f"context[{literal_source(node.name)}]"


def _const_source(node: nodes.Const, _: Scope) -> str:
    return literal_source(node.value)


def _getattr_source(node: nodes.Getattr, scope: Scope) -> str:
    return f"{value_source(node.node, scope)}[{literal_source(node.attr)}]"


def _getitem_source(node: nodes.Getitem, scope: Scope) -> str:
    return f"{value_source(node.node, scope)}[{_item_key(node)}]"


def _item_key(node: nodes.Getitem) -> str:
    return literal_source(node.arg.value)  # type: ignore[attr-defined]


def _translated_source(node: nodes.Filter, _: Scope) -> str:
    return f"say({literal_source(node.node.value)})"  # type: ignore[union-attr]


def _not_source(node: nodes.Not, scope: Scope) -> str:
    return f"(not {value_source(node.node, scope)})"


def _both_source(node: "nodes.And | nodes.Or", scope: Scope) -> str:
    word = "and" if isinstance(node, nodes.And) else "or"
    return f"({value_source(node.left, scope)} {word} {value_source(node.right, scope)})"


def _compare_source(node: nodes.Compare, scope: Scope) -> str:
    searched = node.ops[0].op in ("in", "notin")  # in an empty list nothing is compared
    parts = [argument_source(node.expr, scope) if searched else value_source(node.expr, scope)]
    for operand in node.ops:
        parts += [_OPERATORS[operand.op], value_source(operand.expr, scope)]
    return f"({' '.join(parts)})"


_KINDS: dict[type, Callable[[Any, Scope], str]] = {
    nodes.Name: _name_source,
    nodes.Const: _const_source,
    nodes.Getattr: _getattr_source,
    nodes.Getitem: _getitem_source,
    nodes.Filter: _translated_source,
    nodes.Not: _not_source,
    nodes.And: _both_source,
    nodes.Or: _both_source,
    nodes.Compare: _compare_source,
}
