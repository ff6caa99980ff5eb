"""Takes the file that a record's PDF carries out of it, without a reader of PDFs.

The stream is looked for by the one shape in which the typesetter writes it, and inflated up to a
limit. A file of another shape is refused: no parser has to be trusted with a stranger's file.

Source: ISO 32000-1 7.11.4 (EmbeddedFile), RFC 1950 (zlib).
"""

import re
import zlib

from app.core.errors import InputError
from app.core.quantity.messages import Msg

MOST_INFLATED = 32 * 1024 * 1024
_STREAM = re.compile(
    rb"<</Length (\d{1,9})/Type/EmbeddedFile/Filter/FlateDecode[^\r\n]{1,300}>>\nstream\n"
)


class EmbeddedUnfitError(InputError):
    """No file is embedded, or one that cannot be taken out."""


def embedded_file(pdf: bytes) -> bytes:
    """Return the one file that is embedded in a PDF.

    Errors: EmbeddedUnfitError 'embedded-missing', 'embedded-unfit'.
    """
    found = list(_STREAM.finditer(pdf))
    if len(found) != 1:
        raise EmbeddedUnfitError(
            "embedded-missing", Msg("This PDF does not carry the facts of its record.")
        )
    begin, length = found[0].end(), int(found[0][1])
    inflater = zlib.decompressobj()
    try:
        data = inflater.decompress(pdf[begin : begin + length], MOST_INFLATED)
    except zlib.error as error:
        raise _unfit() from error
    if not inflater.eof or inflater.unused_data:
        raise _unfit()
    return data


def _unfit() -> EmbeddedUnfitError:
    words = Msg("The facts in this PDF are damaged, or larger than a record's are.")
    return EmbeddedUnfitError("embedded-unfit", words)
