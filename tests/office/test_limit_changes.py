"""What two versions' limits differ in, in words: each case written out by hand.

No source outside: "laxer" and "stricter" are plain English. A most that grows lets more pass; a
least that grows lets less pass; a most in any longer stretch lets less pass.
"""

import html
import re

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.core.checks.limit_words import LIMIT_WORDS
from app.core.kinds import Json
from app.office.procedures.limit_changes import (
    EXACT_FIGURES,
    LEAST_FIGURES,
    limit_changes,
    limit_leaning,
)
from app.procedures import compile_text
from app.store import procedures
from tests.office.conftest import errors, fields
from tests.office.test_procedures import FORCE, NEW, SHIPPED, TWO, put_in_force, second, take

BEFORE = """
id: try-out
version: 1
title: A try-out
doors: [sliding]
steps:
  - id: C
    title: The sill
    points:
      - {id: gap, title: Gap, quantity: length, tool: rule, where: {kind: one}}
      - id: line
        title: Line
        quantity: length
        tool: laser
        how: level
        where: {kind: stations, spacing: 12 in, merge: 3 in}
    checks:
      - id: gap-wide
        title: Gap at the jamb
        calc: each-within
        points: {readings: gap}
        limits: {least: 1/8 in, most: 1/4 in}
        basis: practice
        reason: Foam needs room.
        rank: author
      - id: sill-level
        title: Sill level
        calc: level-local
        points: {line: line}
        limits: {most: 1/16 in}
        settings: {over: 4 ft, side: room}
        basis: practice
        reason: Rollers bind.
        rank: supervisor
nights:
  - {point: gap, at: first, most: 1/16 in, basis: practice, reason: It may creep.}
"""


class Asked:
    """A page's asker who reads inches and English."""

    def __init__(self) -> None:
        from app.core.quantity.speaker import Speaker

        self.speaker = Speaker()
        self.say = self.speaker.say


GAP = "C The sill · Gap at the jamb: "
LEVEL = "C The sill · Sill level: "
MOST = "limits: {most: 1/16 in}"
PRACTICE = "basis: practice\n        reason: Rollers"
CASES: list[tuple[dict[str, str], str, str]] = [
    ({"most: 1/4": "most: 3/8"}, "laxer", GAP + 'limit: max 1/4" → max 3/8"'),
    ({"most: 1/4": "most: 3/16"}, "stricter", GAP + 'limit: max 1/4" → max 3/16"'),
    ({"least: 1/8": "least: 1/16"}, "laxer", GAP + 'limit: at least 1/8" → at least 1/16"'),
    ({"least: 1/8": "least: 3/16"}, "stricter", GAP + 'limit: at least 1/8" → at least 3/16"'),
    ({"least: 1/8 in, ": ""}, "laxer", GAP + 'a limit is taken away: at least 1/8"'),
    (
        {"over: 4 ft": "over: 10 ft"},
        "stricter",
        LEVEL + 'limit: max 1/16" in any 4 ft → max 1/16" in any 10 ft',
    ),
    (
        {MOST: "limits: {most: 3/32 in}", "over: 4 ft": "over: 10 ft"},
        "differs",
        LEVEL + 'limit: max 1/16" in any 4 ft → max 3/32" in any 10 ft',
    ),
    (
        {MOST: "limits: {most: 3/32 in}", "over: 4 ft": "over: 2 ft"},
        "laxer",
        LEVEL + 'limit: max 1/16" in any 4 ft → max 3/32" in any 2 ft',
    ),
    (
        {"rank: author": "rank: supervisor"},
        "laxer",
        GAP + "concession: conceded only with the written answer of the drawing's author"
        " → a supervisor may concede it",
    ),
    (
        {"rank: supervisor": "rank: never"},
        "stricter",
        LEVEL + "concession: a supervisor may concede it → never conceded",
    ),
    (
        {PRACTICE: PRACTICE.replace("practice", "{standard: X 1, clause: 3}", 1)},
        "differs",
        LEVEL + "basis of its limit: company limit, no published standard → X 1, 3",
    ),
    (
        {"at: first, most: 1/16 in": "at: first, most: 1/8 in"},
        "laxer",
        'Gap: moved in a night, at most: 1/16" → 1/8"',
    ),
    (  # both round to 1/8", so each is told in full
        {"least: 1/8 in": "least: 3.175003 mm"},
        "stricter",
        GAP + 'limit: at least 1/8" (3.175000 mm) → at least 1/8" (3.175003 mm)',
    ),
]


@pytest.mark.parametrize(("changes", "leaning", "words"), CASES)
def test_change_of_a_limit_in_words(changes: dict[str, str], leaning: str, words: str) -> None:
    after = BEFORE
    for old, new in changes.items():
        assert old in after
        after = after.replace(old, new, 1)
    assert said(BEFORE, after) == [(leaning, words)]


def test_words_alone_change_no_limit() -> None:
    assert said(BEFORE, BEFORE.replace("title: Gap at the jamb", "title: Gap")) == []


