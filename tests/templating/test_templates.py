"""Rendering: escaping, translation per speaker, and mistakes that must not reach a page."""

from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from jinja2 import DictLoader, TemplateNotFound, UndefinedError

from app.core.quantity.messages import Len, Msg
from app.core.quantity.speaker import PseudoSpeaker, Speaker
from app.templating.templates import TemplateError, Templates, render_page

SPANISH = Speaker({"Save": "Guardar", "Size": "<Medida>"}, "mm")


def shown(source: str, speaker: "Speaker | None" = None, **context: Any) -> str:
    return Templates(DictLoader({"a.html": source})).render("a.html", context, speaker or Speaker())


def test_nothing_turns_the_text_round() -> None:
    """Unicode, UAX 9: an override would show gpj.exe as exe.jpg."""
    assert shown("{{ a }}", a="\u202egpj.exe") == "\ufffdgpj.exe"


def test_what_people_wrote_is_escaped() -> None:
    assert shown("{{ x }}", x="<b>&'\"") == "&lt;b&gt;&amp;&#39;&#34;"
    assert shown("{% for x in xs %}{{ x }}{% endfor %}", xs=["<", "é"]) == "&lt;é"


def test_a_translation_is_escaped_too() -> None:
    assert shown("{{ 'Size'|t }}", SPANISH) == "&lt;Medida&gt;"


def test_literals_are_translated_for_the_speaker() -> None:
    assert shown("{{ 'Save'|t }}", SPANISH) == "Guardar"
    assert shown("{{ 'Save'|t }}") == "Save"
    assert shown("{{ 'Save'|t }} {{ x }}", PseudoSpeaker(), x="Save") == "⟦Save⟧ Save"


def test_messages_and_lists_are_said() -> None:
    told = Msg("Pack {n}.", n=Msg("Save"))
    assert shown("{{ x|t }}", SPANISH, x=told) == "Pack Guardar."
    assert shown("{{ x|t }}", SPANISH, x=[Msg("Save"), "Ana"]) == "Guardar, Ana"


def test_lengths_are_said_in_the_speakers_units() -> None:
    # 1 in = 25.4 mm exactly (international yard and pound agreement, 1959)
    assert shown("{{ x|t }}", Speaker(units="mm"), x=Len(25_400_000)) == "25.4 mm"


def test_macros_of_another_file_speak_for_the_same_speaker() -> None:
    templates = Templates(
        DictLoader(
            {
                "m.html": "{% macro knob(x) %}[{{ 'Save'|t }} {{ x }}]{% endmacro %}",
                "base.html": "<{% block main %}{% endblock %}>",
                "in.html": "{{ 'Save'|t }} {{ who }}",
                "a.html": "{% extends 'base.html' %}{% import 'm.html' as m %}"
                "{% block main %}{{ m.knob('<') }}{% include 'in.html' %}{% endblock %}",
            }
        )
    )
    assert templates.render("a.html", {"who": "Ana"}, SPANISH) == "<[Guardar &lt;]Guardar Ana>"
    assert templates.render("a.html", {"who": "Bo"}, Speaker()) == "<[Save &lt;]Save Bo>"


def test_speakers_at_the_same_time_do_not_disturb_each_other() -> None:
    templates = Templates(DictLoader({"a.html": "{{ 'Save'|t }}"}))
    speakers = [Speaker({"Save": f"word {n % 7}"}) for n in range(200)]
    with ThreadPoolExecutor(8) as pool:
        pages = list(pool.map(lambda speaker: templates.render("a.html", {}, speaker), speakers))
    assert pages == [f"word {n % 7}" for n in range(200)]


def test_a_changed_template_is_seen() -> None:
    sources = {"a.html": "one"}
    templates = Templates(DictLoader(sources))
    assert templates.render("a.html", {}, Speaker()) == "one"
    sources["a.html"] = "two"
    assert templates.render("a.html", {}, Speaker()) == "two"


@pytest.mark.parametrize("name", ["items", "keys", "get", "values", "copy", "pop"])
def test_a_dicts_attribute_is_its_item_never_its_method(name: str) -> None:
    assert shown("{{ x." + name + " }}", x={name: "mine"}) == "mine"
    with pytest.raises(UndefinedError):
        shown("{{ x." + name + " }}", x={})


@pytest.mark.parametrize("thing", ["text", 3, ["a"], None])
def test_only_dicts_have_attributes(thing: object) -> None:
    for source in ("{% if x.title %}{% endif %}", "{{ x.real }}", "{{ x['count'] }}"):
        with pytest.raises(UndefinedError):
            shown(source, x=thing)


@pytest.mark.parametrize("source", ["{{ gone }}", "{% if gone %}{% endif %}", "{{ x.gone }}"])
def test_what_the_context_lacks_is_an_error(source: str) -> None:
    with pytest.raises(UndefinedError):
        shown(source, x={})


@pytest.mark.parametrize("thing", [None, True, 0.5, {}, [], Msg("Save"), b"x"])
def test_only_text_and_whole_numbers_are_placed(thing: object) -> None:
    with pytest.raises(TemplateError, match="a template places text"):
        shown("{{ x }}", x=thing)


def test_whole_numbers_are_placed_in_full() -> None:
    assert shown("{{ x }} {{ 3 }}", x=10**20) == "100000000000000000000 3"


def test_t_has_no_words_for_a_number() -> None:
    with pytest.raises(TemplateError, match="no words for int"):
        shown("{{ x|t }}", x=3)


def test_lines_of_statements_leave_no_blank_lines() -> None:
    source = "<ul>\n  {% for x in xs %}\n  <li>{{ x }}</li>\n  {% endfor %}\n</ul>\n"
    assert shown(source, xs=["a", "b"]) == "<ul>\n  <li>a</li>\n  <li>b</li>\n</ul>"


def test_functions_of_jinja_are_not_there() -> None:
    for source in ("{{ range(3) }}", "{{ lipsum() }}", "{{ dict(a=1) }}"):
        with pytest.raises(UndefinedError):
            shown(source)


def test_a_template_that_is_not_there() -> None:
    with pytest.raises(TemplateNotFound):
        render_page("field/nobody-wrote-this.html", {}, Speaker())
