"""The core's language: what may not stand in app/core, because the two interpreters differ.

A walk over the syntax tree; what a walk cannot see (the order of dicts, floats that are
printed) is caught by running the core's tests under both. What is said of MicroPython
was measured with 1.27; tests/parity/test_language.py measures it again.
"""

import ast
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

IMPORTS = ("json", "hashlib", "binascii", "math")
KINDS = "app/core/kinds.py"  # the one file that may ask for typing, and does without it

# Methods that MicroPython's str, bytes, int, dict and set lack.
MISSING_METHODS = frozenset(
    [
        "bit_count",
        "bit_length",
        "capitalize",
        "casefold",
        "expandtabs",
        "format_map",
        "isalnum",
        "isascii",
        "isdecimal",
        "isidentifier",
        "isnumeric",
        "isprintable",
        "istitle",
        "ljust",
        "maketrans",
        "removeprefix",
        "removesuffix",
        "rjust",
        "swapcase",
        "title",
        "translate",
        "zfill",
        "as_integer_ratio",
        "is_integer",
    ]
)
# Functions of math that it lacks.
MISSING_MATH = frozenset(
    [
        "cbrt",
        "comb",
        "dist",
        "exp2",
        "fsum",
        "gcd",
        "hypot",
        "isqrt",
        "lcm",
        "log1p",
        "nextafter",
        "perm",
        "prod",
        "remainder",
        "ulp",
    ]
)
# Names that it lacks.
MISSING_NAMES = frozenset(
    [
        "aiter",
        "anext",
        "ascii",
        "breakpoint",
        "format",
        "vars",
        "RecursionError",
        "UnicodeDecodeError",
        "UnicodeEncodeError",
        "FileNotFoundError",
        "PermissionError",
        "TimeoutError",
        "ConnectionError",
        "BaseExceptionGroup",
        "ExceptionGroup",
        "Warning",
        "UserWarning",
    ]
)
# Methods that answer differently: MicroPython knows ASCII only.
ASCII_METHODS = frozenset(["isdigit", "isalpha", "isspace", "isupper", "islower", "center"])
# What the core has no business with.
OUTSIDE = frozenset(["print", "open", "input", "eval", "exec", "compile", "globals", "locals"])

Found = Iterator[tuple[int, str]]


def offences(folder: Path, root: Path) -> list[str]:
    """Return "file:line: reason" for every file of the core below folder."""
    found = []
    for path in sorted(folder.rglob("*.py")):
        name = path.relative_to(root).as_posix()
        for line, reason in offences_of(path.read_text(encoding="utf-8"), name):
            found.append(f"{name}:{line}: {reason}")
    return found


def offences_of(text: str, name: str = "app/core/x.py") -> list[tuple[int, str]]:
    """Return (line, reason) for what one source does that is not in the core's language."""
    found: list[tuple[int, str]] = []
    for node in ast.walk(ast.parse(text)):
        for kind, look in LOOKS:
            if isinstance(node, kind) and not (look is _imports and name == KINDS):
                found.extend(look(node))
    return sorted(set(found))


def _imports(node: "ast.Import | ast.ImportFrom") -> Found:
    names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else [node.module]
    for module in names:
        own = module is not None and (module + ".").startswith("app.core.")
        if (isinstance(node, ast.ImportFrom) and node.level) or not (own or module in IMPORTS):
            yield node.lineno, f"import of {module or '.'}"


def _call(node: ast.Call) -> Found:
    keywords = {keyword.arg for keyword in node.keywords}
    if isinstance(node.func, ast.Name):
        yield from _plain_call(node, node.func.id, keywords)
    if isinstance(node.func, ast.Attribute):
        yield from _method_call(node, node.func, keywords)


def _plain_call(node: ast.Call, name: str, keywords: "set[str | None]") -> Found:
    if name == "sorted" and "key" in keywords:
        yield node.lineno, "sorted with key: use app.core.order.sort_by"
    if name == "round":
        yield node.lineno, "round: use app.core.quantity.units.half_up"
    if name == "zip" and keywords:
        yield node.lineno, "zip with strict"
    if name in OUTSIDE:
        yield node.lineno, f"{name}: the core neither reads nor writes"
    if name in ("isinstance", "issubclass") and isinstance(node.args[-1], ast.BinOp):
        yield node.lineno, f"{name} with |: use a tuple"


