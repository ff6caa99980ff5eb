"""The markup of the templates: nothing inline, and htmx only in the plain way."""

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

FOLDER = Path(__file__).resolve().parents[2] / "templates"
STYLE = "style: the policy refuses it"
REQUESTS = ("hx-get", "hx-post", "hx-put", "hx-patch", "hx-delete")


def offences(source: str) -> list[str]:
    """Return "line: reason" for markup that the pages' policy or the house's habit refuses."""
    reader = _Reader()
    # statements may stand inside a tag; what they output stands for some text
    plain = re.sub(r"{%.*?%}|{#.*?#}", " ", source, flags=re.DOTALL)
    reader.feed(re.sub(r"{{.*?}}", "x", plain, flags=re.DOTALL))
    reader.close()
    return reader.found


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        for name, value in given.items():
            self._attribute(name, value)
        if tag == "style" or (tag == "script" and "src" not in given):
            self._say(f"<{tag}> inline: the policy refuses it")
        asks = any(name in given for name in REQUESTS)
        if asks and not {"hx-target", "hx-swap"} <= set(given):
            self._say("an htmx request names its target and its swap on the same element")
        if tag == "form" and given.get("method", "").lower() == "post" and "action" not in given:
            self._say("a form says where it goes, so that it works without scripts")

    def _attribute(self, name: str, value: str) -> None:
        if name == "style":
            self._say(STYLE)
        if name.startswith("on"):
            self._say(f"{name}: the policy refuses it")
        if name.startswith(("hx-on", "hx-ext", "hx-vars")) or value.strip().startswith("js:"):
            self._say(f"{name}: no script in attributes, no extensions")
        if name in ("href", "src", "action") and value.strip().lower().startswith("javascript:"):
            self._say(f"{name}: no script in addresses")
        if name in ("src", "href") and re.match(r"(https?:)?//", value) and "w3.org" not in value:
            self._say(f"{name}: nothing comes from elsewhere")

    def _say(self, reason: str) -> None:
        self.found.append(f"{self.getpos()[0]}: {reason}")


GOOD = [
    '<form method="post" action="{{ a }}" hx-post="{{ a }}" hx-target="#main" hx-swap="outerHTML">',
    '<script src="/static/field/keypad.js" defer></script>',
    '<a href="{{ x.href }}"{% if x.here %} aria-current="page"{% endif %}>',
    '<img src="/static/img/{{ kind }}.svg" alt="">',
    '<div class="style" data-one="js">one</div>',
]
BAD = [
    ('<p style="color: red">', "style"),
    ('\n<button onclick="go()">', "onclick"),
    ("<script>go()</script>", "<script> inline"),
    ("<style>p {}</style>", "<style> inline"),
    ('<a hx-on:click="go()">', "no script in attributes"),
    ("<a hx-vals='js:{a: 1}'>", "no script in attributes"),
    ('<a hx-ext="json-enc">', "no extensions"),
    ('<a hx-get="/a">', "names its target"),
    ('<a hx-get="/a" hx-target="#b">', "names its target"),
    ('<form method="post">', "where it goes"),
    ('<a href="javascript:go()">', "no script in addresses"),
    ('<img src="//elsewhere.example/a.png" alt="">', "from elsewhere"),
    ('<link href="https://elsewhere.example/a.css">', "from elsewhere"),
]


@pytest.mark.parametrize("source", GOOD)
def test_allowed(source: str) -> None:
    assert offences(source) == []


@pytest.mark.parametrize(("source", "reason"), BAD, ids=[row[0] for row in BAD])
def test_refused(source: str, reason: str) -> None:
    assert any(reason in line for line in offences(source)), offences(source)


@pytest.mark.parametrize(
    "path",
    sorted(FOLDER.rglob("*.html")),
    ids=lambda path: path.relative_to(FOLDER).as_posix(),
)
def test_our_templates(path: Path) -> None:
    found = offences(path.read_text(encoding="utf-8"))
    if path.parent == FOLDER / "mail":  # no page: no policy is over it, and mail takes no sheet
        found = [line for line in found if not line.endswith(STYLE)]
    assert found == []
