"""Rollers: which one, which way, how far. Sources stand beside the rows."""

from app.core.trade.rollers import (
    bow_twice,
    leans_agree,
    quarter_turns,
    raised_roller,
    roller_rise,
    rollers_can,
    side_of,
)
from tests.core.golden import checks

INCH = 25400000
SIXTEENTH = INCH // 16
MM = 1000000


def test_rise_of_a_roller():
    # computed independently: (taper, axles, distance, rise), exact to a nanometre
    rows = (
        (INCH // 8, 48 * INCH, 96 * INCH, SIXTEENTH),
        (3 * SIXTEENTH, 60 * INCH, 120 * INCH, 3 * SIXTEENTH // 2),
        (4 * MM, 1500 * MM, 3000 * MM, 2 * MM),
        (4 * MM, 1300 * MM, 3000 * MM, 1733333),  # 1.733 mm
        (3 * MM, 1200 * MM, 2700 * MM, 1333333),  # 1.333 mm
    )
    for taper, axles, distance, rise in rows:
        source = "plane geometry: rise / axles = taper / distance, worked by hand"
        ours = roller_rise(taper, axles, distance)
        checks("roller-rise", "rise of one roller", rise, ours, source, "computed", 0, "nm")
        assert roller_rise(-taper, axles, distance) == rise


def test_which_roller_rises_both_signs_and_both_hands():
    # wide at the top -> the far (trailing) roller up; wide at the bottom ->
    # the lock-side (leading) one. Lock left: the trailing roller is on the right.
    assert raised_roller(1) == "trailing"
    assert raised_roller(-1) == "leading"
    assert side_of("trailing", "left") == "right"
    assert side_of("trailing", "right") == "left"
    assert side_of("leading", "left") == "left"
    assert side_of("leading", "right") == "right"


def turned(taper, side, leading_side):
    """Return the taper after raising the roller on `side` (rise 4, axles 40, 100 apart), on paper.

    Raising the right roller turns the panel counterclockwise: its top goes left by 10. A gap on
    the left is closed by a move to the left.
    """
    left = 10 if side == "right" else -10
    return taper - left if leading_side == "left" else taper + left


def test_the_move_closes_the_gap_it_was_computed_for():
    for leading in ("left", "right"):
        for taper in (10, -10):
            assert roller_rise(taper, 40, 100) == 4
            assert turned(taper, side_of(raised_roller(taper), leading), leading) == 0


def test_stiles_that_stand_alike_are_no_matter_for_rollers():
    assert not rollers_can(3, 10, 10, 0)
    assert not rollers_can(3, 11, 10, 1)
    assert rollers_can(3, 12, 10, 1)


def test_stiles_that_lean_the_other_way_are_no_matter_for_rollers():
    assert not rollers_can(3, 10, 12, 1)
    assert rollers_can(-3, 10, 12, 1)


def test_bow_is_the_middle_off_the_mean():
    assert bow_twice(4, 6, 4) == 4
    assert bow_twice(4, 5, 6) == 0


def test_turns_by_the_trial_turn():
    # 1/16 in at 24 threads an inch is 1.5 turns; 2 mm at a 1 mm pitch is 2
    source = "a screw of 24 threads an inch, 1 mm pitch: rise / pitch"
    ours = quarter_turns(SIXTEENTH, INCH // 24)
    checks("roller-rise", "quarter turns for 1/16 in", 6, ours, source, "computed")
    checks(
        "roller-rise",
        "quarter turns for 2 mm",
        8,
        quarter_turns(2 * MM, 1 * MM),
        source,
        "computed",
    )


def test_the_taper_between_two_leads_is_the_sum_of_their_leans():
    assert leans_agree(3, 1, 2, 0)
    assert leans_agree(3, 1, 1, 1)
    assert not leans_agree(3, 1, 1, 0)
