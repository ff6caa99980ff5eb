"""Names for annotations only.

MicroPython parses annotations and throws them away, and has no ``typing``:
under it every name here is None, which nothing in the core may use at run time.
"""

try:
    from collections.abc import Callable, Sequence
    from typing import Any

    Json = dict[str, Any]
except ImportError:  # MicroPython
    Any = Callable = Sequence = Json = None  # type: ignore

__all__ = ["Any", "Callable", "Json", "Sequence"]