def said(before: str, after: str) -> list[tuple[str, str]]:
    asked = Asked()
    from app.office.procedures.limit_changes import shown_changes

    rows = limit_changes(asked, compile_text(before, "x"), compile_text(after, "x"))  # type: ignore[arg-type]
    return [
        (row["word"], f"{row['where']}: {row['text']}")
        for row in shown_changes(asked, rows)  # type: ignore[arg-type]
    ]


def test_a_check_that_comes_or_goes_and_the_laxer_first() -> None:
    at = BEFORE.index("      - id: sill-level")
    without = BEFORE[:at] + BEFORE[BEFORE.index("nights:") :]
    assert said(BEFORE, without) == [
        ("laxer", 'C The sill · Sill level: the check is taken away: max 1/16" in any 4 ft')
    ]
    tighter = without.replace("most: 1/4 in", "most: 3/16 in")
    assert [word for word, _ in said(BEFORE, tighter)] == ["laxer", "stricter"]
    assert said(without, BEFORE) == [
        ("stricter", 'C The sill · Sill level: a new check: max 1/16" in any 4 ft')
    ]


def test_leaning_goes_by_what_the_words_of_a_limit_say() -> None:
    """Held against the words that a person reads: "at least" and "exactly", "as drawn"."""
    for name, (_, words) in LIMIT_WORDS.items():
        assert (name in LEAST_FIGURES) == ("at least" in words.template), name
        exact = words.template.startswith(("exactly", "as drawn"))
        assert (name in EXACT_FIGURES) == exact, name


def test_figure_of_the_drawing_is_neither_laxer_nor_stricter() -> None:
    number: Json = {"calc": "each-within", "settings": {}, "limits": {"most": {"value": "1"}}}
    drawn = {**number, "limits": {"most": {"drawing": "joint"}}}
    assert limit_leaning(number, drawn, "most") == "other"
    assert limit_leaning(drawn, number, "most") == "other"


def test_supervisor_may_not_put_a_change_of_a_limit_in_force(
    app: FastAPI, office: TestClient, keeper: TestClient
) -> None:
    page = html.unescape(take(office, second())[1])
    assert "Limits change. An administrator may put it in force: Oda Lindquarry." in page
    assert "Put it in force for new openings" not in page
    answer = office.post(FORCE, data={"why": "I may not"})
    assert answer.status_code == 403
    assert in_force(app) == 1
    sent = fields(keeper.get(FORCE).text, FORCE)
    refused = keeper.post(FORCE, data={**sent, "why": " "})
    assert errors(refused.text) == {"f-why": "Say why limits change: it is kept with your name."}
    kept = keeper.post(FORCE, data={**sent, "why": "Sills come truer now."})
    assert kept.status_code == 200
    assert keeper.post(FORCE, data={**sent, "why": "Sills come truer now."}).status_code == 200
    assert in_force(app) == 2
    page = html.unescape(office.get(f"/office/procedures/{TWO}").text)
    acts = re.findall(r"<li>([^<]*put version[^<]*)</li>", page)
    assert len(acts) == 1
    assert "Oda Lindquarry put version 2 in force (1 change of a limit): Sills come" in acts[0]


def in_force(app: FastAPI) -> int:
    with app.state.server.database.read() as session:
        return procedures.version_in_force(session, "stacking-door", procedures.all_of(session, {}))


def test_supervisor_puts_changed_words_in_force(app: FastAPI, office: TestClient) -> None:
    words = SHIPPED.read_text("utf-8").replace("\nversion: 1\n", "\nversion: 2\n")
    words = words.replace("title: Sill as drawn", "title: The sill as it is drawn", 1)
    page = html.unescape(take(office, words)[1])
    assert "Check “The sill as it is drawn”, title: was “Sill as drawn”" in page
    office.post(FORCE, data=fields(office.get(FORCE).text, FORCE))
    assert in_force(app) == 2
    assert "Put it in force for new openings" in page
    stale = {**fields(office.get(FORCE).text, FORCE), "before": "1"}
    back = FORCE.replace(TWO, "stacking-door@1")
    answer = office.post(back, data=stale)
    assert answer.status_code == 422
    assert "This was changed since the page was made. Look again." in answer.text
    assert in_force(app) == 2


def test_limits_of_a_new_procedure_are_all_new(office: TestClient, keeper: TestClient) -> None:
    text = SHIPPED.read_text("utf-8").replace("\nid: stacking-door\n", "\nid: our-door\n")
    answer = office.post(NEW, files={"file": ("x.yaml", text.encode(), "text/yaml")})
    assert "No version was in force before." in answer.text
    path = "/office/procedures/our-door@1/force"
    assert office.post(path, data={"why": "x"}).status_code == 403
    sent = {**fields(keeper.get(path).text, path), "why": "Our own."}
    assert keeper.post(path, data=sent).status_code == 200
    assert "in force for new openings" in office.get("/office/procedures/our-door@1").text


def test_file_is_kept_to_the_byte(app: FastAPI, office: TestClient, keeper: TestClient) -> None:
    from app.store.procedure_tables import ProcedureFile

    take(office, second())
    put_in_force(keeper)
    with app.state.server.database.read() as session:
        row = session.get_one(ProcedureFile, ("stacking-door", 2))
        assert row.text == second()
