"""Whether bytes are one clean JPEG picture and nothing else.

First the markers are walked by hand (no decoding, no trust in lengths): only those that
draw the picture may stand there, so that no camera data, position, comment, second picture
or other file rides along. Then the scans are counted and the size in pixels is looked at, and
only then is the picture decoded, to its last line. The server has that done by a process of its
own (see decoding.py).

Source: ITU-T T.81 (JPEG) annex B for the markers; T.871 for JFIF; ICC.1 annex B.4 for APP2.
"""

import io
import json
import resource
import sys
import warnings

from PIL import Image

from app.core.errors import InputError
from app.core.quantity.messages import Msg

MOST_SIDE = 4096
# Each scan may go over the whole picture again. Cameras and browsers write 1; the progressive
# script of the IJG's library (jpeg_simple_progression) writes 10 in three colours, 18 in four.
MOST_SCANS = 20
# What one picture may cost: some 100 times what an honest one does.
MOST_SECONDS, MOST_MEMORY = 10, 1024**3
SOI, EOI, SOS = 0xD8, 0xD9, 0xDA
# Frames (baseline, extended, progressive), tables, restart interval.
FRAMES = {0xC0, 0xC1, 0xC2}
DRAWS = FRAMES | {0xC4, 0xDB, 0xDD, SOS}
# Segments that describe colour or shape of the pixels and no more: marker -> how they begin, and
# the most bytes.
DESCRIBES = {0xE0: (b"JFIF\0", 16), 0xE2: (b"ICC_PROFILE\0", 8192), 0xEE: (b"Adobe", 14)}


WORDS = {
    "photo-not-jpeg": Msg("This is not a whole JPEG picture."),
    "photo-extra": Msg("This picture carries data besides the picture. Only the picture is kept."),
    "photo-pixels": Msg("A picture has at most {side} pixels on a side.", side=MOST_SIDE),
    "photo-scans": Msg("A picture is drawn in at most {scans} scans.", scans=MOST_SCANS),
}


class PhotoUnfitError(InputError):
    """Bytes that are no clean JPEG picture: a code of WORDS."""

    def __init__(self, code: str) -> None:
        super().__init__(code, WORDS[code])


def answer_server() -> None:
    """Write as JSON what the picture on the input is: [width, height], or the code why not."""
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS + 1))
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    try:
        found: object = check(sys.stdin.buffer.read())
    except PhotoUnfitError as error:
        found = error.code
    sys.stdout.write(json.dumps(found))


def check(data: bytes) -> tuple[int, int]:
    """Return (width, height) in pixels of a clean JPEG.

    Lines that are missing before a proper end are not noticed: the decoder fills them up.
    Errors: PhotoUnfitError 'photo-not-jpeg', 'photo-extra', 'photo-pixels', 'photo-scans'.
    """
    found = _walk(data)
    frames = [data[at : at + 4] for marker, at in found if marker in FRAMES]
    if len(frames) != 1:
        raise PhotoUnfitError("photo-not-jpeg")
    if sum(marker == SOS for marker, _ in found) > MOST_SCANS:
        raise PhotoUnfitError("photo-scans")
    if max(int.from_bytes(frames[0][:2]), int.from_bytes(frames[0][2:])) > MOST_SIDE:
        raise PhotoUnfitError("photo-pixels")
    return _decoded(data)


def _walk(data: bytes) -> list[tuple[int, int]]:
    """Return each marker, with where the height stands if it is a frame's."""
    if data[:2] != bytes((0xFF, SOI)):
        raise PhotoUnfitError("photo-not-jpeg")
    found = []
    at = 2
    while (marker := _marker(data, at)) != EOI:
        found.append((marker, at + 5))
        at = _segment(data, at, marker)
    if at + 2 != len(data):
        raise PhotoUnfitError("photo-extra")
    return found


def _marker(data: bytes, at: int) -> int:
    if at + 2 > len(data) or data[at] != 0xFF:
        raise PhotoUnfitError("photo-not-jpeg")
    return data[at + 1]


def _segment(data: bytes, at: int, marker: int) -> int:
    """Return where the segment at a marker ends; raises PhotoUnfitError where it may not be."""
    length = int.from_bytes(data[at + 2 : at + 4])
    end = at + 2 + length
    if length < 2 or end > len(data):
        raise PhotoUnfitError("photo-not-jpeg")
    if marker not in DRAWS:
        _must_describe(marker, data[at + 4 : end])
    return _after_scan(data, end) if marker == SOS else end


def _must_describe(marker: int, content: bytes) -> None:
    begins, most = DESCRIBES.get(marker, (b"", -1))
    # a JFIF segment of its plain length has no thumbnail in it
    if len(content) + 2 > most or not content.startswith(begins):
        raise PhotoUnfitError("photo-extra")


def _after_scan(data: bytes, at: int) -> int:
    """Return where the coded lines end: at the first marker that is no restart and no stuffed 0."""
    while True:
        at = data.find(b"\xff", at)
        if at < 0 or at + 1 >= len(data):
            raise PhotoUnfitError("photo-not-jpeg")
        if data[at + 1] != 0 and not 0xD0 <= data[at + 1] <= 0xD7:
            return at
        at += 2


def _decoded(data: bytes) -> tuple[int, int]:
    try:
        with warnings.catch_warnings(), Image.open(io.BytesIO(data), formats=["JPEG"]) as picture:
            warnings.simplefilter("error")
            picture.load()
            return picture.size
    except (OSError, ValueError, SyntaxError, Warning, Image.DecompressionBombError) as error:
        raise PhotoUnfitError("photo-not-jpeg") from error


if __name__ == "__main__":
    answer_server()
