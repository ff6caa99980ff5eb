"""Makes a clean picture of what somebody uploaded: decoded and written anew, in a process apart.

PNG and JPEG alone; nothing of the file is kept but its pixels: no metadata, no position, no text.
What goes in is the file on standard input; what comes out is the new file.
"""

import io
import os
import resource
import subprocess
import sys

from PIL import Image, ImageOps

from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.settings import ROOT

MOST_BYTES = 16 * 1024 * 1024
MOST_PIXELS = 60_000_000  # of what is decoded: today's phones take 50 million
MOST_SECONDS = 20
MOST_MEMORY = 1024 * 1024 * 1024
PHOTO_SIDE = 1600  # what a phone of the crew sends
LOGO_SIDE = 600


class PictureUnfitError(InputError):
    """No picture that can be taken."""

    def __init__(self) -> None:
        words = Msg("This picture cannot be read. Choose a JPEG or PNG picture.")
        super().__init__("picture-unfit", words)


def clean_picture(data: bytes, kind: str) -> tuple[bytes, int, int]:
    """Return (file, width, height) of an upload. kind: "photo", as JPEG; "logo", as PNG.

    Errors: PictureUnfitError for what is no picture, is too large or takes too long.
    """
    if not data or len(data) > MOST_BYTES:
        raise PictureUnfitError
    # no secret of ours is there for a decoder that bytes have taken over
    plain = {name: value for name, value in os.environ.items() if not name.startswith("SILLBOOK_")}
    command = [sys.executable, "-m", __name__, kind]
    try:
        done = subprocess.run(  # noqa: S603  (our own module, and the picture on its input)
            command, cwd=ROOT, env=plain, input=data, capture_output=True, timeout=MOST_SECONDS,
            check=True,
        )  # fmt: skip
    except (subprocess.TimeoutExpired, subprocess.CalledProcessError) as error:
        raise PictureUnfitError from error
    size, _, made = done.stdout.partition(b"\n")
    width, height = map(int, size.split())
    return made, width, height


def _drawn_anew(data: bytes, kind: str) -> bytes:
    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    with Image.open(io.BytesIO(data), formats=("JPEG", "PNG")) as opened:
        if opened.width * opened.height > MOST_PIXELS:
            raise ValueError("too many pixels")
        upright = ImageOps.exif_transpose(opened)
        pixels = upright.convert("RGB" if kind == "photo" else "RGBA")
    side = PHOTO_SIDE if kind == "photo" else LOGO_SIDE
    pixels.thumbnail((side, side))
    pixels.info.clear()
    out = io.BytesIO()
    if kind == "photo":
        pixels.save(out, "JPEG", quality=80)
    else:
        pixels.save(out, "PNG")
    return f"{pixels.width} {pixels.height}\n".encode() + out.getvalue()


if __name__ == "__main__":
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
    sys.stdout.buffer.write(_drawn_anew(sys.stdin.buffer.read(MOST_BYTES + 1), sys.argv[1]))
