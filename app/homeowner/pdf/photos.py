"""Smaller renditions of photos for the PDF: the originals would make it too large to mail."""

import io
from functools import lru_cache
from pathlib import Path

from PIL import Image

# pixels on the longer side: 240 a printed inch at half a page's width, and just half of what a
# phone sends, which a JPEG can be decoded at without its finer half
SIDE = 800
QUALITY = 76


@lru_cache(maxsize=128)
def rendition(path: Path) -> bytes | None:
    """Return a photo made small, without metadata; None where the file is not there."""
    try:
        with Image.open(path, formats=("JPEG",)) as opened:
            opened.draft("RGB", _wanted(opened.size))  # decodes at a fraction where it can
            photo = opened.convert("RGB")
    except OSError:  # not there, or no picture: its digest still stands on the page
        return None
    photo.thumbnail((SIDE, SIDE), Image.Resampling.BILINEAR)
    photo.info.clear()  # comments and the like would be written again
    out = io.BytesIO()
    photo.save(out, "JPEG", quality=QUALITY, optimize=False)
    return out.getvalue()


def _wanted(size: tuple[int, int]) -> tuple[int, int]:
    """Return the size of a photo made small: the longer side is SIDE."""
    longer = max(*size, 1)
    return max(1, size[0] * SIDE // longer), max(1, size[1] * SIDE // longer)
