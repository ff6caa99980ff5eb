"""Smaller renditions of photos for the PDF: the originals would make it too large to mail."""

import io
from functools import lru_cache

from PIL import Image

from app.store.photos import PhotoPlace

# pixels on the longer side: 240 a printed inch at half a page's width, and just half of what a
# phone sends, which a JPEG can be decoded at without its finer half
SIDE = 800
QUALITY = 76


def rendition(place: PhotoPlace, sha256: str) -> bytes | None:
    """Return a photo made small, without metadata; None where it is not there, or no picture.

    Its digest then stands on the page all the same. Errors: PhotosAwayError.
    """
    try:
        return small_photo(place, sha256)
    except OSError:
        return None


@lru_cache(maxsize=128)
def small_photo(place: PhotoPlace, sha256: str) -> bytes:
    """Return a photo made small; what is not there yet is looked for again the next time.

    Errors: OSError where it is not there, or no picture; PhotosAwayError.
    """
    data = place.read_photo(sha256)
    if data is None:
        raise FileNotFoundError(sha256)
    with Image.open(io.BytesIO(data), formats=("JPEG",)) as opened:
        opened.draft("RGB", _wanted(opened.size))  # decodes at a fraction where it can
        photo = opened.convert("RGB")
    photo.thumbnail((SIDE, SIDE), Image.Resampling.BILINEAR)
    photo.info.clear()  # comments and the like would be written again
    out = io.BytesIO()
    photo.save(out, "JPEG", quality=QUALITY, optimize=False)
    return out.getvalue()


def _wanted(size: tuple[int, int]) -> tuple[int, int]:
    """Return the size of a photo made small: the longer side is SIDE."""
    longer = max(*size, 1)
    return max(1, size[0] * SIDE // longer), max(1, size[1] * SIDE // longer)
