"""The catalogues are whole: every template has its translation, and none is there for nothing."""

import json
import lzma
import re
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog

from app.core.quantity.messages import Msg, Plural
from app.core.quantity.speaker import Speaker
from app.procedures.compiler import compile_text
from app.words import collect
from app.words.catalogs import (
    NAMES,
    catalog,
    chosen,
    compiled,
    keys_of,
    languages,
    path_of,
    read_catalog,
    write_catalog,
)
from app.words.collect import (
    UNRELEASED,
    collected,
    faults_of,
    of_facts,
    of_procedure,
    of_python,
    of_tables,
    of_template,
    template_catalog,
)

# Words that a Spanish sentence has no use for. "a", "no" and "me" are Spanish too.
ENGLISH = re.compile(r"\b(the|and|of|with|is|are|was|not|from|to|at|for|this|that|on|by|or)\b")


@pytest.fixture(scope="module")
def template() -> Catalog:
    """All that is to be translated."""
    return template_catalog()


@pytest.fixture(scope="module")
def wanted(template: Catalog) -> set[str]:
    """The keys of all that is to be translated."""
    return {key for message in template if message.id for key in keys_of(message)}


def holes(template: str) -> list[str]:
    return sorted(set(re.findall(r"\{[^}]*\}", template)))


def test_spanish_is_there(wanted: set[str]) -> None:
    assert languages() == ["es"]
    assert set(languages()) < set(NAMES)
    assert len(wanted) > 1800  # fewer means that the collector has gone blind


@pytest.mark.parametrize("lang", languages())
def test_everything_is_translated_and_nothing_for_nothing(
    lang: str, template: Catalog, wanted: set[str]
) -> None:
    """No text is missing, none is left over, none is empty and none is a guess (fuzzy)."""
    assert faults_of(read_catalog(path_of(lang)), template) == []
    assert set(catalog(lang)) == wanted


def test_faults_are_noticed(tmp_path: Path) -> None:
    """Source: GNU gettext, "The Format of PO Files": fuzzy, plural forms, context."""
    path = tmp_path / "es.po"
    path.write_text(PO, encoding="utf-8")
    template = Catalog()
    for id_ in ("Kept", "Guessed", "Bare", "Lacking", ("{count} turn", "{count} turns")):
        template.add(id_, locations=[("page.py", 0)])
    template.add("no", context="number", locations=[("page.py", 0)])
    found = faults_of(read_catalog(path), template)
    assert found == ["+ 'Lacking'  page.py", "- 'Gone'", "? 'Guessed'", "? 'Bare'"]
    kept = {"Kept": "Guardado", "Gone": "Ido", "{count} turn": "{count} vuelta"}
    kept |= {"{count} turns": "{count} vueltas", "number\x04no": "ninguna"}
    assert compiled(path) == kept


ARCHIVES = sorted(
    path.parent for path in (Path(__file__).parents[1] / "archive").glob("*/sqlite.sql.xz")
)


def keys_in(dump: bytes) -> set[str]:
    """Return the keys of the messages in the issued records of a database, by no reader of ours."""
    with closing(sqlite3.connect(":memory:")) as plain:
        plain.executescript(dump.decode())
        texts = [row[0] for row in plain.execute("SELECT text FROM issued")]
    found = re.findall(r'"msg":("(?:[^"\\]|\\.)*")', "".join(texts))
    return {json.loads(key) for key in found}


@pytest.mark.parametrize("folder", ARCHIVES, ids=lambda path: path.name)
def test_every_key_of_an_issued_record_is_seen_and_from_the_first_release_on_it_stays(
    folder: Path,
) -> None:
    """A sentence that the program says no more is still in old records: its translation stays."""
    keys = keys_in(lzma.decompress((folder / "sqlite.sql.xz").read_bytes()))
    assert len(keys) > 500
    exports = [json.loads(lzma.decompress(f.read_bytes())) for f in folder.glob("export-*.xz")]
    assert {key for export in exports for _, key in of_facts(export["snapshots"])} == keys
    for lang in languages() if folder.name != UNRELEASED else ():
        said = {key.rpartition("\x04")[2] for key in catalog(lang)}
        lost = [key for key in keys - said if any(char.isalpha() for char in key)]
        assert not lost, "`python -m app.words.collect --write` keeps them in every catalogue"


def test_what_only_old_records_say_is_kept_and_asked_for(tmp_path: Path) -> None:
    """A small archive by hand: one message that no code says, one with a context, one said."""
    facts = {"says": [{"msg": "Gone {n}", "with": {"n": {"msg": "none", "context": "number"}}}, 3]}
    (tmp_path / "tests" / "archive" / "first").mkdir(parents=True)
    (tmp_path / "app").mkdir()
    (tmp_path / "app" / "page.py").write_text('Msg("Said")')
    file = tmp_path / "tests" / "archive" / "first" / "export-1.json.xz"
    file.write_bytes(lzma.compress(json.dumps({"snapshots": [facts, {"msg": "Said"}]}).encode()))
    place = ["tests/archive/first/export-1.json.xz"]
    wanted = collected(tmp_path)
    assert wanted["Gone {n}"] == wanted["number\x04none"] == place
    assert wanted["Said"] == ["app/page.py"]
    have = template_catalog(tmp_path)
    have.delete("Gone {n}")
    assert faults_of(have, template_catalog(tmp_path))[0] == f"+ 'Gone {{n}}'  {place[0]}"


