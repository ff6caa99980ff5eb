"""Renders cases by Jinja2 here and by the compiled templates in MicroPython, in a worker there."""

import hashlib
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from jinja2 import UndefinedError

from app.core.quantity.speaker import PseudoSpeaker, Speaker
from app.templating.templates import TemplateError, render_page
from app.words.catalogs import catalog as catalog_in
from tests.parity.contexts import HOSTILE, Case
from tests.parity.engine import Engine

RUNNER = Path(__file__).with_name("pages_runner.py").read_text(encoding="utf-8")
LIMIT_MS = 120_000
BATCH = 1_500_000  # characters of JSON at once: the interpreter's heap is 32 MB
# What a mistake in a context is called: here, and in the compiled templates.
MISTAKES = (UndefinedError, TemplateError, TypeError)
MISTAKES_THERE = ("KeyError", "TypeError", "PlacingError", "IndexError")
Page = tuple[str, str]  # the page or its hash, the name of what it failed with


def catalog_of(literals: list[str]) -> dict[str, str]:
    """Return a language that is hard on escaping: every text has signs to escape in it."""
    return {text: f"<{text}>{HOSTILE}" for text in literals}


def by_jinja(case: Case, catalog: dict[str, str]) -> Page:
    """Return a case's page, or the name of the mistake in its context."""
    template, context, name = case
    speakers = {
        "plain": Speaker(),
        "pseudo": PseudoSpeaker(),
        "hostile": Speaker(catalog),
        "spanish": Speaker(catalog_in("es")),  # there it is the bundle's, of what is in use
    }
    try:
        return render_page(template, context, speakers[name]), ""
    except MISTAKES as error:
        return "", type(error).__name__


def by_phone(
    second: Engine, code: dict[str, str], cases: list[Case], catalog: dict[str, str], whole: bool
) -> list[Page]:
    """Return the pages that the compiled templates make in a new interpreter."""
    wanted = {"cases": cases, "catalog": catalog, "whole": whole}
    task = {
        "sources": code,
        "runner": RUNNER,
        "module": json.dumps(wanted, ensure_ascii=False),
        "wanted": [],
    }
    answer: dict[str, Any] = second.page.evaluate(
        "([task, limit]) => self.runFile(task, limit)", [task, LIMIT_MS]
    )
    assert not answer["crash"], answer["crash"]
    return [(page, error) for page, error in answer["pages"]]


def batches(cases: list[Case]) -> Iterator[list[Case]]:
    """Give the cases in portions that fit the interpreter."""
    portion: list[Case] = []
    size = 0
    for case in cases:
        size += len(json.dumps(case))
        if portion and size > BATCH:
            yield portion
            portion, size = [], len(json.dumps(case))
        portion.append(case)
    yield portion


def differences(
    second: Engine,
    code: dict[str, str],
    cases: list[Case],
    catalog: dict[str, str],
    first: bool = False,
) -> list[str]:
    """Return for each case whose pages are not the same bytes where they part; or one."""
    found = []
    for portion in batches(cases):
        there = by_phone(second, code, portion, catalog, whole=False)
        for case, (hashed, error) in zip(portion, there, strict=True):
            here, mistake = by_jinja(case, catalog)
            assert not error or error in MISTAKES_THERE, f"{case[0]}: {error}"
            same = bool(error) if mistake else hashed == hashlib.sha256(here.encode()).hexdigest()
            if not same:
                (page, _), *_ = by_phone(second, code, [case], catalog, whole=True)
                found.append(f"{case[0]} ({case[2]}): {_parting(here, page)} {mistake or error}")
                if first:
                    return found
    return found


def _parting(here: str, there: str) -> str:
    """Return where two pages part, with a little of both."""
    at = 0
    while at < min(len(here), len(there)) and here[at] == there[at]:
        at += 1
    return f"at {at}: {here[at - 40 : at + 40]!r} here, {there[at - 40 : at + 40]!r} there"
