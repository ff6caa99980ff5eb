"""Pages of the demo company in Spanish: whatever the program says on them has been translated.

The words of the catalogue are marked as the pseudo-language marks them; what stands on a page
without a mark was not translated, and is no text that people wrote.
"""

import re
import sqlite3
from collections.abc import Iterator

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.words.catalogs import catalog
from tests.demo.conftest import enter
from tests.demo.walk import walk
from tests.pages.pseudo import CLOSE, OPEN, unmarked

HALF_DONE = "/field/o/quarry-steps-a"
# Letters of steps and panels, X and O of the drawing, the initial of the units: no words.
LETTERS = re.compile(r"\b([A-JOX]|[A-J]\d|[OX]+)\b")
PUBLISHED = re.compile(r"16 CFR 1201, 1201\.1\(a\)\(6\), 1201\.5")  # a clause is cited as it is
MARKS = re.compile(r"\b[A-Z]{1,2}-[A-Z]{1,5}\b")  # of parts, on the drawing


@pytest.fixture
def spanish(app: FastAPI, monkeypatch: pytest.MonkeyPatch) -> FastAPI:
    """The demo, where everybody reads Spanish and each translated text is marked."""
    with sqlite3.connect(app.state.server.database.path) as plain:
        plain.execute("UPDATE person SET lang = 'es', units = 'mm'")
    marked = {text: OPEN + said + CLOSE for text, said in catalog("es").items()}
    for module in ("app.access.pages", "app.field.server"):
        monkeypatch.setattr(f"{module}.catalog", lambda lang: marked if lang == "es" else {})
    return app


def written(app: FastAPI) -> tuple[str, ...]:
    """Return what people wrote that stands in titles, where no element can mark it."""
    with sqlite3.connect(app.state.server.database.path) as plain:
        rows = [
            row
            for question in (
                "SELECT room FROM opening",
                "SELECT title FROM job",
                "SELECT address FROM job",
                "SELECT name FROM person",
            )
            for row in plain.execute(question)
        ]
    return tuple(str(row[0]) for row in rows)


def left(html: str, data: tuple[str, ...]) -> Iterator[str]:
    for line in unmarked(html, data):
        where, _, text = line.partition(">: ")
        rest = LETTERS.sub(" ", MARKS.sub(" ", PUBLISHED.sub(" ", text)))
        if any(char.isalpha() for char in rest):
            yield f"{where}: {' '.join(rest.split())}"


def named(path: str) -> str:
    """Return a path without ids of events, so that a fault is told once."""
    return re.sub("[0-9a-f-]{30,}", "…", path)


@pytest.mark.parametrize(
    ("role", "start", "within", "least"),
    [
        ("installer", HALF_DONE, (HALF_DONE, "/field/status", "/field/help", "/me"), 80),
        ("supervisor", "/office", ("/office", "/record/", "/phones", "/pair/new"), 6),
    ],
)
def test_no_page_keeps_english(
    spanish: FastAPI, role: str, start: str, within: tuple[str, ...], least: int
) -> None:
    data, wrong, pages = written(spanish), set(), 0
    for path, answer in walk(enter(spanish, role), start, within, 150):
        if "html" not in answer.headers.get("content-type", ""):
            continue
        pages += 1
        assert '<html lang="es">' in answer.text, path
        wrong |= {f"{named(path)} {line}" for line in left(answer.text, data)}
    assert not wrong, "\n".join(sorted(wrong))
    assert pages >= least


def test_the_check_sees_english(spanish: FastAPI, monkeypatch: pytest.MonkeyPatch) -> None:
    """Take one word out of the catalogue, and the check finds it."""
    marked = {text: OPEN + said + CLOSE for text, said in catalog("es").items()}
    del marked["Openings to be set"]
    monkeypatch.setattr("app.field.server.catalog", lambda _: marked)
    monkeypatch.setattr("app.access.pages.catalog", lambda _: marked)
    page = enter(spanish, "installer").get("/field").text
    assert any("Openings to be set" in line for line in left(page, written(spanish)))


def test_what_people_wrote_stays(app: FastAPI) -> None:
    with sqlite3.connect(app.state.server.database.path) as plain:
        plain.execute("UPDATE person SET lang = 'es'")
    page = enter(app, "installer").get(HALF_DONE).text
    assert "Quarry Steps" in page
    assert ">Pasos <" in page


def ines(app: FastAPI) -> TestClient:
    browser = enter(app, "installer")
    browser.post("/sign-out")
    form = {"name": "ines", "password": "shim-string-and-square"}
    assert browser.post("/sign-in", data=form).status_code == 200
    return browser


def test_the_demo_has_somebody_who_reads_spanish(app: FastAPI) -> None:
    page = ines(app).get("/field").text
    assert '<html lang="es">' in page
    assert "Vanos" in page
