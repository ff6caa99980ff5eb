"""The template compiler: as Jinja2 makes it, or refused with file and line.

Jinja2 is the reference: each source is rendered by it and by the compiled module, run here; in
a browser, with the real templates, tests/parity does the same.
"""

import importlib
import sys
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from jinja2 import FileSystemLoader, UndefinedError

from app.core.placing import PlacingError
from app.core.quantity.speaker import Speaker
from app.templating.compiler import Family, TemplateRefusedError, compile_template, compiled_modules
from app.templating.compiler.expressions import literal_source
from app.templating.templates import TemplateError, Templates

HOSTILE = "<a href=\"x\" title='y'>&amp; {{ z }} {% end %} \\ \n é 😀"
SPEAKER = Speaker({"Save": "<Guardar> & \"'", "Send": "Enviar"})
MISTAKE = "a mistake"
MISTAKEN = (
    "gone", "gone asked", "gone in something", "handed", "handed deep", "handed or", "of text",
    "of text asked", "of nothing", "past the end", "nothing shown", "truth shown", "list shown",
    "unused",
)  # fmt: skip
MISTAKES = (UndefinedError, TemplateError, TypeError, KeyError, PlacingError, IndexError)

BASE = """{% from "field/m.html" import knob %}
<{% block head %}base {{ a }}{% endblock %}>
  {% if b %}
  {% block main %}nothing{% block deep %}deep{% endblock %}{% endblock %}
  {% endif %}
{{ knob(a) }}
"""
MACROS = """{% macro knob(x, y="<&>", z=3) %}[{{ "Save"|t }} {{ x }} {{ y }} {{ z }}]{% endmacro %}
{% macro twice(x) %}{{ knob(x, z=x) }}{{ knob(y=x, x="'") }}{% endmacro %}
{% macro maybe(x) %}{% if x %}{{ x }}{% else %}none{% endif %}{% endmacro %}
{% macro idle(x) %}idle{% endmacro %}
{% macro open(x) %}{{ x.y }}{% endmacro %}
{% macro rows(list) %}{% for x in list %}{{ twice(x) }}{% endfor %}{% endmacro %}
"""
FILES = {"base.html": BASE, "field/m.html": MACROS, "field/row.html": "({{ a }}|{{ x }})\n"}
USE = '{% from "field/m.html" import knob, twice, maybe, idle, open as look, rows %}'
SOURCES = {
    "text": "plain é 😀 \\ \" ' {# gone #} {% raw %}{{ raw }}{% endraw %}\ttab\n\n",
    "values": "{{ a }}{{ 3 }}{{ '<' }}{{ d.k }}{{ d['k'] }}{{ xs[0] }}{{ d.deep.er }}",
    "words": "{{ 'Save'|t }} {{ 'Other \"\\' word'|t }} <i title=\"{{ 'Send'|t }}\">",
    "ifs": "{% if a %}1{% elif b %}2{% else %}3{% endif %}{% if not n %}4{% endif %}",
    "empty": "{% if a %}{% endif %}{% for x in xs %}{% endfor %}",
    "compare": "{% if i == 3 and a != 'x' or n %}1{% endif %}{% if 1 < i <= 3 %}2{% endif %}"
    "{% if 'a' in xs %}3{% endif %}{% if a not in d.none %}4{% endif %}"
    "{% if n == none %}5{% endif %}",
    "or": "{{ e or a }}{{ a and i }}{{ (e or d).k }}",
    "loops": "{% for x in xs %}\n  <li>{{ x }}\n  {% for x in d.ys %}{{ x.k }},{% endfor %}"
    " {{ x }}\n{% endfor %}{% for x in a %}{{ x }}-{% endfor %}",
    "shadow": "{% for a in xs %}{{ a }}{% endfor %}{{ a }}",
    "include": "{% for x in xs %}{% include 'field/row.html' %}{% endfor %}",
    "child": "{% extends 'base.html' %}\n{% block main %}a {{ a }}{% block deep %}b{% endblock %}"
    "{% endblock %}\n",
    "grandchild": "{% extends 'field/child2.html' %}{% block deep %}deepest{{ a }}{% endblock %}",
    "macros": USE + "{{ knob(a) }}{{ knob(x=a, y=i) }}{{ twice(a) }}{{ rows(xs) }}{{ maybe(e) }}",
    "module": "{% import 'field/m.html' as m %}{{ m.knob('<b>') }}{{ m.maybe(e or n) }}",
    "unused": USE + "{{ idle(gone) }}{{ idle(d.gone) }}{{ idle(d.gone.more) }}",
    "handed": USE + "{{ maybe(gone) }}",
    "handed deep": USE + "{{ look(d.gone) }}",
    "handed or": USE + "{{ idle(e or gone) }}{{ idle(gone or e) }}",
    "gone": "{{ gone }}",
    "gone asked": "{% if gone %}{% endif %}",
    "gone not reached": "{% if e and gone %}{% endif %}{% if e %}{{ gone.more }}{% endif %}ok",
    "gone in nothing": "{% if gone in d.none %}{% else %}not in it{% endif %}",
    "gone in something": "{% if gone in xs %}{% endif %}",
    "of text": "{{ a.title }}",
    "of text asked": "{% if a.title %}1{% endif %}",
    "of nothing": "{{ n.x }}",
    "past the end": "{{ xs[9] }}",
    "nothing shown": "{{ n }}",
    "truth shown": "{{ b }}",
    "list shown": "{{ xs }}",
    "items": "{{ d.items }}{{ d.values }}",
    "layout": "<ul>\n    {%- for x in xs -%}\n  <li>{{- x -}}</li>\n  {% endfor %}\n</ul>\n",
    "whole numbers": "{{ i }} {{ big }} {% if big > i %}more{% endif %}",
}  # fmt: skip
CONTEXT = {
    "a": HOSTILE, "b": True, "n": None, "e": "", "i": 3, "big": 10**20, "xs": ["a", HOSTILE, ""],
    "d": {"k": "K<", "deep": {"er": 0}, "none": [], "ys": [{"k": 1}, {"k": "'"}],
          "items": "mine", "values": "too"},
}  # fmt: skip


