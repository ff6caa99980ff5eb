"""Every word on a page goes through translation: templates, and pages as the core makes them."""

from typing import Any

import pytest

from app.core.quantity.speaker import PseudoSpeaker
from app.templating.templates import render_page
from tests.core.sample import inches
from tests.pages.pseudo import unmarked
from tests.pages.samples import ALL
from tests.pages.walk import LETTERS, Walk, forms


def said(thing: Any, name: str = "") -> Any:
    """Return the context with every text as if it had been translated.

    A `kind` is compared by templates and never shown: it stays.
    """
    if isinstance(thing, dict):
        return {key: said(value, key) for key, value in thing.items()}
    if isinstance(thing, list):
        return [said(value, name) for value in thing]
    worded = isinstance(thing, str) and thing and name != "kind"
    return f"⟦{thing}⟧" if worded else thing


@pytest.mark.parametrize("name", sorted(ALL))
def test_templates_have_no_words_but_marked_ones(name: str) -> None:
    template, context = ALL[name]
    assert unmarked(render_page(template, said(context), PseudoSpeaker())) == []


def fresh() -> Walk:
    return Walk()


def measured_out() -> Walk:
    walk = Walk()
    walk.site.read("web-1", "gap", "left", "5/16", inches(5, 16))
    walk.site.read("web-1", "gap", "right", "1/4", inches(1, 4))
    return walk


def ready() -> Walk:
    walk = Walk()
    walk.site.ready_a("web-1")
    return walk


def signed() -> Walk:
    walk = ready()
    walk.site.sign("web-1")
    return walk


def broken() -> Walk:
    walk = signed()
    walk.site.read("web-1", "gap", "left", "5/16", inches(5, 16))
    return walk


STATES = [fresh, measured_out, ready, signed, broken]


@pytest.mark.parametrize("state", STATES, ids=[state.__name__ for state in STATES])
@pytest.mark.parametrize("start", ["/field", "/office/o/o1", "/record/o1"])
def test_pages_have_no_words_but_marked_ones(state: Any, start: str) -> None:
    walk, wrong, met = state(), [], set()
    for address, html in walk.pages(start):
        met.add(address.split("?")[0])
        wrong += [f"{address}: {line}" for line in unmarked(html, LETTERS)]
    assert wrong == []
    assert start != "/field" or len(met) >= 10, "links lead to fewer pages than there are"
    assert start != "/office/o/o1" or len(met) >= 2


@pytest.mark.parametrize("start", ["/field", "/office/o/o1"])
def test_refused_forms_have_no_words_but_marked_ones(start: str) -> None:
    walk, wrong, refused = measured_out(), [], 0
    for address, html in list(walk.pages(start)):
        for action, fields in forms(html):
            if action == "/sign-out":
                continue
            again = walk.page(action or address, fields)
            refused += bool(again)
            wrong += [
                f"{address}: {fields.get('act')}: {line}" for line in unmarked(again, LETTERS)
            ]
    assert wrong == []
    assert refused >= 2, "nonsense was taken everywhere"


@pytest.mark.parametrize("address", ["/field/nowhere", "/field/o/gone", "/field/o/o1/step/Z"])
def test_a_page_that_is_not_there_has_no_words_but_marked_ones(address: str) -> None:
    html = Walk().page(address)
    assert html
    assert unmarked(html, LETTERS) == []
