"""Makes pictures of a maker's shop drawing: a PDF by its pages (PDFium), a JPEG or PNG as one.

A stranger's file is read in a process of its own, bounded in memory and time. Nothing is kept of it
but pixels, written anew: no script of a PDF, no metadata, no text. In goes the file on standard
input; out come a line of sizes as JSON, then the JPEG files, one after the other.

Source: ISO 32000 (PDF) by PDFium; ISO/IEC 10918 (JPEG) and ISO/IEC 15948 (PNG) by Pillow.
"""

import io
import json
import os
import resource
import subprocess
import sys
from dataclasses import dataclass

import pypdfium2
from PIL import Image, ImageOps

from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.settings import ROOT
from app.store.shop_drawings import MOST_PAGES

MOST_BYTES = 16 * 1024 * 1024  # of the file
MOST_EACH = 1024 * 1024  # of a picture: twelve of them are what a phone can well take along
MOST_PIXELS = 60_000_000
SIDE = 2200  # pixels on the longer side: a tabloid sheet's small print can be read
MOST_SECONDS = 40
MOST_MEMORY = 1024 * 1024 * 1024
_QUALITIES = (80, 60, 40)
_WORDS = {
    "shop-unfit": Msg("This file cannot be read. Choose a PDF, a JPEG or a PNG."),
    "shop-locked": Msg("This PDF is locked by a password. Save it without one, then choose it."),
    "shop-pages": Msg("A shop drawing has at most {most} pages here.", most=MOST_PAGES),
    "shop-large": Msg("This file is too large: at most 16 MB."),
}


class ShopUnfitError(InputError):
    """A file that no shop drawing can be made of: a code of _WORDS."""

    def __init__(self, code: str) -> None:
        super().__init__(code, _WORDS[code])


@dataclass(frozen=True)
class PagePicture:
    """A page as a JPEG; sizes in pixels."""

    data: bytes
    width: int
    height: int


def page_pictures(data: bytes) -> list[PagePicture]:
    """Return the pages of a file as pictures. Errors: ShopUnfitError."""
    if len(data) > MOST_BYTES:
        raise ShopUnfitError("shop-large")
    # no secret of ours is there for a decoder that bytes have taken over
    plain = {name: value for name, value in os.environ.items() if not name.startswith("SILLBOOK_")}
    command = [sys.executable, "-m", __name__]
    try:
        done = subprocess.run(  # noqa: S603  (our own module, and the file on its input)
            command, cwd=ROOT, env=plain, input=data, capture_output=True, timeout=MOST_SECONDS,
            check=True,
        )  # fmt: skip
    except (subprocess.TimeoutExpired, subprocess.CalledProcessError) as error:
        raise ShopUnfitError("shop-unfit") from error
    head, _, rest = done.stdout.partition(b"\n")
    found = json.loads(head)
    if isinstance(found, str):
        raise ShopUnfitError(found)
    out = []
    for size, width, height in found:
        out.append(PagePicture(rest[:size], width, height))
        rest = rest[size:]
    return out


def _drawn_pages(data: bytes) -> bytes:
    """Return what the process says: sizes and pictures, or the code of what is wrong."""
    try:
        images = _of_pdf(data) if data.startswith(b"%PDF-") else [_of_picture(data)]
    except ShopUnfitError as error:
        return json.dumps(error.code).encode() + b"\n"
    files = [(_written(image), image.width, image.height) for image in images]
    sizes = [(len(file), width, height) for file, width, height in files]
    return json.dumps(sizes).encode() + b"\n" + b"".join(file for file, _, _ in files)


def _of_pdf(data: bytes) -> list[Image.Image]:
    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError as error:
        locked = "password" in str(error).lower()
        raise ShopUnfitError("shop-locked" if locked else "shop-unfit") from error
    if not 0 < len(document) <= MOST_PAGES:
        raise ShopUnfitError("shop-pages" if len(document) else "shop-unfit")
    return [_of_page(page) for page in document]


def _of_page(page: pypdfium2.PdfPage) -> Image.Image:
    """Return a page as a picture whose longer side has SIDE pixels, whatever its size in points."""
    longest = max(page.get_size())
    if not longest > 0:
        raise ShopUnfitError("shop-unfit")
    drawn: Image.Image = page.render(scale=SIDE / longest, may_draw_forms=False).to_pil()
    return drawn.convert("RGB")


def _of_picture(data: bytes) -> Image.Image:
    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    try:
        with Image.open(io.BytesIO(data), formats=("JPEG", "PNG")) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise ShopUnfitError("shop-unfit")
            upright = ImageOps.exif_transpose(opened)
            whole = Image.new("RGB", upright.size, "white")  # what is clear on paper is white
            shape = upright.convert("RGBA")
            whole.paste(shape, mask=shape)
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        raise ShopUnfitError("shop-unfit") from error
    whole.thumbnail((SIDE, SIDE))
    return whole


def _written(image: Image.Image) -> bytes:
    """Return a picture as a JPEG, coarser where it would be too large. Errors: ShopUnfitError."""
    image.info.clear()
    for quality in _QUALITIES:
        out = io.BytesIO()
        image.save(out, "JPEG", quality=quality)
        if out.tell() <= MOST_EACH:
            break
    return out.getvalue()


if __name__ == "__main__":
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    sys.stdout.buffer.write(_drawn_pages(sys.stdin.buffer.read(MOST_BYTES + 1)))
