"""Smaller renditions of photos for the PDF: the originals would make it too large to mail."""

import io
from functools import lru_cache
from pathlib import Path

from PIL import Image

SIDE = 1000  # pixels on the longer side: 300 a printed inch and more at half a page's width
QUALITY = 68


@lru_cache(maxsize=128)
def rendition(path: Path) -> bytes | None:
    """Return a photo made small, without metadata; None where the file is not there."""
    try:
        with Image.open(path, formats=("JPEG",)) as opened:
            opened.draft("RGB", (SIDE, SIDE))  # decodes at a fraction of the size where it can
            photo = opened.convert("RGB")
    except OSError:  # not there, or no picture: its digest still stands on the page
        return None
    photo.thumbnail((SIDE, SIDE), Image.Resampling.BILINEAR)
    out = io.BytesIO()
    photo.save(out, "JPEG", quality=QUALITY, optimize=False)
    return out.getvalue()