def _method_call(node: ast.Call, func: ast.Attribute, keywords: "set[str | None]") -> Found:
    name = func.attr
    if name in MISSING_METHODS:
        yield node.lineno, f"MicroPython has no .{name}()"
    if name in ASCII_METHODS:
        yield node.lineno, f".{name}() knows ASCII only under MicroPython: use an explicit set"
    if name == "sort" and "key" in keywords:
        yield node.lineno, "sort with key: use app.core.order.sort_by"
    if name in ("split", "rsplit", "replace") and keywords:
        yield node.lineno, f".{name}() takes no keywords under MicroPython"
    if name == "format" and isinstance(func.value, ast.Constant):
        yield node.lineno, "str.format: use an f-string, or Msg for a person"


def _attribute(node: ast.Attribute) -> Found:
    if isinstance(node.value, ast.Name) and node.value.id == "math" and node.attr in MISSING_MATH:
        yield node.lineno, f"MicroPython has no math.{node.attr}"
    if isinstance(node.value, ast.Name) and node.value.id == "hashlib" and node.attr != "sha256":
        yield node.lineno, f"MicroPython has no hashlib.{node.attr}"


def _name(node: ast.Name) -> Found:
    if isinstance(node.ctx, ast.Load) and node.id in MISSING_NAMES:
        yield node.lineno, f"MicroPython has no {node.id}"


def _float_format(node: ast.FormattedValue) -> Found:
    spec = node.format_spec
    parts = spec.values if isinstance(spec, ast.JoinedStr) else []
    text = "".join([str(part.value) for part in parts if isinstance(part, ast.Constant)])
    if "." in text or (text and text[-1] in "eEfFgG%nc"):
        yield node.lineno, "a format of a float: floats are never shown"


def _percent(node: ast.BinOp) -> Found:
    text = isinstance(node.left, ast.Constant) and isinstance(node.left.value, str | bytes)
    if isinstance(node.op, ast.Mod) and (text or isinstance(node.left, ast.JoinedStr)):
        yield node.lineno, "%-formatting"


def _starred(node: "ast.List | ast.Tuple | ast.Set") -> Found:
    loads = isinstance(node, ast.Set) or isinstance(node.ctx, ast.Load)
    if loads and any(isinstance(part, ast.Starred) for part in node.elts):
        yield node.lineno, "* in a display: add the lists"


def _unpacked(node: ast.Dict) -> Found:
    if any(key is None for key in node.keys):
        yield node.lineno, "** in a display: copy and update"


def _arguments(node: ast.arguments) -> Found:
    if node.posonlyargs:
        yield node.posonlyargs[0].lineno, "positional-only parameters"


def _slice(node: ast.Slice) -> Found:
    if node.step is not None:
        yield node.lineno, "a slice with a step: use reversed() or a range"


def _class(node: ast.ClassDef) -> Found:
    if len(node.bases) > 1:
        yield node.lineno, "more than one base"
    if node.keywords:
        yield node.lineno, "a class with keywords"
    for decorator in node.decorator_list:
        yield decorator.lineno, "a decorated class"


def _never(reason: str) -> Callable[[Any], Found]:
    def look(node: Any) -> Found:
        yield node.lineno, reason

    return look


LOOKS: list[tuple[Any, Callable[[Any], Found]]] = [
    ((ast.Import, ast.ImportFrom), _imports),
    (ast.Call, _call),
    (ast.Attribute, _attribute),
    (ast.Name, _name),
    (ast.FormattedValue, _float_format),
    (ast.BinOp, _percent),
    ((ast.List, ast.Tuple, ast.Set), _starred),
    (ast.Dict, _unpacked),
    (ast.arguments, _arguments),
    (ast.Slice, _slice),
    (ast.ClassDef, _class),
    (ast.Match, _never("match")),
    (ast.TryStar, _never("except*")),
    ((ast.AsyncFunctionDef, ast.AsyncFor, ast.AsyncWith, ast.Await), _never("async")),
    (ast.Global, _never("global: the core keeps nothing between two calls")),
]
