"""Asks axe-core what on a page keeps people out: WCAG 2.2, levels A and AA.

The vendored script (tests/vendor/axe, table in static/vendor/VENDOR.md) is handed over
by the driver of the browser, not by the page, so the page's own strict policy stays on.
"""

from functools import cache
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

SCRIPT = Path(__file__).resolve().parents[1] / "vendor" / "axe" / "axe.min.js"
TAGS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa")
_RUN = """([tags, rules]) => axe.run(document, {
    runOnly: tags.length ? {type: "tag", values: tags} : {type: "rule", values: rules},
    rules: Object.fromEntries(rules.map(rule => [rule, {enabled: true}])),
    resultTypes: ["violations"],
})"""


@cache
def _script() -> str:
    return SCRIPT.read_text(encoding="utf-8")


def violations(page: Page, *rules: str, alone: bool = False) -> list[str]:
    """Return what axe finds wrong on the page as it stands, one line for each element.

    rules: those of axe's own that are asked beside the two levels; alone: instead of them.

    Look at every state of a page that people meet: with errors, with details open.
    """
    if not page.evaluate("() => Boolean(self.axe)"):
        page.evaluate(_script())
    answer = page.evaluate(_RUN, [[] if alone else list(TAGS), list(rules)])
    if not answer["passes"] and not answer["violations"]:
        raise AssertionError(f"axe looked at nothing on {page.url}: is the page empty?")
    return [line for rule in answer["violations"] for line in _lines(rule)]


def _lines(rule: dict[str, Any]) -> list[str]:
    return [
        f"{rule['id']}: {rule['help']}: {' '.join(map(str, node['target']))}: "
        f"{node['html'][:120]} ({' '.join(node['failureSummary'].split())[:300]})"
        for node in rule["nodes"]
    ]
