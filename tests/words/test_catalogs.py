"""The catalogues are whole: every template has its translation, and none is there for nothing."""

import json
import re

import pytest

from app.procedures.compiler import compile_text
from app.words.catalogs import FOLDER, NAMES, catalog, chosen, languages
from app.words.collect import (
    collected,
    of_procedure,
    of_python,
    of_tables,
    of_template,
)

# Words that a Spanish sentence has no use for. "a", "no" and "me" are Spanish too.
ENGLISH = re.compile(r"\b(the|and|of|with|is|are|was|not|from|to|at|for|this|that|on|by|or)\b")
WANTED = collected()


def holes(template: str) -> list[str]:
    return sorted(set(re.findall(r"\{[^}]*\}", template)))


def test_spanish_is_there() -> None:
    assert languages() == ["es"]
    assert set(languages()) < set(NAMES)
    assert len(WANTED) > 1800  # fewer means that the collector has gone blind


@pytest.mark.parametrize("lang", languages())
def test_every_template_is_translated(lang: str) -> None:
    missing = [f"{text!r} ({WANTED[text][0]})" for text in WANTED if text not in catalog(lang)]
    assert missing == []


@pytest.mark.parametrize("lang", languages())
def test_nothing_is_translated_that_nothing_says(lang: str) -> None:
    assert [text for text in catalog(lang) if text not in WANTED] == []


@pytest.mark.parametrize("lang", languages())
def test_holes_are_kept(lang: str) -> None:
    known = catalog(lang)
    assert [text for text in known if holes(text) != holes(known[text])] == []


def test_no_english_is_left_in_spanish() -> None:
    known = catalog("es")
    bare = {text: re.sub(r"\{[^}]*\}", " ", known[text]) for text in known}
    found = [f"{text!r}: {known[text]!r}" for text in known if ENGLISH.search(bare[text])]
    assert found == []


# What is the same in both: units, codes, names, templates of holes alone.
ALIKE = re.compile(
    r"\{|^(N|No|kg|lb|lbf|mm|°C|°F|panel|Panel|Material|Android|A4|plan|abr|jul|may|sep)$"
)


def test_spanish_differs_from_english() -> None:
    known = catalog("es")
    same = [text for text in known if text == known[text] and not ALIKE.search(text)]
    assert same == []


@pytest.mark.parametrize(
    ("english", "spanish"),
    [
        (r"\bLEFT\b", r"\bIZQUIERD[OA]\b"),
        (r"\bRIGHT\b", r"\bDERECH[OA]\b"),
        (r"\bLOW\b(?! (LEFT|RIGHT))", r"\bBAJ[OA]\b"),
        (r"\bHIGH\b(?! (LEFT|RIGHT))", r"\bALT[OA]\b"),
        (r"\bLOW LEFT\b", r"\bBAJA IZQUIERDA\b"),
        (r"\bLOW RIGHT\b", r"\bBAJA DERECHA\b"),
        (r"\bHIGH LEFT\b", r"\bALTA IZQUIERDA\b"),
        (r"\bHIGH RIGHT\b", r"\bALTA DERECHA\b"),
        (r"\bHIGHER\b", r"\bALT[OA]\b"),
        (r"\bLOWER\b", r"\bBAJ[OA]\b"),
        (r"\bSEEN FROM OUTSIDE\b", r"\bVISTO DESDE AFUERA\b"),
        (r"\bOUT\b", r"\bFUERA\b"),
    ],
)
def test_words_in_capitals_stay_in_capitals(english: str, spanish: str) -> None:
    """Sides and heights: taking one for the other hurts. Both ways round."""
    known = catalog("es")
    said = {text for text in known if re.search(english, text)}
    assert said
    assert [known[text] for text in said if not re.search(spanish, known[text])] == []


@pytest.mark.parametrize(
    ("english", "spanish"),
    [
        (r"\bLEFT\b|\bleft (jamb|one|side)\b", r"\bDERECH[OA]\b"),
        (r"\bRIGHT\b", r"\bIZQUIERD[OA]\b"),
    ],
)
def test_a_side_alone_never_becomes_the_other(english: str, spanish: str) -> None:
    known = catalog("es")
    both = re.compile(r"\bLEFT\b.*\bRIGHT\b|\bRIGHT\b.*\bLEFT\b")
    said = [text for text in known if re.search(english, text) and not both.search(text)]
    assert [text for text in said if re.search(spanish, known[text])] == []


