"""Names stand beside the record, never in it.

A snapshot names people by marks that are filled in when it is shown, so that a name can be
erased or mended and every digest stands. The marks are private-use characters of Unicode
around the person's id.
"""

import re

from app.core.kinds import Any

OPEN, CLOSE = "\ue000", "\ue001"
HOMEOWNER = "job:homeowner"
_MARKED = re.compile(f"{OPEN}([^{OPEN}{CLOSE}]+){CLOSE}")


def mark(id: str) -> str:
    """Return what stands for a person's name in a snapshot."""
    return OPEN + id + CLOSE


def filled(thing: Any, names: dict[str, str], unknown: str) -> Any:
    """Return JSON with every mark replaced by its name; `unknown` where that was erased."""
    if isinstance(thing, str):
        return _MARKED.sub(lambda found: names.get(found[1]) or unknown, thing)
    if isinstance(thing, list):
        return [filled(part, names, unknown) for part in thing]
    if isinstance(thing, dict):
        return {key: filled(value, names, unknown) for key, value in thing.items()}
    return thing
