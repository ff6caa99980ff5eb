"""The tool that finds untranslated words: what it must find and what it must let be."""

import pytest

from tests.pages.pseudo import unmarked

FINE = [
    "<p>⟦Sign off⟧</p>",
    "<p>⟦Pack ⟦a little⟧, Ana.⟧</p>",
    '<p> 3/16" · 12 — 0.5 %  </p>',
    '<p translate="no">Kitchen <b>north</b></p>',
    '<p translate="no" title="Kitchen">x</p>',
    "<p>9.5 mm, 8 ft, 68 °F, 20 °C, 1 1/2 in, 12.5 kg, 3 lbf</p>",
    "<script>let word = 1;</script><style>p { color: red }</style>",
    "<textarea>what a person typed</textarea>",
    '<input value="what a person typed" name="reading">',
    '<img alt="" src="/static/level.svg">',
    "<title>⟦Openings⟧ · Sillbook</title>",
    "<svg><text>⟦this order,</text><text>left ⟦to⟧</text><text>right⟧</text></svg>",
    "<!-- a remark --><p>⟦x⟧</p>",
    '<p translate="no">Kitchen<br>north<img alt="x">south</p>',
]

FOUND = [
    ("<p>Sign off</p>", ["1: <p>: Sign off"]),
    ("\n<p>⟦Save⟧ now</p>", ["2: <p>: now"]),
    ("<p>⟦Save</p><p>Next⟧ x</p>", ["1: <p>: Next x"]),
    ('<p translate="no">Kitchen</p><p>room</p>', ["1: <p>: room"]),
    ('<p translate="no">a <b translate="yes">Save</b></p>', ["1: <b>: Save"]),
    ('<a aria-label="Back">⟦x⟧</a>', ["1: <a aria-label>: Back"]),
    ('<input placeholder="like 3/8">', ["1: <input placeholder>: like 3/8"]),
    ('<img alt="Level vial">', ["1: <img alt>: Level vial"]),
    ('<a title="Close">⟦x⟧</a>', ["1: <a title>: Close"]),
    ('<input type="submit" value="Send">', ["1: <input value>: Send"]),
    ('<optgroup label="Left">', ["1: <optgroup label>: Left"]),
    ("<svg><title>Level</title><text>high</text></svg>", ["1: <title>: Level", "1: <text>: high"]),
    ("<p>&eacute;t&eacute;</p>", ["1: <p>: été"]),
    ("<p>9.5 mm too high</p>", ["1: <p>: too high"]),
    ("<p>12 inches</p>", ["1: <p>: 12 inches"]),
    ("<title>Sillbooks</title>", ["1: <title>: Sillbooks"]),
    ("<svg><text>⟦a</text><text>b⟧ c</text></svg>", ["1: <text>: c"]),
    ("<svg><text>⟦a</text></svg><p>b⟧</p>", ["1: <p>: b"]),
    ("bare", ["1: <>: bare"]),
    ('<br translate="no">after', ["1: <>: after"]),
    ("<ul><li>⟦x⟧<li>Y</ul>Z", ["1: <li>: Y", "1: <>: Z"]),
    ("<button>OK</button>", ["1: <button>: OK"]),
]


@pytest.mark.parametrize("html", FINE)
def test_lets_be(html: str) -> None:
    assert unmarked(html) == []


@pytest.mark.parametrize(("html", "found"), FOUND, ids=[row[0] for row in FOUND])
def test_finds(html: str, found: list[str]) -> None:
    assert unmarked(html) == found


def test_texts_that_people_wrote_are_known_where_nothing_can_mark_them() -> None:
    page = "<title>⟦Opening⟧ · B North patio</title>"
    assert unmarked(page) == ["1: <title>: · B North patio"]
    assert unmarked(page, ("B", "North patio")) == []
    assert unmarked(page, ("B", "North")) == ["1: <title>: · patio"]
