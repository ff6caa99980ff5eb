"""Which version of the program made a snapshot: the digest of all that decides what it says.

Another version may word or draw the same thing otherwise. Who checks a record with it has to know
that, or an honest record of years ago would be called wrong.
"""

import hashlib
from functools import cache
from pathlib import Path

APP = Path(__file__).resolve().parents[1]
PARTS = ("core/**/*.py", "homeowner/*.py", "words/*.py", "words/*.json")


@cache
def version() -> str:
    """Return the digest of the sources that a snapshot is made by: 64 hex digits."""
    lines = [
        f"{path.relative_to(APP).as_posix()} {_digest(path)}\n"
        for part in PARTS
        for path in sorted(APP.glob(part))
    ]
    return hashlib.sha256("".join(lines).encode()).hexdigest()


def _digest(path: Path) -> str:
    """Return a text's digest, whichever way its lines end."""
    return hashlib.sha256(path.read_bytes().replace(b"\r\n", b"\n")).hexdigest()
