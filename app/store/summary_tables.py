"""Tables worked out from events: nothing in them cannot be made again (see summaries.py)."""

from typing import Any

from sqlalchemy import Index, literal_column, text
from sqlmodel import Field, SQLModel

# What the board shows an opening as, by its state.
SHOWN_AS = {
    "signed": "review",
    "broken": "look",
    "disputed": "look",
    "returned": "look",
    "unread": "look",  # a procedure or entries that this version cannot judge
    "open": "work",
    "new": "new",
    "done": "done",
    "cancelled": "closed",
    "archived": "closed",
}
CLOSED = tuple(state for state, name in SHOWN_AS.items() if name == "closed")
SETTLED = ("done", *CLOSED)  # states of openings that nobody works at
# An opening's place on the board, by what it costs to let it wait: a crew that waits for an answer
# first, then what is out and may stop it, what waits for the office, what cannot go on yet.
# Behind them all what is closed, and what is to practise on: nothing of those waits for anybody.
PLACES = ("queries", "outs", "review", "look", "held", "work", "new", "done", "closed", "practice")
HELD = ("parts", "not_ready", "waiting")  # flags by which it is "held"
# A flag counts open items of one kind; each has a short list of openings of its own.
FLAGS = ("outs", "queries", "parts", "not_ready", "waiting", "otherwise")


class Summary(SQLModel, table=True):
    """An opening as the board shows it.

    place: where in PLACES. step, step_title: the next step that is not signed for good.
    outs: checks that are out (or whose readings disagree) and not conceded. queries: without
    an answer. waiting: queries answered "wait". parts: lines that are short, damaged or wrong.
    not_ready: decisions that bar. otherwise: steps that today's
    rules would judge otherwise. heard: when the last entry of a crew was received, or the
    issue. procedure: id@version in force there. clock, until: the clock that is waited for, with
    its end as a claimed time, "" for none. first_day, last_day, promised: as planned, "" for open.
    due: the first of the last two that is still to be kept. crew: whose it is. begun: when the
    first entry of a crew came in. heaviest: "letter mass" of the panel that weighs most.
    hold_outs: "step|check" of each check at a hold point that is among outs, a space between.
    step_states: JSON of {step: "signed", "broken", "disputed", "out" or ""} in the steps' order; ""
    where it was not worked out. out: not signed, with a check among outs.
    practice: it is to practise on; then no flag is set, no day planned, and no tally counts it.
    seq: number of the last event. words: what the
    search looks through (see search_words.py); last in the indexes that give the orders, so that
    a search need not fetch what it passes over.
    """

    __table_args__ = (
        Index("ix_summary_urgent", "place", "heard", "opening", "state", "words"),
        Index("ix_summary_heard", "heard", "opening", "words"),
        Index("ix_summary_title", "title", "letter", "opening", "words"),
        Index("ix_summary_job", "job", "letter", "opening"),
        Index("ix_summary_procedure", "procedure", "opening"),
        *(
            Index(
                f"ix_summary_{name}",
                name,
                "opening",
                sqlite_where=text(f"{name} <> ''"),
                postgresql_where=text(f"{name} <> ''"),
            )
            for name in ("last_day", "due", "until")
        ),
        *(
            Index(
                f"ix_summary_{flag}",
                "place",
                "heard",
                "opening",
                sqlite_where=text(f"{flag} > 0"),
                postgresql_where=text(f"{flag} > 0"),
            )
            for flag in FLAGS
        ),
    )

    opening: str = Field(primary_key=True, foreign_key="opening.id")
    job: str
    title: str
    address: str
    letter: str
    room: str
    words: str
    state: str
    place: int
    step: str
    step_title: str
    signed: int
    steps: int
    outs: int
    queries: int
    parts: int
    not_ready: int
    waiting: int
    otherwise: int
    heard: str
    seq: int
    procedure: str = ""
    clock: str = ""
    until: str = ""
    first_day: str = ""
    last_day: str = ""
    promised: str = ""
    due: str = ""
    crew: str = Field(default="", index=True)
    begun: str = ""
    heaviest: str = ""
    hold_outs: str = ""
    step_states: str = ""
    practice: bool = False


# As the partial indexes say it: SQLite does not look into what is bound.
NOTHING: Any = literal_column("''")
NONE: Any = literal_column("0")


class SearchWord(SQLModel, table=True):
    """A word of an opening's summary, sorted by word: where a search looks first."""

    __tablename__ = "search_word"
    __table_args__ = ({"sqlite_with_rowid": False},)

    word: str = Field(primary_key=True)
    opening: str = Field(primary_key=True, foreign_key="opening.id")


class OpenItem(SQLModel, table=True):
    """One thing of an opening that waits for somebody, for the lists across openings.

    id: opening|kind|what it is about. kind: one of FLAGS but "outs". ref: the part's mark, the
    query's or the decision's event. what: what it is about in words of the drawing, procedure
    or crew; said: what was said of it. choice: the choice or state that was said.
    """

    __tablename__ = "open_item"
    __table_args__ = (Index("ix_open_item_kind", "kind", "at", "id"),)

    id: str = Field(primary_key=True)
    opening: str = Field(foreign_key="opening.id", index=True)
    kind: str
    ref: str
    step: str
    what: str
    said: str
    choice: str
    name: str
    person: str
    at: str


class Tally(SQLModel, table=True):
    """How many openings are in a state, or have a flag; kept by triggers on Summary."""

    name: str = Field(primary_key=True)
    count: int