def family(folder: Path, files: dict[str, str]) -> Family:
    for name, source in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(source, encoding="utf-8")
    return Family(folder)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder for templates, in which compiled modules are found; forgotten afterwards."""
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    forget_pages()
    yield tmp_path
    forget_pages()


def forget_pages() -> None:
    """Forget the compiled modules of this test, or of another that ran before."""
    for name in [name for name in sys.modules if name.partition(".")[0] == "pages"]:
        del sys.modules[name]


def outcome(render: Any) -> str:
    """Return the page, or that the context was wrong."""
    try:
        return str(render())
    except MISTAKES:
        return MISTAKE


@pytest.mark.parametrize("name", SOURCES)
def test_as_jinja_makes_it(here: Path, name: str) -> None:
    child = "{% extends 'base.html' %}{% block main %}2{% block deep %}{% endblock %}{% endblock %}"
    files = {**FILES, "field/child2.html": child, "field/it.html": SOURCES[name]}
    for path, text in compiled_modules(family(here, files)).items():
        (here / path).parent.mkdir(exist_ok=True)
        (here / path).write_text(text, encoding="utf-8")
    importlib.invalidate_caches()  # a folder's time may not tell that a file came just now
    page: Any = __import__("pages.field_it", None, None, ["render"])
    templates = Templates(FileSystemLoader(here))
    met = []
    for context in (CONTEXT, {**CONTEXT, "b": False, "xs": []}, {**CONTEXT, "a": 7, "e": "e"}):
        met.append(outcome(partial(templates.render, "field/it.html", context, SPEAKER)))
        assert outcome(partial(page.render, context, SPEAKER.word)) == met[-1]
    assert (met[0] == MISTAKE) == (name in MISTAKEN)


REFUSED = [
    ("a\n{{ a|upper }}", "field/it.html:2: the filter upper"),
    (USE + "\n{{ knob() }}", "field/it.html:2: macro knob needs x"),
    (USE + "\n{{ knob(1, 2, 3, 4) }}", "field/it.html:2: macro knob takes"),
    (USE + "\n{{ knob(1, x=2) }}", "field/it.html:2: macro knob takes"),
    (USE + "\n{{ knob(1, w=2) }}", "field/it.html:2: macro knob takes"),
    ("{% from 'field/m.html' import nobody %}\n{{ nobody() }}", "has no macro nobody"),
    ("{% import 'field/m.html' as m %}{{ m.nobody() }}", "has no macro nobody"),
    ("{{ knob }}", "knob is a macro's name"),
    ("{% for twice in xs %}{% endfor %}", "twice is a macro's name"),
    ("{% from 'field/row.html' import x %}{{ x() }}", "shows something outside its macros"),
    ("{% block a %}{% endblock %}\n{% block a %}{% endblock %}", "field/it.html:2:"),
    ("{% for é in xs %}{% endfor %}", "plain letters"),
    ("{{ a__b }}", "plain letters"),
    ("{% include 'field/gone.html' %}", "field/it.html:1: there is no template"),
    ("{{ a", "field/it.html:1:"),
    ("{{ a == 1 }}", "field/it.html:1: a truth value"),
]


@pytest.mark.parametrize(("source", "reason"), REFUSED, ids=[row[1] for row in REFUSED])
def test_what_is_outside_is_refused_with_file_and_line(
    tmp_path: Path, source: str, reason: str
) -> None:
    with pytest.raises(TemplateRefusedError) as refused:
        family(tmp_path, {**FILES, "field/it.html": source})
    assert reason in str(refused.value)


@pytest.mark.parametrize(
    "name", ["field/A.html", "field/a-b.html", "field/a__b.html", "field/1.html"]
)
def test_names_become_modules(tmp_path: Path, name: str) -> None:
    with pytest.raises(TemplateRefusedError, match="a template's name has"):
        family(tmp_path, {name: "x"})


def test_two_templates_are_never_one_module(tmp_path: Path) -> None:
    with pytest.raises(TemplateRefusedError, match="would be one module"):
        family(tmp_path, {"field/a_b.html": "", "field/a/b.html": ""})


def test_what_is_refused_in_an_included_template_names_that_file(tmp_path: Path) -> None:
    files = {"field/a.html": "{% include 'deep/b.html' %}", "deep/b.html": "\n\n{{ a|e }}"}
    with pytest.raises(TemplateRefusedError, match=r"deep/b\.html:3: the filter e"):
        family(tmp_path, files)


@pytest.mark.parametrize(
    "text", ["", "a", '"', "\\", "\n\r\t\0\x1f", "é 😀 \u2028", "\\n", "'", "\x7f"]
)
def test_literals_say_what_they_should(text: str) -> None:
    """Python's own parser is the reference."""
    assert eval(literal_source(text)) == text  # noqa: S307
    assert literal_source(text).isprintable() or text in ("é 😀 \u2028", "\x7f")


def test_the_real_templates_compile_alike_each_time() -> None:
    one, two = compiled_modules(Family()), compiled_modules(Family())
    assert one == two
    assert len(one) > 20
    assert compile_template("field/step.html") == one["pages/field_step.py"]
    for path, text in one.items():
        compile(text, path, "exec")
        assert "exec(" not in text
        assert "eval(" not in text
