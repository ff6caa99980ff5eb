"""Drawings written with units: what becomes of them, and what is refused."""

from typing import Any

import pytest

from app.core.trade.drawing import Drawing
from app.procedures.drawings import drawing_json
from tests.procedures.demo_book import OPENING_DRAWINGS, PROCEDURE

LIMITS = {
    f"{check['id']}.{name}"
    for step in PROCEDURE["steps"]
    for check in step["checks"]
    for name in check["limits"]
}


def small(**more: Any) -> dict[str, Any]:
    panel = {"letter": "A", "kind": "X", "track": 1, "width": "48 1/2 in", "height": "2300 mm"}
    return {"lock": "left", "panels": [panel], "lengths": {"frame_width": "191 in"}, **more}


def test_lengths_become_whole_nanometres() -> None:
    # 191 in x 25.4 mm = 4851.4 mm; 48 1/2 in = 1231.9 mm: exact by definition of the inch.
    drawing = Drawing(drawing_json(small()))
    assert drawing.need("frame_width") == 4_851_400_000
    assert (drawing.panels[0].width, drawing.panels[0].height) == (1_231_900_000, 2_300_000_000)
    assert drawing.panels[0].mass is None
    assert drawing.length("stile_clearance") is None


def test_amounts_keep_their_quantity() -> None:
    made = drawing_json(small(amounts={"skin_time": "20 min", "surface_least": "40 degF"}))
    # 20 min = 1,200,000 ms; 40 °F = 4 4/9 °C, in 1/9000 °C
    assert made["amounts"] == {"skin_time": "1200000", "surface_least": "40000"}


def test_limits_of_a_drawing_name_a_check_of_the_procedure() -> None:
    drawn = [name for data in OPENING_DRAWINGS for name in data["limits"]]
    assert drawn
    assert set(drawn) <= LIMITS


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"colour": "red"}, "a drawing has no field “colour”"),
        ({"lengths": {"frame_breadth": "1 in"}}, "“frame_breadth” does not belong"),
        ({"lengths": {"tracks": "4"}}, "“tracks” does not belong to the lengths"),
        ({"lengths": {"frame_width": "191"}}, "frame_width: “191” has no unit"),
        ({"lengths": {"frame_width": "191 lb"}}, "frame_width: “191 lb” is not a length"),
        ({"counts": {"tracks": "two"}}, "tracks: “two” does not start with a number"),
        ({"amounts": {"force_move": "20 in"}}, "force_move: “20 in” is not a force"),
        ({"weeps": ["here"]}, "weeps: “here” does not start"),
        ({"limits": {"a.most": "lots"}}, "limit a.most: “lots” is not an amount"),
    ],
)
def test_refusals(change: dict[str, Any], reason: str) -> None:
    with pytest.raises(ValueError, match=reason):
        drawing_json({**small(), **change})