def test_a_language_is_started_and_asked_for(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    wanted: set[str],
) -> None:
    monkeypatch.setattr("app.words.catalogs.FOLDER", tmp_path)
    assert collect.main(["--new", "pt"]) == 1
    assert len(capsys.readouterr().out.splitlines()) > 1800
    assert {key for message in read_catalog(path_of("pt")) for key in keys_of(message)} >= wanted
    for wrong in ("pt", "../pt", "qq", "PT"):
        with pytest.raises(SystemExit):
            collect.main(["--new", wrong])


def test_other_plurals_than_ours_are_refused(tmp_path: Path) -> None:
    """Polish has three forms (CLDR); a Plural chooses between two."""
    path = tmp_path / "pl.po"
    three = "nplurals=3; plural=(n==1 ? 0 : n%10>=2 && n%10<=4 ? 1 : 2);"
    path.write_text(PO.replace("nplurals=2; plural=(n != 1);", three), encoding="utf-8")
    with pytest.raises(ValueError, match="two forms"):
        read_catalog(path)


PO = """
msgid ""
msgstr ""
"Language: es\\n"
"Plural-Forms: nplurals=2; plural=(n != 1);\\n"
"Content-Type: text/plain; charset=utf-8\\n"

msgid "Kept"
msgstr "Guardado"

#, fuzzy
msgid "Guessed"
msgstr "Adivinado"

msgid "Bare"
msgstr ""

msgid "Gone"
msgstr "Ido"

msgid "{count} turn"
msgid_plural "{count} turns"
msgstr[0] "{count} vuelta"
msgstr[1] "{count} vueltas"

msgctxt "number"
msgid "no"
msgstr "ninguna"
"""


@pytest.mark.parametrize("lang", languages())
def test_holes_are_kept(lang: str) -> None:
    known = catalog(lang)
    assert [text for text in known if holes(text) != holes(known[text])] == []


# Several of something, but never one: a limit of ours, or what no door has one of.
NEVER_ONE = re.compile(
    r"\{count\} (characters|rows at once|digits|rollers|stations|turns|wrong codes|people)"
)


def test_what_is_counted_has_two_forms(template: Catalog) -> None:
    """No "1 entries": a number before a noun in the plural is a Plural."""
    plain = [message.id for message in template if isinstance(message.id, str)]
    counted = [text for text in plain if re.search(r"\{count\} ([a-z]+ )?[a-z]+s\b", text)]
    assert [text for text in counted if not NEVER_ONE.search(text)] == []


def test_one_and_several_in_spanish() -> None:
    """Source: RAE, Nueva gramática: one takes the singular, nothing and several the plural."""
    speaker = Speaker(catalog("es"))
    photos = Plural("{count} photo is new", "{count} photos are new")
    assert [speaker.say(photos.of(count)) for count in (0, 1, 2)] == [
        "0 fotos son nuevas",
        "1 foto es nueva",
        "2 fotos son nuevas",
    ]


def test_no_as_an_answer_is_no() -> None:
    """It was "ninguna" once, which answers how many."""
    assert Speaker(catalog("es")).say(Msg("no")) == "no"


def test_no_english_is_left_in_spanish() -> None:
    known = catalog("es")
    bare = {text: re.sub(r"\{[^}]*\}", " ", known[text]) for text in known}
    found = [f"{text!r}: {known[text]!r}" for text in known if ENGLISH.search(bare[text])]
    assert found == []


# What is the same in both: units, codes, names, templates of holes alone.
ALIKE = re.compile(
    r"\{|^(N|No|no|kg|lb|lbf|mm|h|min|PIN|°C|°F|panel|Panel|Material|Android|A4|plan|abr|jul|may|sep)$"
)


def test_spanish_differs_from_english() -> None:
    known = catalog("es")
    same = [text for text in known if text == known[text] and not ALIKE.search(text)]
    assert same == []


@pytest.mark.parametrize(
    ("english", "spanish"),
    [
        (r"\bLEFT\b", r"\bIZQ(UIERD[OA]\b|\.)"),  # shortened over the columns of a table
        (r"\bRIGHT\b", r"\bDER(ECH[OA]\b|\.)"),
        (r"\bLOW\b(?! (LEFT|RIGHT))", r"\bBAJ[OA]\b"),
        (r"\bHIGH\b(?! (LEFT|RIGHT))", r"\bALT[OA]\b"),
        (r"\bLOW LEFT\b", r"\bBAJA IZQ(UIERDA\b|\.)"),
        (r"\bLOW RIGHT\b", r"\bBAJA DER(ECHA\b|\.)"),
        (r"\bHIGH LEFT\b", r"\bALTA IZQ(UIERDA\b|\.)"),
        (r"\bHIGH RIGHT\b", r"\bALTA DER(ECHA\b|\.)"),
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


@pytest.mark.parametrize("lang", languages())
def test_catalogs_are_as_they_are_written(lang: str, tmp_path: Path) -> None:
    """Sorted, a text a line: two people's new texts seldom touch each other."""
    write_catalog(tmp_path / "again.po", read_catalog(path_of(lang)))
    again = (tmp_path / "again.po").read_text(encoding="utf-8")
    assert by_hand(again) == by_hand(path_of(lang).read_text(encoding="utf-8"))


def by_hand(text: str) -> list[str]:
    """Return the lines of a PO file without the one that names Babel's version."""
    return [line for line in text.splitlines() if not line.startswith('"Generated-By')]


def test_collector_reads_python_as_python_does() -> None:
    source = 'Msg("a" " {n}", n=1); words.Msg("b" if x else "c"); Msg(d); Message("e"); f("g")'
    assert of_python(source) == ["a {n}", "b", "c"]
    source = 'Msg("no", context="number"); Plural("{count} turn", "{count} turns").of(3)'
    assert of_python(source) == ["number\x04no", "{count} turn", "{count} turns"]


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