def test_numbers_stay() -> None:
    """A figure, a clause, a size: none may change on the way. 16ths become 16vos."""
    known = catalog("es")
    wrong = [
        f"{text!r}: {known[text]!r}"
        for text in known
        if sorted(re.findall(r"\d+", text)) != sorted(re.findall(r"\d+", known[text]))
    ]
    assert wrong == []


def test_who_is_never_mistaken_for_approval() -> None:
    """What the program never does, it never does in Spanish either."""
    known = catalog("es")
    said = [text for text in known if re.search(r"approves? n", text)]
    assert len(said) >= 5
    assert [text for text in said if not re.search(r"\b(no|ning[uú]n\w*)\b", known[text])] == []
    forbidden = [text for text in known if re.match(r"Never ", text)]
    assert [text for text in forbidden if not re.match("Nunca ", known[text])] == []


def test_catalogs_are_sorted_one_line_each() -> None:
    for lang in languages():
        text = (FOLDER / f"{lang}.json").read_text(encoding="utf-8")
        known = json.loads(text)
        assert list(known) == sorted(known)
        assert text == json.dumps(known, ensure_ascii=False, indent=0) + "\n"


def test_collector_reads_python_as_python_does() -> None:
    source = 'Msg("a" " {n}", n=1); words.Msg("b" if x else "c"); Msg(d); Message("e"); f("g")'
    assert of_python(source) == ["a {n}", "b", "c"]


def test_collector_reads_templates_as_jinja_does() -> None:
    source = """<p title="{{ 'a'|t }}">{{ "b\\"c"|t }}{{ d|t }}{# {{ "e"|t }} #}</p>"""
    assert of_template(source) == ["a", 'b"c']


SMALL = """
id: small
version: 1
title: One
doors: [sliding]
steps:
  - id: A
    title: Two
    about: Three
    cautions: [Four]
    tasks: [{id: t, text: Five}]
    decisions:
      - {id: d, text: Six, choices: [{id: go, text: Seven, opens: true}]}
    points:
      - id: p
        title: Eight
        quantity: yes-no
        tool: eye
        hint: Nine
        where: {kind: listed, items: [{id: x, title: Ten}]}
      - id: q
        title: Eleven
        quantity: choice
        tool: eye
        where: {kind: one}
        choices: [{id: c, text: Twelve}]
    checks:
      - id: k
        title: Thirteen
        calc: answered-yes
        points: {readings: p}
        settings: {remedy: Fourteen}
        basis: practice
        reason: Fifteen
        rank: never
    adjustments: [{id: m, text: Sixteen, stale: [q]}]
"""


def test_collector_reads_every_text_of_a_procedure() -> None:
    found = of_procedure(compile_text(SMALL, "small.yaml"))
    words = "One Two Three Four Five Six Seven Eight Nine Ten Eleven Twelve Thirteen"
    assert {text for text in found if text} == {*words.split(), "Fourteen", "Fifteen", "Sixteen"}


def test_collector_knows_the_drawing_and_the_tools() -> None:
    assert {"Rough opening, width", "Tracks", "Force to start a panel, most", "tape"} <= set(
        of_tables()
    )


@pytest.mark.parametrize(
    ("asked", "lang"),
    [
        # RFC 9110, 12.5.4 (published): weights from 0 to 1, none means 1, 0 means never.
        ("es-MX,es;q=0.9,en;q=0.8", "es"),
        ("en-US,en;q=0.5,es;q=0.3", "en"),
        ("fr-CA,es;q=0.2", "es"),
        ("es;q=0", "en"),
        ("en;q=0.1, es;q=0.9", "es"),
        ("ES-us", "es"),
        ("*", "en"),
        ("", "en"),
        ("es;q=abc", "en"),
        ("es;q=" + "9" * 5000, "en"),
        (";;;,,,q=1", "en"),
    ],
)
def test_a_browser_is_answered_in_its_language(asked: str, lang: str) -> None:
    assert chosen(asked) == lang
