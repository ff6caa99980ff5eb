"""Runs test files of the core under MicroPython, in a worker of a headless Chromium."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page

from tests.parity.server import serving
from tests.parity.sources import sources, test_names

RUNNER = Path(__file__).with_name("runner.py").read_text(encoding="utf-8")
LIMIT_MS = 60_000


class Result:
    """What one file did: tests as (name, failure, ms), and what kept it from running at all."""

    def __init__(self, path: str, answer: dict[str, Any], texts: dict[str, str]) -> None:
        self.path = path
        self.tests = [
            (test["name"], with_source(test["failure"], texts), test["ms"])
            for test in answer["tests"]
        ]
        self.trouble = answer["crash"] or with_source(answer["import"], texts)
        self.printed: list[str] = answer["printed"]

    @property
    def report(self) -> str:
        """Return what went wrong, with MicroPython's tracebacks; empty when all passed."""
        parts = []
        if self.trouble:
            parts.append(f"{self.path}: could not be run under MicroPython\n{self.trouble}")
        elif not self.tests:
            parts.append(f"{self.path}: there is no test in it")
        for name, failure, _ in self.tests:
            if failure:
                parts.append(f"{self.path}: {name} failed under MicroPython\n{failure}")
        if parts and self.printed:
            parts.append("printed:\n" + "\n".join(self.printed))
        return "\n".join(parts)


def with_source(failure: str, texts: dict[str, str]) -> str:
    """Return a MicroPython traceback with each line of source beside its place."""
    lines = []
    for line in failure.splitlines():
        lines.append(line)
        place = re.match(r'\s*File "/?([^"]+)", line (\d+)', line)
        if place and place[1] in texts:
            source = texts[place[1]].splitlines()
            number = int(place[2])
            lines += ["    " + source[number - 1].strip()] if number <= len(source) else []
    return "\n".join(lines)


class Engine:
    """A page that runs files; texts are the sources, by path: they are handed over once."""

    def __init__(self, page: Page, texts: dict[str, str]) -> None:
        self.page = page
        self.texts = texts
        page.evaluate("texts => { self.kept = texts; }", texts)

    def run(self, path: str, text: "str | None" = None, limit_ms: int = LIMIT_MS) -> Result:
        """Run one test file; text stands in for what is on disk."""
        texts = self.texts if text is None else {**self.texts, path: text}
        if path not in texts:
            raise FileNotFoundError(f"{path} is not a test file of the core")
        task = {
            "beside": True,
            "sources": {} if text is None else {path: text},
            "runner": RUNNER,
            "module": path.removesuffix(".py").replace("/", "."),
            "wanted": test_names(texts[path]),
        }
        answer = self.page.evaluate(
            "([task, limit]) => self.runFile(task, limit)", [task, limit_ms]
        )
        return Result(path, answer, texts)


@contextmanager
def engine(browser: Browser) -> Iterator[Engine]:
    """Open the page in a context of its own; closed at the end, the browser is left alone."""
    with serving() as address:
        context = browser.new_context()
        page = context.new_page()
        page.goto(address)
        yield Engine(page, sources())
        context.close()
