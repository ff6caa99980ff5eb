"""What the printed page of a record is held to, whichever engine printed it; for tests only."""

import io
import re
from collections import Counter
from html import unescape

from pypdf import PdfReader

CELL = re.compile(r'data-typed="[^"]*">([^<]*)<')
FOLDED = ("Living with the door", "Delivery check", "What this record says, and what it does not")
OF_A_SCREEN = ("Something is wrong with the door", "You are selling the house", "PDF to keep")


def print_faults(printed: bytes, page: str, repeats_foot: bool = True) -> list[str]:
    """Return what is wrong with a printed record.

    Every sheet says which door, revision and code it is of. What is folded on a screen is on paper,
    each reading as often as on the page; what only a screen can do is not. Engines set spaces as
    they like, so none is looked at. page: its HTML. repeats_foot: whether this engine sets the foot
    of a table again on each sheet; where it does not, the record says it once.
    """
    sheets = [_close(sheet.extract_text()) for sheet in PdfReader(io.BytesIO(printed)).pages]
    whole = "".join(sheets)
    named = re.search(r'href="/verify/([0-9A-Z-]+)"', page)
    assert named is not None
    every = (f"code {named[1]}", "Revision 1", "A · Family room")
    out = [
        f"sheet {number} lacks {words}"
        for number, sheet in enumerate(sheets if repeats_foot else [whole], 1)
        for words in every
        if _close(words) not in sheet
    ]
    out += [f"not printed: {words}" for words in FOLDED if _close(words) not in whole]
    out += [f"printed: {words}" for words in OF_A_SCREEN if _close(words) in whole]
    shown = Counter(map(unescape, CELL.findall(page)))
    assert sum(shown.values()) > 200
    return out + [
        f"printed too seldom: {text}"
        for text, count in shown.items()
        if whole.count(_close(text)) < count
    ]


def _close(text: str) -> str:
    return "".join(text.split())
