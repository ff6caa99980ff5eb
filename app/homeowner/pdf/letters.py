"""Which characters the shipped fonts have, and what is written for the others.

A PDF/A must not show a character that no font has. Such a character is written as its number
in Unicode, as in [U+4E2D], so that nothing is lost.
"""

import struct
from functools import cache
from pathlib import Path

from app.core.kinds import Any
from app.homeowner.language_tags import outside_marks
from app.settings import STATIC

FOLDERS = (STATIC / "vendor" / "source-sans", STATIC / "vendor" / "dejavu")
MAIN = ("SourceSans3-Regular.ttf", "DejaVuSans.ttf")  # bold and italic fall back to the second


@cache
def covered() -> frozenset[int]:
    """Return the characters that a text in the record can show."""
    found: set[int] = set()
    for folder, name in zip(FOLDERS, MAIN, strict=True):
        found |= characters_of(folder / name)
    return frozenset(found)


def characters_of(path: Path) -> set[int]:
    """Return the characters that a TrueType font has a glyph for.

    Source: OpenType 1.9, table cmap, formats 4 and 12 (ISO/IEC 14496-22).
    """
    data = path.read_bytes()
    tables = {
        data[at : at + 4]: struct.unpack(">I", data[at + 8 : at + 12])[0]
        for at in range(12, 12 + 16 * struct.unpack(">H", data[4:6])[0], 16)
    }
    start = tables[b"cmap"]
    found: set[int] = set()
    for i in range(struct.unpack(">H", data[start + 2 : start + 4])[0]):
        offset = start + struct.unpack(">I", data[start + 8 + 8 * i : start + 12 + 8 * i])[0]
        format_ = struct.unpack(">H", data[offset : offset + 2])[0]
        if format_ in _READERS:
            found |= _READERS[format_](data, offset)
    return found


def _format_4(data: bytes, at: int) -> set[int]:
    count = struct.unpack(">H", data[at + 6 : at + 8])[0] // 2
    ends = struct.unpack(f">{count}H", data[at + 14 : at + 14 + 2 * count])
    starts = struct.unpack(f">{count}H", data[at + 16 + 2 * count : at + 16 + 4 * count])
    return {
        code
        for first, last in zip(starts, ends, strict=True)
        for code in range(first, last + 1)
        if last != 0xFFFF
    }


def _format_12(data: bytes, at: int) -> set[int]:
    count = struct.unpack(">I", data[at + 12 : at + 16])[0]
    groups = struct.iter_unpack(">III", data[at + 16 : at + 16 + 12 * count])
    return {code for first, last, _ in groups for code in range(first, last + 1)}


_READERS = {4: _format_4, 12: _format_12}


def fit(thing: Any) -> Any:
    """Return JSON whose texts hold only what the fonts have."""
    if isinstance(thing, str):
        return outside_marks(thing, lambda text: "".join(map(_letter, text)))
    if isinstance(thing, list):
        return [fit(part) for part in thing]
    if isinstance(thing, dict):
        return {key: fit(value) for key, value in thing.items()}
    return thing


def _letter(char: str) -> str:
    code = ord(char)
    if char == "\n" or (code in covered() and not _forbidden(code)):
        return char
    return " " if code < 32 else f"[U+{code:04X}]"


def _forbidden(code: int) -> bool:
    """Return whether PDF/A-3a takes it for no text: controls, private use, non-characters."""
    return code < 32 or 0x7F <= code < 0xA0 or 0xE000 <= code <= 0xF8FF or code == 0xFEFF
