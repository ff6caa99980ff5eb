"""What the API takes and gives: JSON. Times are ISO 8601; days 2026-03-02; "" where nothing is."""

from typing import Annotated, Generic, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field

T = TypeVar("T")
Kind = Literal["query", "out", "review", "accepted", "callback", "silent"]
_STRICT = ConfigDict(extra="forbid", strict=True)


class FieldFault(BaseModel):
    """What is wrong at one place of a body. pointer: RFC 6901, as in RFC 9457's own example."""

    detail: str
    pointer: str


class Problem(BaseModel):
    """Every refusal, as RFC 9457 has it; code does not change. errors: where fields are wrong."""

    type: str = "about:blank"
    title: str
    status: int
    detail: str
    code: str
    errors: list[FieldFault] | None = None


class PageOf(BaseModel, Generic[T]):
    """A page of a list. next: what `after` is for the page that follows; null on the last."""

    items: list[T]
    next: str | None


class JobIn(BaseModel):
    """A new job. mail: where the homeowner gets records."""

    model_config = _STRICT

    title: str = Field(min_length=1, max_length=200)
    address: str = Field(min_length=1, max_length=200)
    homeowner: str = Field(default="", max_length=200)
    contact: str = Field(default="", max_length=200)
    mail: str = Field(default="", max_length=200)


class JobOut(BaseModel):
    """A job, without the homeowner's name and contact. closed: cancelled, archived, or ""."""

    id: str
    title: str
    address: str
    depth: str
    closed: str


class OpeningIn(BaseModel):
    """An opening to be issued. drawing: texts by the names of the columns in FORMATS.md.

    units: of a number without a unit. procedure: its name, or name@version; "" for the usual one of
    that kind of door. depth: "" as the job has it. crew: what installers sign in with.
    """

    model_config = _STRICT

    letter: str = Field(min_length=1, max_length=80)
    room: str = Field(min_length=1, max_length=80)
    procedure: str = Field(default="", max_length=200)
    depth: Literal["", "short", "full"] = ""
    units: Literal["in", "mm"] = "in"
    crew: list[str] = Field(default=[], max_length=20)
    drawing: dict[Annotated[str, Field(max_length=100)], Annotated[str, Field(max_length=4000)]] = (
        Field(max_length=400)
    )


class OpeningNow(BaseModel):
    """An opening as it stands now.

    state: new, open, signed, returned, broken, disputed, unread, done, cancelled, archived. outs:
    checks that are out and not conceded. step: the next one that is not signed. signed, steps: how
    many. heard: when a crew was last heard of. first_day, last_day, promised, crew: as planned.
    practice: nobody sets this door; it is to practise on, and counts in no figure.
    """

    id: str
    job: str
    letter: str
    room: str
    state: str
    step: str
    signed: int
    steps: int
    outs: int
    queries: int
    parts: int
    procedure: str
    heard: str
    waits_until: str
    first_day: str
    last_day: str
    promised: str
    crew: str
    practice: bool


class CheckOut(BaseModel):
    """A check that rests on a reading. verdict: within, out, close, unreachable, conflict, …"""

    check: str
    verdict: str
    conceded: bool
    limits: list[str]
    bases: list[str]


class ReadingOut(BaseModel):
    """A reading, or a place that could not be reached (why). base_units: see FORMATS.md.

    stands: live, replaced, struck, stale, visit or set aside.
    """

    id: str
    step: str
    point: str
    title: str
    panel: str
    place: str
    as_typed: str
    quantity: str
    base_units: str
    length_mm: str
    stands: str
    why: str
    instrument: str
    measured_by: str
    measured_at: str
    entered_by: str
    entered_at: str
    digest: str
    checks: list[CheckOut]


class RecordOut(BaseModel):
    """One issued revision of a completion record. verify: where anybody can check it.

    practice: nobody set this door; somebody practised.
    """

    opening: str
    revision: int
    number: str
    at: str
    digest: str
    code: str
    verify: str
    practice: bool


class WebhookIn(BaseModel):
    """A new webhook. url: https://…, of the public network."""

    model_config = _STRICT

    url: str = Field(min_length=1, max_length=500)
    kinds: list[Kind] = Field(min_length=1, max_length=6)


class WebhookOut(BaseModel):
    """A webhook that holds."""

    id: str
    url: str
    kinds: list[Kind]


class WebhookMade(WebhookOut):
    """A webhook that was just made. secret: shown here alone; messages are signed with it."""

    secret: str
