"""Planted faults: hand sums, in both interpreters. Exact rotation: tests/procedures.

A panel 48 wide on axles 6 and 42: a roller 3/64 low leans it by 3/64 over 36, which is 0.109375 in
over 84 (similar triangles). Which faults are worth planting is common practice, no source.
"""

from app.core.pictures.shown import draw_scale
from app.core.quantity.speaker import Speaker
from app.core.trade.drawing import Drawing
from app.core.trade.planted import FAULTS, PlantedFault

INCH = 25400000
LOW = 3 * INCH // 64


def planted(kind, size, at=""):
    return PlantedFault({"kind": kind, "at": str(at), "size": str(size)})


def drawing():
    panel = {
        "letter": "A",
        "kind": "X",
        "track": 1,
        "width": str(48 * INCH),
        "height": str(96 * INCH),
        "lead": True,
    }
    lengths = {
        "axle_distance": str(36 * INCH),
        "jamb_face": "0",
        "frame_width": str(48 * INCH),
        "frame_height": str(96 * INCH),
    }
    return Drawing({"lengths": lengths, "panels": [panel]})


def test_a_low_roller_leans_its_panel_and_no_other():
    drawn = drawing()
    panel = drawn.panels[0]
    right = planted("roller-right-low", LOW, "A")
    assert right.lean(panel, drawn, 84 * INCH) == -7 * INCH // 64  # 0.109375 to the right
    # 6 beyond one axle, 36 from the other: a sixth of it, to the nanometre
    assert abs(6 * right.lift(panel, drawn, "left") - LOW) <= 3
    assert abs(6 * right.lift(panel, drawn, "right") + 7 * LOW) <= 3
    other = planted("roller-right-low", LOW, "B")
    assert other.lean(panel, drawn, 84 * INCH) == 0


def test_a_panel_out_of_square_has_one_diagonal_longer():
    """48 by 64 with its top 16 to the right: 64 by 64 and 32 by 64 (Pythagoras)."""
    data = drawing().data
    data["panels"][0]["height"] = str(64 * INCH)
    drawn = Drawing(data)
    racked = planted("panel-racked", 16 * INCH, "A")
    rising, falling = [racked.diagonal(drawn.panels[0], up) for up in (True, False)]
    assert abs((80 * INCH + rising) ** 2 - 2 * (64 * INCH) ** 2) < 200 * INCH
    assert abs((80 * INCH + falling) ** 2 - 5 * (32 * INCH) ** 2) < 200 * INCH


def test_lines_along_the_frame():
    drawn = drawing()
    hump = planted("bed-hump", INCH // 8, 24 * INCH)
    assert [hump.bed(x * INCH, drawn) for x in (12, 18, 24, 30, 40)] == [
        0,
        INCH // 16,
        INCH // 8,
        INCH // 16,
        0,
    ]
    falls = planted("bed-falls", INCH // 4)
    assert [falls.bed(x * INCH, drawn) for x in (0, 24, 48)] == [0, -INCH // 8, -INCH // 4]
    sags = planted("head-sags", INCH // 4)
    assert [sags.head(x * INCH, drawn) for x in (0, 12, 24, 48)] == [0, -INCH // 8, -INCH // 4, 0]
    leans = planted("left-jamb-in", INCH // 4)
    assert [leans.jamb("left", y * INCH, drawn) for y in (0, 48, 96)] == [0, -INCH // 8, -INCH // 4]
    assert leans.jamb("right", 96 * INCH, drawn) == 0


def swept_by_trying(fault, drawn, edge, width):
    """Return the greatest gap by trying: every chord between two spots within the edge's length.

    An edge rests on two spots and dips below neither floor between them; all in steps of 2 in,
    on which the floor's bends lie.
    """
    step = 2 * INCH
    floor = [fault.bed(n * step, drawn) for n in range(width // step + 1)]
    reach = edge // step
    best = 0
    for i in range(len(floor)):
        for j in range(i + 2, min(i + reach, len(floor) - 1) + 1):
            gaps = [
                floor[i] + (floor[j] - floor[i]) * (k - i) // (j - i) - floor[k]
                for k in range(i + 1, j)
            ]
            if min(gaps) >= -2:
                best = max([best] + gaps)
    return best


def test_a_swept_straightedge_finds_a_hump_and_a_hollow():
    """Against trying every chord. A hump's foot: 6 to each side clear 1/4 of it."""
    drawn = drawing()
    width = 96 * INCH
    drawn.data["lengths"]["frame_width"] = str(width)
    for kind in ("bed-hump", "bed-hollow"):
        for at in (48, 40, 20, 12, 90):
            fault = planted(kind, INCH // 4, at * INCH)
            for edge in (12 * INCH, 48 * INCH):
                tried = swept_by_trying(fault, drawn, edge, width)
                assert abs(fault.swept_gap(edge, drawn) - tried) <= 4, (kind, at, edge)
    assert planted("bed-hump", INCH // 4, 48 * INCH).swept_gap(12 * INCH, drawn) == INCH // 16
    assert planted("bed-falls", INCH // 4).swept_gap(48 * INCH, drawn) == 0


def test_each_fault_has_its_words():
    for kind in FAULTS:
        where = FAULTS[kind][0]
        at = {"along": INCH, "panel": "A"}.get(where, "")
        words = Speaker().say(planted(kind, INCH // 8, at).words())
        assert '1/8"' in words and "{" not in words
    assert not planted("bent", 1).known


def test_a_scale_shows_its_size_at_the_edge():
    """13 9/16 read to 1/32: the inch at 13 stands 9/16 of 150 units to the left of the edge."""
    value = 13 * INCH + 9 * INCH // 16
    drawn = draw_scale(value, INCH // 32, Speaker())
    assert drawn["description"] == 'The scale shows 13 9/16".'
    numbers = {one["text"]: one["x"] for one in drawn["shapes"] if one["kind"] == "text"}
    assert numbers == {"13": 170 - 84, "14": 170 + 66}
    metric = Speaker(None, "mm")
    drawn = draw_scale(344_500_000, 500_000, metric)
    numbers = [one["text"] for one in drawn["shapes"] if one["kind"] == "text"]
    assert numbers == ["320", "330", "340", "350", "360", "370"]
