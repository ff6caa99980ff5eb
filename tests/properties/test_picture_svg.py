"""The SVG that the macro prints is well-formed XML, whatever people wrote, and is placed as text.

Independent reader: the standard library's XML parser.
"""

from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jinja2 import ChoiceLoader, DictLoader, FileSystemLoader

from app.core.pictures import drawings
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.trade.drawing import Drawing
from app.templating.templates import FOLDER, Templates
from tests.core.doors import data, eight
from tests.core.test_drawings import every

PAGE = {"p.html": '{% from "field/picture.html" import picture %}{{ picture(drawn) }}'}
TEMPLATES = Templates(ChoiceLoader([DictLoader(PAGE), FileSystemLoader(FOLDER)]))
HOSTILE = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "' & ]]> <!--",
    "\x00\x1b",
]
KNOWN = {"svg", "line", "rect", "circle", "polyline", "path", "text"}


def svg(picture: dict[str, Any]) -> ElementTree.Element:
    page = TEMPLATES.render("p.html", {"drawn": picture}, Speaker())
    return ElementTree.fromstring(page.strip())  # noqa: S314 - our own page is what is tested


def test_every_picture_is_well_formed() -> None:
    for picture in every():
        read = svg(picture)
        assert read.get("viewBox") == f"0 0 {picture['width']} {picture['height']}"
        assert read.get("role") == "img"
        assert read.get("aria-label") == picture["description"]
        assert {element.tag for element in read.iter()} <= KNOWN
        assert len(list(read)) == len(picture["shapes"])


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_letters_and_titles_stay_text(hostile: str) -> None:
    made = data([1, 2], "XO", "A")
    made["panels"][0]["letter"] = hostile
    door = Drawing(made)
    speaker = Speaker(
        {"the left": hostile, "Track 1 is nearest the room. A dashed panel is fixed.": hostile}
    )
    pictures = [
        drawings.elevation_picture(door, speaker),
        drawings.plan_picture(door, speaker, [hostile, "B"]),
        drawings.vial_picture(-300, speaker, (Msg("the left"), Msg("the right"))),
        drawings.bar_picture(1, 0, 2, speaker, hostile),
    ]
    for picture in pictures:
        read = svg(picture)
        assert {element.tag for element in read.iter()} <= KNOWN
        assert not [name for element in read.iter() for name in element.attrib if name[:2] == "on"]


@settings(max_examples=150, deadline=None)
@given(st.text(min_size=1, max_size=12))
def test_any_letter_at_all(letter: str) -> None:
    made = data([1, 2], "XO", "A")
    made["panels"][0]["letter"] = letter
    read = svg(drawings.elevation_picture(Drawing(made), Speaker()))
    assert {element.tag for element in read.iter()} <= KNOWN


def test_classes_are_all_styled() -> None:
    sheet = (FOLDER.parent / "static" / "css" / "pictures.css").read_text()
    plain = {"p-text"}  # what .picture text says is enough
    pictures = [*every(), drawings.plan_picture(eight(), Speaker())]
    used = {name for p in pictures for shape in p["shapes"] for name in shape["class"].split()}
    assert {name for name in used - plain if f".{name}" not in sheet} == set()
