"""The check of a frame's fit, in words.

Limits in these tests are the shipped ones (1/4 to 1/2 in beside the frame): common practice,
no source. Geometry: computed independently on paper.
"""

from app.core.checks.opening import fit, frame_placed, shims_of
from app.core.trade.drawing import Drawing
from tests.core.asked import IN, S16, ask, said, up
from tests.core.expect import refused

MM = 1000000


def frame(width):
    """Return a drawing that gives the frame's width and height only."""
    return Drawing({"lengths": {"frame_width": str(width), "frame_height": str(95 * IN)}})


def asked(left, right, widths, width, least=4 * S16, most=8 * S16, agree=S16, **more):
    """Return the Ask of an opening."""
    inputs = {
        "left": up(*left, prefix="left-"),
        "right": up(*right, prefix="right-"),
        "widths": up(*widths),
    }
    limits = {"least": least, "most": most, "agree": agree}
    return ask(inputs, limits, drawing=frame(width), **more)


def plumb(width, **more):
    """Return the Ask of a plumb opening 144 in wide for a frame of this width."""
    return asked([2 * IN] * 3, [2 * IN] * 3, [144 * IN] * 3, width, **more)


def leaning(lean, width):
    """Return the Ask of widths 144 1/4, 3/8, 1/2, the top of the left jamb `lean` to the right."""
    widths = [144 * IN + k * S16 for k in (4, 6, 8)]
    left = [2 * IN, 2 * IN - lean // 2, 2 * IN - lean]
    right = [w - 140 * IN - offset for w, offset in zip(widths, left)]
    return asked(left, right, widths, width)


def test_a_frame_that_fits_gets_its_shims():
    found = fit(plumb(143 * IN + 4 * S16))
    assert found.verdict == "within"
    assert found.value == 6 * S16 and found.over == 0
    assert not found.remedies
    assert '3/4" to share' in said(found.says)
    assert 'left-low: 3/8"' in said(found.says)


def test_usable_width_of_an_opening_that_leans():
    # computed by hand: 144 1/16 leaning right, 144 1/4 leaning left; frame 143
    assert '1 1/16" to share' in said(fit(leaning(3 * S16, 143 * IN)).says)
    assert '1 1/4" to share' in said(fit(leaning(-3 * S16, 143 * IN)).says)


def test_exactly_on_both_limits_is_within_in_inches_and_millimetres():
    assert fit(plumb(143 * IN + 8 * S16)).verdict == "within"  # 1/4 a side
    assert fit(plumb(143 * IN)).verdict == "within"  # 1/2 a side
    # 0.1 mm is not exact in binary: 3657.6 mm less two times 6.3 mm, less two times 12.7 mm
    tight = plumb(3657600000 - 2 * 6300000, least=6300000, most=12700000)
    assert fit(tight).verdict == "within"
    assert fit(plumb(3657600000 - 2 * 12700000, least=6300000, most=12700000)).verdict == "within"


def test_two_nanometres_over_a_limit_is_out():
    assert fit(plumb(143 * IN + 8 * S16 + 2)).verdict == "out"
    assert fit(plumb(143 * IN - 2)).verdict == "out"


def test_too_tight_says_what_to_take_off_where():
    found = fit(plumb(143 * IN + 10 * S16))
    assert found.verdict == "out" and found.over == S16
    assert 'right-high: 1/16" too tight. Take 1/16" off what lines the opening' in said(
        found.remedies
    )
    assert "never cut a post or header" in said(found.remedies)


def test_a_frame_wider_than_the_opening_is_said_without_a_minus():
    found = fit(plumb(144 * IN + 4 * S16))
    assert 'the frame is 1/4" too wide' in said(found.says)
    assert "-1" not in said(found.says) + said(found.remedies)


def test_where_nothing_can_be_shimmed_no_shim_is_named():
    found = fit(plumb(145 * IN))
    assert said(found.says) == 'Usable width 12\' 0", frame 12\' 1": the frame is 1" too wide.'


def test_too_loose_says_what_to_pad():
    found = fit(plumb(142 * IN))
    assert found.verdict == "out"
    assert 'left-middle: 1/2" too wide. Pad it solid, 1/2" thick' in said(found.remedies)


def test_padding_and_cutting_as_told_makes_it_fit():
    # right jamb leans out: a frame that is tight low and loose high on the right
    found = fit(asked([2 * IN] * 3, [2 * IN, 2 * IN, 3 * IN], [144 * IN, 144 * IN, 145 * IN],
                      143 * IN + 10 * S16))  # fmt: skip
    assert found.verdict == "out"
    # low and middle: gaps 3/16 (1/16 short), high: 1 3/16 (11/16 too much)
    left = [2 * IN + S16] * 3
    right = [2 * IN + S16, 2 * IN + S16, 3 * IN - 11 * S16]
    widths = [140 * IN + a + b for a, b in zip(left, right)]
    assert fit(asked(left, right, widths, 143 * IN + 10 * S16)).verdict == "within"


def test_contradicting_readings_are_measured_again_not_judged():
    found = fit(asked([2 * IN] * 3, [2 * IN] * 3, [144 * IN, 145 * IN, 144 * IN], 143 * IN))
    assert found.verdict == "missing"
    assert [p.id for p in found.missing] == ["middle", "left-middle", "right-middle"]
    assert 'almost exactly 1" off' in said(found.says)


def test_readings_that_agree_to_the_limit_are_taken():
    widths = [144 * IN, 144 * IN + S16, 144 * IN]
    assert fit(asked([2 * IN] * 3, [2 * IN] * 3, widths, 143 * IN)).verdict == "within"
    widths[1] += 1
    assert fit(asked([2 * IN] * 3, [2 * IN] * 3, widths, 143 * IN)).verdict == "missing"


def test_what_is_not_measured_is_named():
    found = fit(asked([2 * IN, None, 2 * IN], [2 * IN] * 3, [144 * IN] * 3, 143 * IN))
    assert found.verdict == "missing"
    assert [p.id for p in found.missing] == ["left-middle"]


def test_a_place_out_of_reach_never_reads_as_within():
    question = asked(
        [2 * IN, 2 * IN, None], [2 * IN] * 3, [144 * IN] * 3, 143 * IN, gone={"left": ["left-high"]}
    )
    assert fit(question).verdict == "unreachable"


def test_guard_bands_make_a_near_thing_close():
    question = plumb(143 * IN + 8 * S16, errors={"widths": 2 * S16})
    assert fit(question).verdict == "close"


def test_limits_that_have_changed_places_are_a_question():
    refused("limits-crossed", fit, plumb(143 * IN, least=8 * S16, most=4 * S16))


def test_silent_drawing():
    refused("limit-silent", fit, plumb(143 * IN, least=None))
    question = plumb(143 * IN)
    question.drawing = Drawing({})
    refused("drawing-silent", fit, question)


def test_the_frame_in_its_best_place_for_a_picture():
    found = frame_placed(leaning(-3 * S16, 143 * IN))
    sides = [one["side"] for one in found["places"]]
    assert sides == ["left"] * 3 + ["right"] * 3
    # the widths are 144 1/4, 3/8, 1/2: at each height both gaps and the frame make the width
    for number, width in enumerate((4, 6, 8)):
        both = found["places"][number]["gap"] + found["places"][number + 3]["gap"]
        assert both == IN + width * S16
    assert (
        frame_placed(asked([2 * IN, None, 2 * IN], [2 * IN] * 3, [144 * IN] * 3, 143 * IN)) is None
    )


def boxed(gap, *sizes, pieces=4):
    """Return what is said of a frame with this gap on both sides and these shims in the box."""
    question = plumb(144 * IN - 2 * gap, least=0, most=24 * S16)
    lengths = dict(question.drawing.data["lengths"])
    question.drawing = Drawing({"lengths": lengths, "shims": [str(size) for size in sizes]})
    question.settings["pieces"] = pieces
    return question


def test_shims_are_made_of_the_sizes_in_the_box():
    # 3/8 of 1/16, 1/8, 1/4: 1/4 and 1/8 (fewest pieces), by hand
    box = (S16, 2 * S16, 4 * S16)
    assert 'left-low: 3/8" (shims 1/4", 1/8")' in said(fit(boxed(6 * S16, *box)).says)
    # a size of the box needs no more words
    assert 'left-low: 1/4",' in said(fit(boxed(4 * S16, *box)).says)
    # never thicker than the gap: 11/32 is packed 5/16
    assert 'left-low: 11/32" (shims 1/4", 1/16")' in said(fit(boxed(5 * S16 + S16 // 2, *box)).says)


def test_shims_that_the_box_does_not_make_are_said():
    words = said(fit(boxed(6 * S16, S16, pieces=4)).says)
    assert 'left-low: 3/8", which the box does not make' in words


def test_shims_by_piece_for_the_list_of_materials():
    box = (S16, 2 * S16, 4 * S16)
    assert shims_of(boxed(6 * S16, *box)) == [4 * S16, 2 * S16] * 6  # two sides, three heights
    question = boxed(6 * S16, *box)
    question.readings["left"] = {}
    assert shims_of(question) is None
