"""The lint of the small language: what it lets through and what it refuses, with the line."""

from pathlib import Path

import pytest

from app.templating.lint import refusals_of, template_refusals

FOLDER = Path(__file__).resolve().parents[2] / "templates"
KNOWN = {"base.html", "macros.html", "row.html"}

GOOD = [
    "plain text, even with { and } and é",
    "{# a remark #}{% raw %}{{ not.run() }}{% endraw %}",
    "{{ title }} {{ job.rooms[0].name }} {{ job['a key'] }} {{ 3 }} {{ 'a' }}",
    "{{ 'Sign off'|t }} <img alt=\"{{ 'Level'|t }}\">",
    "{% if a %}1{% elif a.b == 'x' and not c %}2{% elif n > 3 or 'x' in d %}3{% else %}{% endif %}",
    "{% if a != none and a < b %}1{% endif %}",
    "{% for row in page.rows %}{% for cell in row.cells %}{{ cell }}{% endfor %}{% endfor %}",
    "{% include 'row.html' %}",
    "{% extends 'base.html' %}\n{% import 'macros.html' as m %}\n"
    "{% block main %}{{ m.field(row, label='x') }}{% block inner %}{% endblock %}{% endblock %}",
    "{% from 'macros.html' import field, button as knob %}{{ field(a) }}{{ knob(b.c, 'd') }}",
    "{% macro row(data, kind='plain') %}"
    "{% for x in data %}{{ x }}{{ kind }}{% endfor %}{% endmacro %}"
    "{{ row(rows) }}",
    "{% from 'macros.html' import field %}{% macro pair(a) %}{{ field(a) }}{% endmacro %}",
    "{%- if a -%}\n1\n{%- endif -%}",
]

