"""The board's search: what it finds is what Python's own startswith finds, in both databases."""

import itertools
import random
from datetime import UTC, datetime

import pytest
from sqlalchemy import insert
from sqlmodel import Session, col, select

from app.office.board import asking, finding
from app.office.board.asking import BoardQuery
from app.store import search_words
from app.store.database import Database
from app.store.search_words import word_line, words_of
from app.store.summaries import place_of
from app.store.summary_tables import CLOSED, FLAGS, SHOWN_AS, SearchWord, Summary
from app.store.tables import Opening

NOW = datetime(2026, 12, 1, 12, tzinfo=UTC)
TEXTS = ("Marrow Lane", "14 Peña Way", "O'Dell & Sons", "Straße 7", "kitchen", "Kitchen, rear", "A")


@pytest.mark.parametrize(
    ("text", "words"),
    # Small letters by Unicode's full case folding, accents by its canonical decomposition.
    [
        ("14 Marrow-Lane", ["14", "marrow", "lane"]),
        ("PEÑA peña Ññ", ["pena", "pena", "nn"]),
        ("Straße", ["strasse"]),
        ("7½ O'Dell_%", ["71", "2", "o", "dell"]),
        ("", []),
        (" %_' ", []),
        ("x" * 100, ["x" * 40]),
    ],
)
def test_words_of_a_text(text: str, words: list[str]) -> None:
    assert words_of(text) == words


def test_line_of_a_long_text_ends_with_a_whole_word() -> None:
    long = word_line([" ".join(f"w{n}" for n in range(2000))])
    assert len(long.encode()) <= 1000
    assert long.split() == [f"w{n}" for n in range(len(long.split()))]


def fill(session: Session, count: int) -> dict[str, list[str]]:
    """Add summaries of made-up openings; returns the texts of each."""
    some = random.Random(5)
    made, texts = [], {}
    for n in range(count):
        id = f"x-{n:03}"
        texts[id] = some.sample(TEXTS, 2)
        state = some.choice(list(SHOWN_AS))
        session.add(Opening(id=id, job="job-1", letter="A", room="x"))
        made.append(
            {
                **dict.fromkeys(Summary.model_fields, 0),
                **dict.fromkeys(("address", "step", "step_title", "procedure"), ""),
                "opening": id,
                "job": "job-1",
                "title": texts[id][0],
                "letter": "A",
                "room": texts[id][1],
                "words": word_line(texts[id]),
                "state": state,
                "place": place_of({"state": state, **dict.fromkeys(FLAGS, 0)}),
                "heard": f"2026-03-{some.randrange(1, 29):02}",
            }
        )
    session.flush()
    search_words.keep_words(session, {}, made)
    session.connection().execute(insert(Summary), made)
    return texts


def expected(texts: dict[str, list[str]], asked: str) -> list[str]:
    """Look through all of it, by hand."""
    words = words_of(asked)
    return [
        id
        for id, said in texts.items()
        if all(any(w.startswith(one) for t in said for w in words_of(t)) for one in words)
    ]


@pytest.mark.parametrize("few", [0, 20, 5000])
def test_finds_what_looking_through_all_of_it_finds(
    database: Database, few: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(finding, "FEW", few)
    with database.write() as session:
        texts = fill(session, 120)
        shut = set(session.exec(select(Summary.opening).where(col(Summary.state).in_(CLOSED))))
    sides = {  # what is closed is shown when asked for, and only then
        "": {id: said for id, said in texts.items() if id not in shut},
        "closed": {id: said for id, said in texts.items() if id in shut},
    }
    assert all(sides.values())
    for find in (
        "mar",
        "MARROW la",
        "pena",
        "Peñ",
        "o'd",
        "s",
        "1",
        "kit re",
        "a",
        "marrow 7",
        "z",
    ):
        for sort, show in itertools.product(asking.ORDERS, sides):
            with database.read() as session:
                met, asked = [], BoardQuery(show, find, sort)
                while True:
                    rows, on = asking.summary_page(session, asked, NOW)
                    met += [row.opening for row in rows]
                    if not on:
                        break
                    asked = BoardQuery(show, find, sort, on)
            assert sorted(met) == expected(sides[show], find), (find, sort, show, few)


def test_table_is_what_the_lines_say_after_a_change(database: Database) -> None:
    with database.write() as session:
        fill(session, 30)
        changed = [{"opening": "x-003", "words": " new word"}]
        wanted = select(Summary.opening, Summary.words)
        before = dict(
            session.exec(wanted.where(col(Summary.opening).in_(["x-003", "x-004"]))).all()
        )
        search_words.keep_words(session, before, changed)
        kept = set(session.exec(select(SearchWord.word, SearchWord.opening)).all())
        lines = dict(session.exec(select(Summary.opening, Summary.words)).all())
    lines = {**lines, "x-003": " new word", "x-004": ""}
    assert kept == {(word, id) for id, words in lines.items() for word in words.split()}
