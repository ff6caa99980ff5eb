"""Lean and bow of a jamb, in words. Limits: common practice, no source. Geometry: on paper."""

from app.core.checks.lean import lean
from app.core.trade.drawing import Drawing
from tests.core.asked import IN, S16, ask, place, said, up

FT4 = 48 * IN


def asked(values, jamb="left", way="in the wall", most=2 * S16, heights=None, **limits):
    """Return the Ask of one jamb."""
    names = heights or (6 * IN, 48 * IN, 90 * IN)
    limits["most"] = most
    settings = {"jamb": jamb, "way": way, "over": FT4}
    return ask({"jamb": up(*values, heights=names)}, limits, settings, Drawing({}))


def test_on_the_limit_is_within_in_inches_and_millimetres():
    assert lean(asked([2 * IN, 2 * IN, 2 * IN + 2 * S16])).verdict == "within"
    assert lean(asked([50300000, 50300000, 50600000], most=300000)).verdict == "within"
    assert lean(asked([2 * IN, 2 * IN, 2 * IN + 2 * S16 + 1])).verdict == "out"


def test_words_and_move_in_the_wall():
    away = lean(asked([2 * IN, 2 * IN + 2 * S16, 2 * IN + 4 * S16]))
    assert 'LEFT jamb, you outside: the top leans 1/4" away from the opening.' in said(away.says)
    assert said(away.remedies) == 'Move the top of the jamb 1/4" toward the opening.'
    toward = lean(asked([2 * IN, 2 * IN - 2 * S16, 2 * IN - 4 * S16]))
    assert 'the top leans 1/4" toward the opening.' in said(toward.says)
    assert said(toward.remedies) == 'Move the top of the jamb 1/4" away from the opening.'


def test_words_and_move_through_the_wall():
    out = lean(asked([2 * IN, 2 * IN + 2 * S16, 2 * IN + 4 * S16], way="through the wall"))
    assert "toward the outside" in said(out.says)
    assert said(out.remedies) == 'Move the top of the jamb 1/4" toward the room.'
    back = lean(asked([2 * IN, 2 * IN - 2 * S16, 2 * IN - 4 * S16], way="through the wall"))
    assert said(back.remedies) == 'Move the top of the jamb 1/4" toward the outside.'


def test_a_bow_is_sent_to_the_shims():
    found = lean(asked([2 * IN, 2 * IN + 3 * S16, 2 * IN]))
    assert found.verdict == "out"
    assert said(found.remedies) == 'middle: bowed. Add 3/16" of shim there.'
    found = lean(asked([2 * IN, 2 * IN - 3 * S16, 2 * IN]))
    assert said(found.remedies) == 'middle: bowed. Take 3/16" of shim out there.'


def test_lean_within_in_all_but_not_within_four_feet():
    # 1/8 in all is within, and all of it stands in the lower 42 in: more than 1/16 in 4 ft
    found = lean(asked([2 * IN, 2 * IN + 2 * S16, 2 * IN + 2 * S16], most_over=S16))
    assert found.verdict == "out" and found.over == S16
    assert 'Worst within any 4 ft: 1/8"' in said(found.says)


def test_steady_lean_exactly_on_the_limit_within_four_feet():
    # 1/16 in 48 in is 3/32 + 1/64 in 84 in; places 42 in apart cannot show it by themselves
    heights = (0, 24 * IN, 72 * IN)
    steady = [2 * IN, 2 * IN + S16 // 2, 2 * IN + S16 + S16 // 2]
    assert lean(asked(steady, heights=heights, most_over=S16)).verdict == "within"
    steady[2] += 2
    assert lean(asked(steady, heights=heights, most_over=S16)).verdict == "out"


def test_where_the_procedure_asks_for_the_ends_alone_the_jamb_is_taken_straight():
    # 84 in apart, so 1/16 in 48 is 7/64 over it (4 x 84 / 48 / 64); by hand. Short depth.
    for sixty_fourths, due in ((7, "within"), (8, "out")):
        values = [2 * IN, 2 * IN + sixty_fourths * IN // 64]
        question = asked(values, heights=(6 * IN, 90 * IN), most_over=S16)
        found = lean(question)
        assert found.verdict == due, sixty_fourths
        assert "taken straight between readings" in said(found.says)


def test_places_too_far_apart_prove_nothing_within_four_feet():
    # a place between that nobody could reach
    question = asked([2 * IN] * 3, heights=(0, 40 * IN, 90 * IN), most_over=S16)
    middle = question.places["jamb"][1].id
    del question.readings["jamb"][middle]
    question.unreachable = {"jamb": [middle]}
    found = lean(question)
    assert found.verdict == "missing"
    assert "Measure between low and high" in said(found.says)


def test_vial_leans_the_way_the_jamb_does():
    values = [2 * IN, 2 * IN + S16, 2 * IN + 2 * S16]
    assert lean(asked(values)).tilt == -1000  # left jamb, away: to the left
    assert lean(asked(values, jamb="right")).tilt == 1000
    assert lean(asked(values, way="through the wall")).tilt == 1000


def test_one_height_is_no_lean():
    question = ask(
        {"jamb": [(place("low", y=6 * IN), IN)]},
        {"most": S16},
        {"jamb": "left", "way": "in the wall"},
    )
    assert lean(question).verdict == "missing"
