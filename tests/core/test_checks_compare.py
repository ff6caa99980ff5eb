"""Which figure of a check decides, and the limits that stand beside it.

A closer look and the picture are made from that figure and those limits alone. Acceptance with a
guard band: ISO 14253-1:2017 (restated from memory); the figures are subtraction, done by hand.
"""

from app.core.checks.compare import Figure, at_most, deciding_figure
from app.core.checks.decide import middle_of, verdict_of
from app.core.checks.head import head_over_sill, head_sag
from app.core.checks.lean import lean
from app.core.checks.stiles import stiles_alike
from app.core.checks.twist import twist
from tests.core.asked import IN, S16, ask, place, up
from tests.core.test_checks_rollers import door, stiles


def shown(outcome):
    """Return what a picture and a closer look are made from."""
    return (outcome.verdict, outcome.value, outcome.low, outcome.high)


def test_the_worst_verdict_decides_then_the_least_room():
    assert deciding_figure([at_most(1, 1, 9), at_most(8, 1, 9)]).value == 8
    assert deciding_figure([at_most(10, 1, 9), at_most(30, 1, 31)]).value == 10
    assert deciding_figure([at_most(3, 1, 4, 2), at_most(9, 1, 9)]).value == 3
    assert deciding_figure([Figure(5, 2, 20), Figure(19, 2, 20)]).value == 19
    assert at_most(7, 2, 3).over == 1


def test_stiles_show_their_difference_and_its_limit():
    found = stiles_alike(ask({"stiles": stiles(5 * S16, 5 * S16 + 8)}, {"most": 8}, {}, door()))
    assert shown(found) == ("within", 8, None, 8)


def test_stiles_too_close_to_call_can_be_settled_to_either_side():
    # 1/16 in is the limit, read 1/16 in apart with 1/32 in of error each: neither is proved
    question = ask({"stiles": stiles(5 * S16, 6 * S16)}, {"most": S16}, {}, door())
    question.errors = {"stiles": S16 // 2}
    found = stiles_alike(question)
    assert shown(found) == ("close", S16, None, S16)
    ends = (found.low, found.high)
    assert verdict_of(middle_of([S16, S16 + 1, S16]), ends[0], ends[1]) == "within"
    assert verdict_of(middle_of([S16, S16 + 1, S16 + 2]), ends[0], ends[1]) == "out"


def test_strings_too_close_to_call_have_a_limit():
    question = ask({"strings": [(place("rising"), S16)]}, {"most": S16})
    question.errors = {"strings": 1000}
    assert shown(twist(question)) == ("close", S16, None, S16)


def test_a_head_over_its_sill_shows_how_far_apart_not_how_high():
    heights = [(place("left", 0), 92 * IN), (place("right", 9 * IN), 92 * IN + S16)]
    question = ask({"head": heights}, {"most": 2 * S16}, {"of": "frame"})
    assert shown(head_over_sill(question)) == ("within", S16, None, 2 * S16)


def test_of_two_limits_the_one_that_is_passed_stands_there():
    # straight, but 3/16 in out of level: the level decides
    row = [(place(str(i), i * 48 * IN), 96 * IN + i * S16) for i in range(4)]
    question = ask({"head": row}, {"most": S16, "level": 2 * S16}, {"of": "opening"})
    assert shown(head_sag(question)) == ("out", 3 * S16, None, 2 * S16)


def test_a_jamb_shows_its_offsets_difference():
    way = {"jamb": "left", "way": "in the wall"}
    question = ask({"jamb": up(IN, IN, IN + S16)}, {"most": S16}, way)
    assert shown(lean(question))[1:] == (S16, None, S16)