BAD = [
    ("{{ name|upper }}", 1, "filter upper"),
    ("{{ name|safe }}", 1, "filter safe"),
    ("a\nb\n{{ name|t }}", 3, "t translates a literal"),
    ("{{ 'Pack {size}'|t }}", 1, "words with holes"),
    ("{{ ' '|t }}", 1, "nothing to translate"),
    ("{{ 'x'|t('y') }}", 1, "t takes no arguments"),
    ("{{ 3|t }}", 1, "t translates a literal"),
    ("{{ ('a' ~ b)|t }}", 1, "t translates a literal"),
    ("{{ name.upper() }}", 1, "only macros are called"),
    ("{{ range(3) }}", 1, "only macros are called"),
    ("{{ super() }}", 1, "only macros are called"),
    ("{{ a ~ b }}", 1, "~ is not"),
    ("{{ a + 1 }}", 1, "arithmetic"),
    ("{{ -1 }}", 1, "arithmetic"),
    ("{{ 0.5 }}", 1, "whole numbers"),
    ("{{ a == b }}", 1, "a truth value"),
    ("{{ not a }}", 1, "a truth value"),
    ("{{ a or\nnone }}", 2, "a truth value"),
    ("{{ true }}", 1, "a truth value"),
    ("{{ [1, 2] }}", 1, "list is not"),
    ("{{ {'a': 1} }}", 1, "dict is not"),
    ("{{ a[1:2] }}", 1, "by a literal"),
    ("{{ a[b] }}", 1, "by a literal"),
    ("{{ a.__class__ }}", 1, "private"),
    ("{{ a if b else c }}", 1, "x if y else z"),
    ("{{ a if b }}", 1, "x if y else z"),
    ("{% if a is defined %}{% endif %}", 1, "is is not"),
    ("{% if a.b() %}{% endif %}", 1, "a call inside an expression"),
    ("{% if a %}\n{% elif b|length %}\n{% endif %}", 2, "filter length"),
    ("{% if a %}{% else %}\n{{ b|e }}{% endif %}", 2, "filter e"),
    ("{% if not (a and b.c > d|int) %}{% endif %}", 1, "filter int"),
    ("{% set a = 1 %}", 1, "set is not"),
    ("{% set a %}x{% endset %}", 1, "set is not"),
    ("{% with a = 1 %}{% endwith %}", 1, "with is not"),
    ("{% filter t %}x{% endfilter %}", 1, "filter is not"),
    ("{% autoescape false %}{{ a }}{% endautoescape %}", 1, "autoescape is not"),
    ("{% call m.x() %}{% endcall %}", 1, "call is not"),
    ("{% for a, b in rows %}{% endfor %}", 1, "one name"),
    ("{% for loop in rows %}{% endfor %}", 1, "name loop is taken"),
    ("{% for a in rows %}\n{{ loop.index }}{% endfor %}", 2, "name loop"),
    ("{% for a in rows if a.b %}{% endfor %}", 1, "neither a condition"),
    ("{% for a in rows recursive %}{% endfor %}", 1, "nor recursive"),
    ("{% for a in rows %}{% else %}none{% endfor %}", 1, "no else"),
    ("{% for a in [1, 2] %}{% endfor %}", 1, "list of the context"),
    ("{% for a in rows() %}{% endfor %}", 1, "list of the context"),
    ("{% for a in b.items() %}{% endfor %}", 1, "list of the context"),
    ("{% include 'row.html' ignore missing %}", 1, "ignore missing"),
    ("{% include 'row.html' without context %}", 1, "without context"),
    ("{% include name %}", 1, "as a literal"),
    ("{% include ['row.html', 'base.html'] %}", 1, "as a literal"),
    ("{% include 'row.txt' %}", 1, "ends in .html"),
    ("{% include 'gone.html' %}", 1, "no template gone.html"),
    ("{% extends name %}", 1, "as a literal"),
    ("{% import 'macros.html' as m with context %}", 1, "without context"),
    ("{% if a %}{% import 'macros.html' as m %}{% endif %}", 1, "belongs at the top"),
    ("text {% extends 'base.html' %}", 1, "comes first"),
    ("{% extends 'base.html' %}\n<p>lost</p>", 1, "shows nothing outside"),
    ("{% extends 'base.html' %}{{ lost }}", 1, "shows nothing outside"),
    ("{% block a scoped %}{% endblock %}", 1, "scoped"),
    ("{% block a required %}{% endblock %}", 1, "required"),
    ("{% macro a(x) %}\n{{ y }}{% endmacro %}", 2, "macro a uses y"),
    ("{% macro a(x, y=z) %}{% endmacro %}", 1, "default is a literal"),
    ("{% macro a(x) %}{{ varargs }}{% endmacro %}", 1, "uses varargs"),
    ("{% macro a(x) %}{% include 'row.html' %}{% endmacro %}", 1, "a macro has no include"),
    ("{% if a %}{% macro b() %}{% endmacro %}{% endif %}", 1, "belongs at the top"),
    ("{% from 'macros.html' import a %}{{ a(*rows) }}", 1, "no *"),
    ("{% from 'macros.html' import a %}{{ a(b.c()) }}", 1, "a call inside"),
    ("{% from 'macros.html' import a %}{{ a(x=b|e) }}", 1, "filter e"),
    ("{% if a %}\n{% oops %}{% endif %}", 2, "oops"),
    ("{{ a", 1, ""),
]


@pytest.mark.parametrize("source", GOOD)
def test_allowed(source: str) -> None:
    assert [str(refusal) for refusal in refusals_of("row.html", source, KNOWN)] == []


@pytest.mark.parametrize(("source", "line", "reason"), BAD, ids=[row[0] for row in BAD])
def test_refused_with_line_and_reason(source: str, line: int, reason: str) -> None:
    found = refusals_of("row.html", source, KNOWN)
    assert found, "let through"
    assert any(reason in refusal.reason and refusal.line == line for refusal in found), [
        str(refusal) for refusal in found
    ]


def test_a_name_must_end_in_html() -> None:
    assert "ends in .html" in refusals_of("row.txt", "x", KNOWN)[0].reason


def test_a_folder_is_read_whole_and_files_are_named(tmp_path: Path) -> None:
    (tmp_path / "field").mkdir()
    (tmp_path / "office").mkdir()
    (tmp_path / "field" / "a.html").write_text("fine")
    (tmp_path / "field" / "b.html").write_text("x\n{{ a|safe }}\n{{ b() }}")
    (tmp_path / "field" / "c.xml").write_text("x")
    (tmp_path / "office" / "d.html").write_text("{{ a|safe }}")
    shown = [str(refusal).split(": ")[0] for refusal in template_refusals(tmp_path, "field/")]
    assert shown == ["field/b.html:2", "field/b.html:3", "field/c.xml:1"]


def test_our_templates_keep_to_the_language() -> None:
    assert "\n".join(str(refusal) for refusal in template_refusals(FOLDER)) == ""
    assert list((FOLDER / "field").glob("*.html"))
