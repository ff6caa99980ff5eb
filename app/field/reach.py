"""Which modules a module needs, and those in turn: the phone carries no others."""

import ast
from collections.abc import Iterable, Iterator


def reached_sources(start: Iterable[str], sources: dict[str, str]) -> set[str]:
    """Return the paths of the sources that running those of start can import.

    sources: {path: text}, e.g. "app/core/phone.py". `__import__("app.core.pages." + …)` reaches
    every module of that package.
    """
    paths = {_module_of(path): path for path in sources}
    ahead, found = list(start), set()
    while ahead:
        path = ahead.pop()
        if path not in found:
            found.add(path)
            ahead += [paths[name] for name in _imports_of(sources[path], set(paths))]
            ahead += [inside for inside in _package_paths(path) if inside in sources]
    return found


def _module_of(path: str) -> str:
    return path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")


def _package_paths(path: str) -> Iterator[str]:
    """Yield the paths of the packages that a module stands in: they are run before it."""
    parts = path.split("/")[:-1]
    for count in range(len(parts)):
        yield "/".join([*parts[: count + 1], "__init__.py"])


def _imports_of(source: str, known: set[str]) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom):
            found |= {str(node.module), *[f"{node.module}.{name.name}" for name in node.names]}
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            found |= _by_name(node, known) if node.func.id == "__import__" else set()
    return found & known


def _by_name(call: ast.Call, known: set[str]) -> set[str]:
    """Return what `__import__("a package." + …)` may mean."""
    wanted = call.args[0]
    if isinstance(wanted, ast.BinOp) and isinstance(wanted.left, ast.Constant):
        return {name for name in known if name.startswith(str(wanted.left.value))}
    return set()
