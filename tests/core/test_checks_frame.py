"""Square and free of twist, in words.

Limits: common practice, no source. Expected figures: computed
independently (see test_trade_frame.py).
"""

from app.core.checks.frame import SQUARE_SPEC, square
from app.core.checks.twist import jambs_twist, twist
from app.core.trade.drawing import Drawing
from tests.core.asked import IN, S16, ask, place, said, up
from tests.core.expect import refused

RISING, FALLING = "low-left-high-right", "low-right-high-left"
DRAWN = {"lengths": {"frame_width": str(144 * IN), "frame_height": str(96 * IN)}}
DIAGONAL = 4395888115  # 173.0665 in, of 144 x 96


def asked(rising, falling, widths=(), heights=(), of="frame", drawn=None, **limits):
    """Return the Ask of two diagonals, with sides where given."""
    inputs = {"diagonals": [(place(RISING), rising), (place(FALLING), falling)]}
    if widths:
        inputs["widths"] = [(place("w" + str(i)), v) for i, v in enumerate(widths)]
        inputs["heights"] = [(place("h" + str(i)), v) for i, v in enumerate(heights)]
    return ask(inputs, limits, {"of": of, "over": 96 * IN}, Drawing(drawn or DRAWN))


def test_difference_exactly_on_the_limit():
    assert square(asked(DIAGONAL + 2 * S16, DIAGONAL, most=2 * S16)).verdict == "within"
    assert square(asked(DIAGONAL, DIAGONAL + 2 * S16, most=2 * S16)).verdict == "within"
    assert square(asked(DIAGONAL + 2 * S16 + 1, DIAGONAL, most=2 * S16)).verdict == "out"
    assert square(asked(4395900000, 4394900000, most=1000000)).verdict == "within"  # 1.0 mm


def test_which_way_to_move_the_head():
    # 0.208013 in of difference on 144 x 96 is 1/8 in of rack
    by = 5283530 // 2
    right = square(asked(DIAGONAL + by, DIAGONAL - by, most=S16))
    assert said(right.remedies) == 'Move the head 1/8" to the left, seen from outside.'
    assert "LOW LEFT to HIGH RIGHT is" in said(right.says)
    left = square(asked(DIAGONAL - by, DIAGONAL + by, most=S16))
    assert said(left.remedies) == 'Move the head 1/8" to the right, seen from outside.'
    assert left.tilt < 0 < right.tilt


