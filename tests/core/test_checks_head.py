"""Head: straight, level, over the sill. Limits: common practice, no source. Geometry: on paper."""

from app.core.checks.head import head_over_sill, head_sag
from tests.core.asked import IN, S16, ask, place, said


def across(*values, prefix=""):
    """Return [(place, value)] at ends, quarters and middle of 192 in."""
    return [(place(prefix + str(i), x=i * 48 * IN), value) for i, value in enumerate(values)]


def sag(values, of="frame", **limits):
    """Return the outcome of the sag check; most 1/16 in."""
    limits["most"] = limits.get("most", S16)
    return head_sag(ask({"head": across(*values)}, limits, {"of": of}))


def test_middle_against_the_mean_of_the_ends():
    # ends 4 and 6 (mean 5), middle 4: 1 below, in sixteenths; exactly on the limit
    assert (
        sag([4 * S16, 4 * S16 + S16 // 2, 4 * S16, 5 * S16 + S16 // 2, 6 * S16]).verdict == "within"
    )
    found = sag([4 * S16, 4 * S16 + S16 // 2, 4 * S16 - 1, 5 * S16 + S16 // 2, 6 * S16])
    assert found.verdict == "out"


def test_on_the_limit_in_millimetres():
    assert sag([100, 100, 100 - 1600000, 100, 100], most=1600000).verdict == "within"


def test_a_head_that_hangs_is_raised_there():
    found = sag([0, 0, -3 * S16, 0, 0])
    assert '2: 3/16" below the line between the ends.' in said(found.says)
    assert 'Raise it 3/16"' in said(found.remedies)
    assert "leave no shim carrying load" in said(found.remedies)


def test_a_quarter_is_judged_too():
    assert sag([0, -3 * S16, 0, 0, 0]).verdict == "out"


def test_a_crown_is_lowered():
    assert 'Lower it 1/8"' in said(sag([0, 0, 2 * S16, 0, 0]).remedies)


def test_a_header_is_left_alone():
    found = sag([0, 0, -3 * S16, 0, 0], of="opening")
    assert "never cut or jack it" in said(found.remedies)


def test_level_is_judged_where_asked():
    steady = [0, S16, 2 * S16, 3 * S16, 4 * S16]
    assert sag(steady).verdict == "within"
    found = sag(steady, level=2 * S16)
    assert found.verdict == "out" and found.over == 2 * S16
    assert said(found.remedies) == '0: this end is 1/4" low. Raise it 1/4".'
    assert sag(steady, level=4 * S16).verdict == "within"


def test_jambs_alone_are_not_enough():
    question = ask({"head": across(0, 0)}, {"most": S16}, {"of": "frame"})
    assert head_sag(question).verdict == "missing"


def over(head, sill=None, of="frame", most=2 * S16):
    """Return the outcome of head over sill."""
    inputs = {"head": across(*head)}
    if sill:
        inputs["sill"] = across(*sill, prefix="s")
    return head_over_sill(ask(inputs, {"most": most}, {"of": of}))


def test_clear_heights_alike():
    assert over([96 * IN, 96 * IN + 2 * S16, 96 * IN]).verdict == "within"
    found = over([96 * IN, 96 * IN + 3 * S16, 96 * IN + S16])
    assert found.verdict == "out" and found.over == S16
    assert said(found.remedies) == (
        '0: 3/16" less height than at the highest place. Raise the head 3/16" there.'
    )


def test_head_and_sill_from_one_level_line():
    # both rise alike: the clear height is the same everywhere
    assert over([90 * IN, 90 * IN + IN, 90 * IN], [-6 * IN, -5 * IN, -6 * IN]).value == 0
    assert over([90 * IN] * 3, [-6 * IN, -6 * IN, -6 * IN + 3 * S16]).verdict == "out"


def test_header_over_a_floor_is_never_cut():
    found = over([96 * IN, 97 * IN], of="opening")
    assert "Never cut or jack the header" in said(found.remedies)
