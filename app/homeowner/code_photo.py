"""Reads the QR codes in a photo of a sheet: PNG or JPEG, by zxing-cpp. Runs in the process apart.

Source: ISO/IEC 18004 (QR code), ISO/IEC 10918 (JPEG), ISO/IEC 15948 (PNG), by those libraries.
"""

import io

import zxingcpp
from PIL import Image

from app.homeowner import snapshot

MOST_PIXELS = 60_000_000  # today's phones take 50 million
SIDE = 2000  # pixels on the longer side: a code is found quicker, and noise goes, in a smaller one
MOST_CODES = 8
STARTS = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n")


class CodePhotoError(ValueError):
    """A photo that is too large, or none."""


def is_photo(data: bytes) -> bool:
    """Return whether a file begins as a JPEG or PNG does."""
    return data.startswith(STARTS)


def codes_in(data: bytes) -> list[str]:
    """Return the texts of the QR codes in a photo, at most MOST_CODES; [] where none is seen.

    Errors: CodePhotoError.
    """
    try:
        with Image.open(io.BytesIO(data), formats=("JPEG", "PNG")) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise CodePhotoError
            opened.draft("L", (SIDE, SIDE))  # a JPEG is decoded at a fraction where it can be
            whole = opened.convert("L")
    except (OSError, Image.DecompressionBombError, SyntaxError) as error:
        raise CodePhotoError from error
    small = whole.copy()
    small.thumbnail((SIDE, SIDE))
    only_qr = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)
    for pixels in (small, whole) if small.size != whole.size else (whole,):
        found = zxingcpp.read_barcodes(pixels, formats=only_qr)
        if found:
            return [one.text[:300] for one in found[:MOST_CODES]]
    return []


def record_code(texts: list[str]) -> tuple[str, str]:
    """Return (code, address up to /verify) of the first text that leads to a record's check.

    ("", "") where none does.
    Example: record_code(["https://book.example.org/verify/ABCDE-12345"])
             -> ("ABCDE-12345", "https://book.example.org")
    """
    for text in texts:
        base, _, rest = text.partition("/verify/")
        code = snapshot.read_code(rest)
        if code and base.lower().startswith(("http://", "https://")):
            return code, base
    return "", ""