def test_an_eighth_of_difference_is_less_rack_on_a_wider_door():
    # site rule 7, computed: at 96 high 0.088 in on 96 wide, 0.075 on 144, 0.067 on 240
    for width, most in ((96, 2246000), (144, 1909000), (240, 1711000)):
        drawn = {"lengths": {"frame_width": str(width * IN), "frame_height": str(96 * IN)}}
        long = int((width * width + 96 * 96) ** 0.5 * IN)
        pair = (long + S16, long - S16)
        assert square(asked(*pair, drawn=drawn, rack_any=most)).verdict == "within"
        assert square(asked(*pair, drawn=drawn, rack_any=most * 98 // 100)).verdict == "out"


def test_rack_exactly_on_the_limit_for_its_height():
    # corners (0,0) (7,0) (2,12) (9,12): the diagonals span (9,12) and (5,12), so they are 15 and
    # 13 exactly (3-4-5 and 5-12-13 triangles, Euclid); shift 2 = (225 - 169) / (4 x 7)
    kwargs = {"widths": (7 * IN,), "heights": (12 * IN,)}
    question = asked(15 * IN, 13 * IN, rack=16 * IN, **kwargs)  # 2 in 12 is 16 in 96
    assert square(question).verdict == "within"
    question = asked(15 * IN, 13 * IN, rack=16 * IN - 1, **kwargs)
    assert square(question).verdict == "out"
    assert square(asked(15 * IN, 13 * IN, rack_any=2 * IN, **kwargs)).verdict == "within"
    assert (
        square(asked(15 * IN, 13 * IN, rack=16 * IN, rack_any=2 * IN - 1, **kwargs)).verdict
        == "out"
    )


def test_a_misread_diagonal_is_not_judged():
    sides = {"widths": (144 * IN, 144 * IN), "heights": (96 * IN, 96 * IN)}
    found = square(asked(DIAGONAL + IN, DIAGONAL, most=2 * S16, agree=2 * S16, **sides))
    assert found.verdict == "missing"
    assert "These readings cannot all be right" in said(found.says)
    assert len(found.missing) == 2


def test_a_side_of_nothing_is_measured_again():
    """A slip of the keypad, not a frame: no rack can be worked out over no width or height."""
    for sides in (((0, 0), (96 * IN,)), ((144 * IN,), (0,)), ((0,), (0,))):
        found = square(asked(0, 0, *sides, most=S16, agree=2 * S16, rack=S16))
        assert found.verdict == "missing"
        assert "measure the sides again" in said(found.remedies)
        assert len(found.missing) == len(sides[0]) + len(sides[1])


def test_alike_diagonals_of_a_trapezoid_are_no_proof():
    found = square(
        asked(
            DIAGONAL,
            DIAGONAL,
            (146 * IN, 142 * IN),
            (96 * IN, 96 * IN),
            most=2 * S16,
            agree=2 * S16,
        )
    )
    assert "it is no rectangle" in said(found.says)
    alone = square(asked(DIAGONAL, DIAGONAL, most=2 * S16))
    assert "do not prove it square" in said(alone.says)


def panel(letter, height):
    """Return a panel's JSON, 48 in wide."""
    return {
        "letter": letter,
        "kind": "X",
        "track": 1,
        "width": str(48 * IN),
        "height": str(height * IN),
        "lead": False,
    }


def test_panels_are_judged_each_by_its_own_height():
    drawn = {
        "panels": [
            panel("A", 90),
            panel("B", 110),
        ],
        "lengths": {},
    }  # fmt: skip
    pairs = []
    for letter in ("A", "B"):
        pairs.append((place(letter + "-" + RISING, panel=letter), 120 * IN + 2 * S16))
        pairs.append((place(letter + "-" + FALLING, panel=letter), 120 * IN))
    limits = {"most": S16, "most_tall": 2 * S16}
    asked_of = ask({"diagonals": pairs}, limits, {"of": "panel", "tall": 96 * IN}, Drawing(drawn))
    found = square(asked_of)
    assert SQUARE_SPEC.idle(asked_of) == []  # one panel is tall, the other is not
    asked_of.settings["tall"] = 120 * IN
    assert SQUARE_SPEC.idle(asked_of) == ["most_tall"]
    asked_of.settings["tall"] = 89 * IN
    assert SQUARE_SPEC.idle(asked_of) == ["most"]
    assert found.verdict == "out" and found.over == S16
    assert "Panel A: Do not set it." in said(found.remedies)
    assert "Panel B" not in said(found.remedies)


def test_without_a_limit_it_is_refused():
    refused("limit-needed", square, asked(DIAGONAL, DIAGONAL))


def strings(*pairs, most=S16):
    """Return the outcome of twist for (place, reading) pairs."""
    return twist(ask({"strings": [(place(name), v) for name, v in pairs]}, {"most": most}))


def test_string_gap_on_the_limit_is_within():
    assert strings(("gap", S16)).verdict == "within"
    assert strings(("gap", 1600000), most=1600000).verdict == "within"
    assert strings(("gap", S16 + 1)).verdict == "out"


def test_a_corner_is_out_by_twice_the_gap():
    found = strings((RISING, 2 * S16), (FALLING, 0))
    assert found.verdict == "out" and found.value == 2 * S16
    assert "LOW LEFT to HIGH RIGHT is in front" in said(found.remedies)
    assert 'move one of its corners 1/4" toward the room' in said(found.remedies)
    assert "LOW RIGHT to HIGH LEFT is in front" in said(
        strings((RISING, 0), (FALLING, 2 * S16)).remedies
    )


def test_both_strings_cannot_be_in_front():
    assert strings((RISING, S16), (FALLING, S16)).verdict == "missing"


def test_four_corners_from_one_plane():
    # computed by hand from the geometry: (0, 1/8, 0, 1/8) -> gap 1/8, corner 1/4
    found = strings(("a", 0), ("b", 2 * S16), ("c", 0), ("d", 2 * S16))
    assert found.value == 2 * S16 and found.verdict == "out"
    assert "LOW RIGHT to HIGH LEFT is in front" in said(found.remedies)
    # (0, 0, 1/4, 0) -> gap 1/8: within 1/8
    assert strings(("a", 0), ("b", 0), ("c", 4 * S16), ("d", 0), most=2 * S16).verdict == "within"


def leaning(left, right, most=2 * S16):
    """Return the outcome of two jambs, each foot and top off a plumb line in the room."""
    heights = (6 * IN, 90 * IN)
    inputs = {
        "left": up(*left, prefix="l", heights=heights),
        "right": up(*right, prefix="r", heights=heights),
    }
    return jambs_twist(ask(inputs, {"most": most}, {}, Drawing({})))


def test_jambs_that_lean_alike_make_a_flat_frame():
    # Plane geometry on paper: three corners fix a plane; the fourth is off it by the difference.
    assert leaning((2 * IN, 2 * IN + S16), (3 * IN, 3 * IN + S16)).verdict == "within"
    assert leaning((2 * IN, 2 * IN + S16), (3 * IN, 3 * IN - S16)).verdict == "within"
    found = leaning((2 * IN, 2 * IN + S16), (3 * IN, 3 * IN - 2 * S16))
    assert found.verdict == "out" and found.value == 3 * S16
    assert said(found.says) == 'The jambs lean 3/16" apart, in and out.'
    # the right one leans more, toward the room: it goes back toward the outside
    assert said(found.remedies) == (
        'RIGHT jamb, you outside: move the top 3/16" toward the outside.'
    )
    found = leaning((2 * IN, 2 * IN + 3 * S16), (3 * IN, 3 * IN))
    assert said(found.remedies) == 'LEFT jamb, you outside: move the top 3/16" toward the room.'
    found = leaning((2 * IN, 2 * IN - 3 * S16), (3 * IN, 3 * IN))
    assert said(found.remedies) == 'LEFT jamb, you outside: move the top 3/16" toward the outside.'


def test_what_is_done_about_leaning_jambs_brings_them_together():
    for a in range(-4, 5):
        for b in range(-4, 5):
            left, right = [2 * IN, 2 * IN + a * S16], [3 * IN, 3 * IN + b * S16]
            found = leaning(left, right)
            if found.verdict != "out":
                continue
            words = said(found.remedies)
            jamb = left if words.startswith("LEFT") else right
            way = 1 if "toward the outside" in words else -1
            jamb[1] += way * found.value
            assert leaning(left, right).value == 0, (a, b, words)


def test_jambs_not_measured_are_asked_for():
    assert leaning((2 * IN, None), (3 * IN, 3 * IN)).verdict == "missing"
