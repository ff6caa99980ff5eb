"""What phones send and get, as models: explicit, strict, unknown fields refused.

The OpenAPI document is made of these same models.
"""

from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from app.core.record.canonical import GREATEST

MOST_EVENTS = 200
MOST_N = 2**31 - 1  # a chain grows by one; a turn may stand above one that was made up

Id = Annotated[str, Field(pattern=r"^[A-Za-z0-9._:-]{1,64}$")]
Hash = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Signature = Annotated[str, Field(max_length=128)]
Number = Annotated[int, Field(ge=1, le=MOST_N)]
Turn = Annotated[int, Field(ge=1, le=GREATEST)]


def _can_be_shown(name: str) -> str:
    if not name.isprintable():
        raise ValueError("must be text that can be shown")
    return name


class StrictMessage(BaseModel):
    """No field but those named, and no value of another type."""

    model_config = ConfigDict(extra="forbid", strict=True)


class EventIn(StrictMessage):
    """An event; see app/core/record/events.py. prev: "" for n = 1."""

    id: Id
    device: Id
    opening: Id
    n: Number
    prev: Annotated[str, Field(pattern=r"^([0-9a-f]{64})?$")]
    seen: dict[Id, Number]
    turn: Turn
    at: Annotated[str, Field(max_length=64)]
    person: Id
    kind: Annotated[str, Field(max_length=64)]
    body: dict[str, Any]
    v: Annotated[int, Field(ge=1, le=GREATEST)]


class OtherVersionIn(EventIn):
    """An event of a version that we do not read: its envelope must fit, and it may have more."""

    model_config = ConfigDict(extra="allow", strict=True)


class ChainHead(StrictMessage):
    """The last event of one opening's chain in a batch, signed by the phone's key."""

    opening: Id
    n: Number
    hash: Hash
    signature: Signature


class Batch(StrictMessage):
    """What a phone offers. events: each as in Event; one that does not fit is set aside alone."""

    epoch: Annotated[str, Field(max_length=64), AfterValidator(_can_be_shown)] = ""
    bundle: Annotated[str, Field(max_length=128), AfterValidator(_can_be_shown)] = ""
    unsent: Annotated[int, Field(ge=0, le=MOST_N)] = 0
    events: Annotated[list[dict[str, Any]], Field(max_length=MOST_EVENTS)]
    signatures: Annotated[dict[str, Signature], Field(max_length=MOST_EVENTS)] = {}
    heads: Annotated[list[ChainHead], Field(max_length=MOST_EVENTS)] = []

    def openings(self) -> set[str]:
        """Return the openings that it names, whether there are such or not."""
        named = [event.get("opening") for event in self.events]
        return {head.opening for head in self.heads} | {n for n in named if isinstance(n, str)}


class Receipt(StrictMessage):
    """What became of one event; receipts stand in the order of the events."""

    id: str
    state: Annotated[str, Field(pattern="^(stored|already|held|set-aside)$")]
    why: str
    words: str


class BatchReceipts(StrictMessage):
    """The answer to a batch, given after it is committed. held: opening -> device -> greatest n."""

    epoch: str
    receipts: list[Receipt]
    held: dict[str, dict[str, int]]


class CallbackOut(StrictMessage):
    """An owner's complaint that is open."""

    id: str
    words: str


class ShopPageOut(StrictMessage):
    """A page of a shop drawing: a picture at /photos/SHA256; sizes in pixels."""

    sha256: str
    width: int
    height: int


class OpeningOut(StrictMessage):
    """An opening; persons: which of the phone's people may see it."""

    id: str
    job: str
    job_title: str
    address: str
    homeowner: str
    letter: str
    room: str
    persons: list[str]
    callbacks: list[CallbackOut]
    shop: list[ShopPageOut]


class PersonOut(StrictMessage):
    """Somebody who may enter on the phone."""

    id: str
    name: str
    role: str
    units: str
    lang: str


class InstrumentOut(StrictMessage):
    """An instrument of the company. checked: the body of its last check, with "at" and "by"."""

    id: str
    name: str
    sort: str
    resolution: str
    grade: str
    slope: str
    checked: dict[str, Any] | None


class News(StrictMessage):
    """A page of what is new. What is null stands on the last page only, where more is false.

    secret: the phone's, by which it checks codes that are read out to it.
    """

    epoch: str
    cursor: str
    more: bool
    count: int | None
    digest: str | None
    events: list[dict[str, Any]]
    openings: list[OpeningOut]
    procedures: list[dict[str, Any]]
    instruments: list[InstrumentOut]
    people: dict[str, str]
    person: PersonOut
    persons: list[PersonOut]
    withdrawn: list[str]
    secret: str
    accepted: list[str] | None
    photos_awaited: list[str] | None
    aside: list[str] | None


class PublicKey(StrictMessage):
    """A P-256 public key as WebCrypto exports it (JWK)."""

    kty: Annotated[str, Field(pattern="^EC$")]
    crv: Annotated[str, Field(pattern="^P-256$")]
    x: Annotated[str, Field(max_length=64)]
    y: Annotated[str, Field(max_length=64)]
    ext: bool = True
    key_ops: Annotated[list[str], Field(max_length=8)] = []
    alg: Annotated[str, Field(max_length=16)] = "ES256"


class PairIn(StrictMessage):
    """What a phone sends to be paired. proof: only for a key that is known already."""

    code: Annotated[str, Field(max_length=64)]
    name: Annotated[str, Field(min_length=1, max_length=80), AfterValidator(_can_be_shown)]
    key: PublicKey
    proof: Signature = ""

    @property
    def jwk(self) -> dict[str, Any]:
        """Return the key's members."""
        return self.key.model_dump()


class PairOut(StrictMessage):
    """What a paired phone gets; the token is shown this once."""

    device: str
    token: str
    person: PersonOut
    epoch: str


class PasswordIn(StrictMessage):
    """Whether this is the password of one of the phone's persons."""

    person: Id
    password: Annotated[str, Field(max_length=1024)]


class PasswordOut(StrictMessage):
    """It is."""

    person: str


class PushIn(StrictMessage):
    """Where a phone is told at once, as its browser gives it; "" in all three: nowhere any more."""

    endpoint: Annotated[str, Field(max_length=1000)]
    p256dh: Annotated[str, Field(max_length=100)]
    auth: Annotated[str, Field(max_length=100)]


class PushOut(StrictMessage):
    """The office's key for messages, "" where it sends none; whether this phone is told."""

    key: str
    kept: bool


class PhotoOut(StrictMessage):
    """A photo that is kept."""

    sha256: str
    state: Annotated[str, Field(pattern="^(stored|already)$")]
    width: int
    height: int
