"""Files as they go over the line: Brotli for whoever takes it, else gzip, else as they are.

Browsers take Brotli only where nobody on the way can have changed it: over HTTPS, and from the
machine itself. It is as small as it gets, and slow to make (two seconds for all that a phone
takes): what was made stands beside the compiled Python, where the program's folder may be written.
"""

import gzip
from contextlib import suppress
from pathlib import Path

import brotli

KEPT = Path(__file__).with_name("__pycache__") / "packed"


def coding_for(accepted: str) -> str:
    """Return "br", "gzip" or "" for an Accept-Encoding header (RFC 9110, 12.5.3)."""
    wishes = dict(_wanted_coding(part) for part in accepted.lower().split(","))
    return next((name for name in ("br", "gzip") if wishes.get(name)), "")


def _wanted_coding(part: str) -> tuple[str, bool]:
    """Return a coding, and whether it is wanted: weight 0 means that it is not."""
    name, _, weight = part.replace(" ", "").partition(";q=")
    return name, bool(weight.strip("0.")) or not weight


def packed_content(content: bytes, coding: str, name: str) -> bytes:
    """Return the content in a coding; name, a path such as "/static/x.css", says where it is kept.

    The same content gives the same bytes: gzip has no time of making in it.
    """
    if coding == "br":
        return _kept_content(content, KEPT / (name.strip("/").replace("/", "~") + ".br"))
    return gzip.compress(content, 9, mtime=0) if coding == "gzip" else content


def _kept_content(content: bytes, path: Path) -> bytes:
    """Return what was made of this content before; where that is missing or of another, make it."""
    with suppress(OSError, brotli.error):
        known = path.read_bytes()
        if brotli.decompress(known) == content:
            return known
    made: bytes = brotli.compress(content)
    with suppress(OSError):  # it may not be allowed: then it is made once at every start
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(made)
    return made
