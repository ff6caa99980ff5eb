"""One event as a phone offers it."""

import hashlib
import json
from dataclasses import dataclass, field

from pydantic import ValidationError

from app.core.errors import InputError
from app.core.kinds import Any, Json
from app.core.record.canonical import canonical_bytes
from app.core.record.events import is_readable
from app.sync.messages import EventIn, Id, OtherVersionIn, Receipt, StrictMessage

DEEPEST = 16  # the phones' interpreter fails on deep nesting; no event of ours goes below 8
MOST_BYTES = 64 * 1024


class _Named(StrictMessage):
    id: Id


@dataclass
class Offer:
    """raw: as it came. event: the same where its envelope can be read, else None; then hash is "".
    written: its canonical text.

    size: bytes, but for `seen`: that grows with the phones of an opening, by nobody's fault.
    key: what it is found by when it was set aside: its hash, or that of its text.
    covered: a good signature of its phone covers it.
    """

    raw: Json
    signature: str = ""
    event: Json | None = None
    hash: str = ""
    written: str = ""
    size: int = 0
    covered: bool = False
    receipt: Receipt | None = field(default=None, repr=False)

    @property
    def id(self) -> str:
        """Return the event's id, or "" where it has none that can be read."""
        return readable_id(self.raw)

    @property
    def text(self) -> str:
        """Return the event as it came, in ASCII."""
        return json.dumps(self.raw)

    @property
    def key(self) -> str:
        """Return what the event is found by when it is not in the log."""
        return self.hash or hashlib.sha256(self.text.encode()).hexdigest()


def readable_id(raw: Json) -> str:
    """Return the id of an event as it came, or ""."""
    try:
        return _Named(id=raw.get("id", "")).id
    except ValidationError:
        return ""


def offer(raw: Json, signature: str = "") -> Offer:
    """Return an offer, its envelope read and its hash worked out where that can be done."""
    made = Offer(raw, signature)
    if not is_shallow(raw, DEEPEST):
        return made
    try:
        written = canonical_bytes(raw)
        known = not isinstance(raw.get("v"), int) or is_readable(raw)
        (EventIn if known else OtherVersionIn).model_validate(raw)
    except (InputError, ValidationError):
        return made
    made.event, made.size = raw, len(written) - len(canonical_bytes(raw["seen"]))
    made.hash, made.written = hashlib.sha256(written).hexdigest(), written.decode()
    return made


def is_shallow(thing: Any, deepest: int) -> bool:
    """Return whether lists and objects nest no deeper than so many levels."""
    if not isinstance(thing, dict | list):
        return True
    inner = thing.values() if isinstance(thing, dict) else thing
    return deepest > 0 and all(is_shallow(part, deepest - 1) for part in inner)
