"""Contexts for the field's templates: all that the tests meet, and some that nobody would make.

A case is (template, context, speaker's name). Contexts are as they came out of the core.
"""

import json
import random
from collections.abc import Iterable, Iterator
from typing import Any

import pytest
from fastapi.testclient import TestClient

from app.core import entry
from app.field import server
from app.templating.compiler import Family
from tests.core import book, test_pages
from tests.demo.conftest import enter
from tests.demo.walk import walk
from tests.pages.samples import ALL
from tests.pages.test_pseudo import STATES
from tests.pages.walk import Walk, forms

Json = dict[str, Any]
Met = tuple[str, Json]  # template, context
Case = tuple[str, Json, str]
HOSTILE = "<b>&amp;\"'{{ x }}{% if %}{x}%s\\\n\t\u2028⟦é😀</b>\x00\x7f"
COMPARED = ("kind", "state")  # templates choose by them
GONE = ("/field/nowhere", "/field/o/gone", "/field/o/o1/step/Z")
HALF_DONE = "/field/o/quarry-steps-a"
LARGE = 25_000  # characters of JSON: keeps the whole to a minute
SPEAKERS = ("plain", "pseudo", "hostile", "spanish")


def of_samples() -> Iterator[Met]:
    """The invented samples."""
    yield from (met for met in ALL.values() if met[0].startswith("field/"))


class Listening(Walk):
    """A walk that keeps what the core answered."""

    met: list[Met]

    def ask(self, address: str, form: "dict[str, str] | None" = None) -> Json:
        answer = super().ask(address, form)
        if not answer["location"]:
            self.met.append((answer["template"], answer["context"]))
        return answer


def of_walks() -> Iterator[Met]:
    """Every page that links lead to, in every state; every form sent with nonsense; no page."""
    for state in STATES:
        walked = state()
        walked.__class__, walked.met = Listening, []
        for address, html in list(walked.pages("/field")):
            for action, fields in forms(html):
                if action != "/sign-out":
                    walked.ask(action or address, fields)
        for address in GONE:
            walked.ask(address)
        yield from walked.met


def of_core_tests() -> Iterator[Met]:
    """What the core's own tests of pages meet while they run."""
    met: list[Met] = []

    def answer(data: Json) -> Json:
        got = entry.answer(data)
        if not got["location"]:
            met.append((got["template"], got["context"]))
        return got

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(book, "answer", answer)
        for name in sorted(vars(test_pages)):
            if name.startswith("test_"):
                getattr(test_pages, name)()
    yield from met


def of_demo(app: Any, most: int) -> Iterator[Met]:
    """The demo company's pages, with the real procedure, as its server is asked for them."""
    met: list[Met] = []
    real = server.render_page

    def render(template: str, context: Json, speaker: Any) -> str:
        met.append((template, json.loads(json.dumps(context))))
        return real(template, context, speaker)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(server, "render_page", render)
        browser: TestClient = enter(app, "installer")
        assert browser.get("/field").status_code == 200
        for _ in walk(browser, HALF_DONE, (HALF_DONE,), most):
            pass
    yield from met


def distinct(met: Iterable[Met]) -> list[Met]:
    """Return each once, field templates only."""
    found = {json.dumps(one, sort_keys=True): one for one in met if one[0].startswith("field/")}
    return [found[key] for key in sorted(found)]


def changed(thing: Any, leaf: Any, each: Any = None, name: str = "") -> Any:
    """Return a copy with leaf(value, name) for each text, number or truth, each(list) for lists."""
    if isinstance(thing, dict):
        return {key: changed(value, leaf, each, key) for key, value in thing.items()}
    if isinstance(thing, list):
        items = [changed(value, leaf, each, name) for value in thing]
        return each(items) if each else items
    return leaf(thing, name)


def _hostile(value: Any, name: str) -> Any:
    return value + HOSTILE if isinstance(value, str) and name not in COMPARED else value


def _worse(value: Any, name: str) -> Any:
    return HOSTILE if isinstance(value, str) else value


def _blank(value: Any, name: str) -> Any:
    return "" if isinstance(value, str) and name not in COMPARED else value


def _turned(value: Any, name: str) -> Any:
    return not value if isinstance(value, bool) else value


def _long(value: Any, name: str) -> Any:
    return value * 9 if isinstance(value, str) and name not in COMPARED else value


def _numbers(value: Any, name: str) -> Any:
    return -(2**70) if isinstance(value, str) and name not in COMPARED else value


def made_from(context: Json, chance: random.Random) -> Iterator[Json]:
    """Yield contexts made from one: hostile, long, empty, turned round, with things missing."""

    def same(value: Any, name: str) -> Any:
        return value

    for leaf in (_hostile, _worse, _blank, _turned, _numbers):
        yield changed(context, leaf)
    yield changed(context, _hostile, lambda items: [])
    yield changed(context, _long, lambda items: items * 2 if len(items) < 4 else items)
    yield changed(context, same, lambda items: items[:1])
    for _ in range(3):
        yield changed(context, same, lambda items: [x for x in items if chance.random() < 0.6])
        yield lacking(context, chance)
        yield changed(context, lambda value, name: odd(value, chance))


def lacking(thing: Any, chance: random.Random) -> Any:
    """Return a copy in which a few dicts lack an item: undefined in both, where it is used."""
    if isinstance(thing, dict):
        kept = [key for key in sorted(thing) if chance.random() > 0.004]
        return {key: lacking(thing[key], chance) for key in kept}
    return [lacking(value, chance) for value in thing] if isinstance(thing, list) else thing


def odd(value: Any, chance: random.Random) -> Any:
    """Return the value or, one time in fifty, something else."""
    others = ["", HOSTILE, 0, 7, True, False, None, [], ["a", {}], {}, "line", "close"]
    return chance.choice(others) if chance.random() < 0.02 else value


def cases(met: list[Met], seed: int = 1) -> list[Case]:
    """Return the cases: all that was met, and what is made from two contexts of each template."""
    chance = random.Random(seed)
    found = [(name, context, SPEAKERS[at % 4]) for at, (name, context) in enumerate(met)]
    for template in sorted({name for name, _ in met}):
        own = [context for name, context in met if name == template]
        for context in basis(own):
            for at, made in enumerate(made_from(context, chance)):
                found.append((template, made, SPEAKERS[at % 4]))
            found += [(template, context, speaker) for speaker in SPEAKERS]
    return found


def basis(own: list[Json]) -> list[Json]:
    """Return the two largest of a template's contexts that are still small enough to change."""
    own = sorted(own, key=lambda one: len(json.dumps(one)))
    small = [context for context in own if len(json.dumps(context)) < LARGE]
    return small[-2:] or own[:1]


def literals(family: Family) -> list[str]:
    """Return every text that the templates translate."""
    from jinja2 import nodes

    return sorted(
        {node.node.value for tree in family.trees.values() for node in tree.find_all(nodes.Filter)}  # type: ignore[union-attr]
    )
