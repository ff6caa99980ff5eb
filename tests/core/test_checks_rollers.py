"""Closing gap, meeting leads and stiles, in words.

Limits: common practice, no source. Expected moves: computed independently.
"""

from app.core.checks.rollers import roller_gap
from app.core.checks.stiles import stiles_alike
from app.core.trade.drawing import Drawing
from app.core.trade.turns import turn_words
from tests.core.asked import IN, S16, ask, place, said, up

HEIGHTS = (0, 48 * IN, 96 * IN)
ROW = (("A", 1, True), ("B", 2, False))


def door(panels=ROW, lock="left", axles=48 * IN):
    """Return a drawing of panels 60 in wide, no jamb face, no overlap."""
    row = [
        {
            "letter": letter,
            "kind": "X",
            "track": track,
            "width": str(60 * IN),
            "height": str(100 * IN),
            "lead": lead,
        }
        for letter, track, lead in panels
    ]
    lengths = {"axle_distance": str(axles) if axles else ""}
    return Drawing({"panels": row, "lengths": lengths, "lock": lock})


def gap(low, middle, high, letter="A", x=0, most=S16, inputs=None, drawing=None, **limits):
    """Return the outcome for one closing gap."""
    limits.update({"most": most, "middle": S16})
    asked = {"gap": up(low, middle, high, prefix="left-", x=x, panel=letter, heights=HEIGHTS)}
    asked.update(inputs or {})
    return roller_gap(ask(asked, limits, {}, drawing or door()))


def stiles(left, right, letter="A"):
    """Return the readings of both stiles."""
    return [
        (place(letter + "-left", 0, None, letter, "left"), left),
        (place(letter + "-right", 60 * IN, None, letter, "right"), right),
    ]


def test_on_the_limit_is_within_in_inches_and_millimetres():
    assert gap(6 * S16, 6 * S16 + S16 // 2, 7 * S16).verdict == "within"
    assert gap(9600000, 9600000, 11200000, most=1600000).verdict == "within"
    assert gap(6 * S16, 6 * S16 + S16 // 2, 7 * S16 + 1).verdict == "out"


def test_wide_at_the_top_lock_left():
    # 1/8 in over 96 in, axles 48 in: 1/16 in, the far (right) roller
    found = gap(4 * S16, 5 * S16, 6 * S16)
    assert found.verdict == "out" and found.over == S16
    words = said(found.remedies)
    assert 'raise the trailing roller (the RIGHT one, seen from outside) 1/16"' in words
    assert "or lower the leading one" in words and "trial turn" in words


def test_wide_at_the_bottom_lock_left():
    words = said(gap(6 * S16, 5 * S16, 4 * S16).remedies)
    assert 'raise the leading roller (the LEFT one, seen from outside) 1/16"' in words


def test_nobody_measured_the_stiles_so_that_comes_first():
    """Panel and jamb are looked at before a roller is turned (common practice, no source)."""
    bare = gap(4 * S16, 5 * S16, 6 * S16)
    assert "First measure how both stiles stand" in said(bare.remedies[:1])
    read = gap(4 * S16, 5 * S16, 6 * S16, inputs={"stiles": stiles(8 * S16, 6 * S16)})
    assert "First measure" not in said(read.remedies)


def test_what_is_lacking_for_a_figure_is_named():
    """No height to reckon over is not the drawing's silence on its axles."""
    nowhere = up(4 * S16, 5 * S16, 6 * S16, prefix="left-", x=0, panel="A", heights=(None,) * 3)
    words = said(roller_gap(_asked(nowhere, door())).remedies)
    assert "between the lowest and the highest gap. Measure it." in words
    words = said(roller_gap(_asked(nowhere, door(axles=0))).remedies)
    assert "between the roller axles. Ask the office." in words


def _asked(series, drawing):
    return ask({"gap": series}, {"most": S16, "middle": S16}, {}, drawing)


def test_lock_on_the_right():
    end = 120 * IN
    row = (("A", 2, False), ("B", 1, True))
    drawing = door(row, "right")
    words = said(gap(4 * S16, 5 * S16, 6 * S16, "B", end, drawing=drawing).remedies)
    assert "Panel B: raise the trailing roller (the LEFT one" in words
    words = said(gap(6 * S16, 5 * S16, 4 * S16, "B", end, drawing=drawing).remedies)
    assert "raise the leading roller (the RIGHT one" in words
    words = said(gap(6 * S16, 5 * S16, 4 * S16, "B", None, drawing=drawing).remedies)
    assert "raise the leading roller (the RIGHT one" in words


def test_turns_only_by_a_trial_turn():
    # 1/16 in at 1/24 in a turn: one and a half
    trial = {"trial": [(place("1", panel="A"), IN // 24)]}
    words = said(gap(4 * S16, 5 * S16, 6 * S16, inputs=trial).remedies)
    assert '1/16": 1 1/2 turns, by your trial turn' in words


def test_stiles_alike_under_a_tapering_gap_leave_the_rollers():
    inputs = {"stiles": stiles(6 * S16, 6 * S16)}
    words = said(gap(4 * S16, 5 * S16, 6 * S16, inputs=inputs, alike=S16 // 2).remedies)
    assert "Leave the rollers: check the jamb for plumb" in words
    inputs = {"stiles": stiles(7 * S16, 6 * S16)}
    words = said(gap(4 * S16, 5 * S16, 6 * S16, inputs=inputs, alike=S16 // 2).remedies)
    assert "raise the trailing roller" in words


def test_stiles_not_measured_are_asked_for_before_a_roller_is_named():
    found = gap(4 * S16, 5 * S16, 6 * S16, inputs={"stiles": stiles(None, None)}, alike=S16)
    assert said(found.remedies) == "Measure first how both stiles stand over the sill."


def test_a_bow_goes_back_to_the_shims():
    found = gap(4 * S16, 6 * S16, 4 * S16)
    assert found.verdict == "out"
    assert "Leave the rollers; straighten it by the shims at left-middle" in said(found.remedies)


def test_without_axles_in_the_drawing_it_is_still_out():
    found = gap(4 * S16, 5 * S16, 6 * S16, drawing=door(axles=None))
    assert found.verdict == "out"
    assert "Ask the office" in said(found.remedies)


MEETING = (("A", 2, False), ("B", 1, True), ("C", 1, True), ("D", 2, False))


def plumb(letter, low, high, x):
    """Return the offsets of one leading stile from a plumb line in the gap."""
    return up(low, (low + high) // 2, high, prefix=letter + "-", x=x, panel=letter, heights=HEIGHTS)


def meeting(first, second, taper=3 * S16):
    """Return the words for two leads whose tops stand `first` and `second` off plumb."""
    x = 120 * IN
    inputs = {"plumb": plumb("B", IN, IN + first, x) + plumb("C", IN, IN + second, x)}
    found = gap(IN, IN + taper // 2, IN + taper, "B", x, inputs=inputs, drawing=door(MEETING))
    assert found.verdict == "out"
    return said(found.remedies)


def test_meeting_leads_are_each_mended_by_their_own_plumb():
    # B leans 1/8 (left panel: trailing is its left roller), C 1/16
    words = meeting(2 * S16, S16)
    assert 'Panel B: raise the trailing roller (the LEFT one, seen from outside) 1/16"' in words
    assert 'Panel C: raise the trailing roller (the RIGHT one, seen from outside) 1/32"' in words


def test_one_leaning_lead_moves_alone():
    words = meeting(0, 3 * S16)
    assert "Panel B" not in words and "Panel C: raise the trailing roller" in words


def test_leans_that_do_not_add_up_are_measured_again():
    assert "do not add up" in meeting(0, S16)


def test_meeting_leads_without_plumb_are_plumbed_first():
    x = 120 * IN
    found = gap(IN, IN + S16, IN + 2 * S16, "B", x, drawing=door(MEETING))
    assert "plumb each leading stile first" in said(found.remedies)


def test_turns_in_words():
    words = [said([turn_words(q)]) for q in (0, 1, 2, 3, 4, 5, 6, 7, 8, 46)]
    assert words == [
        "less than 1/4 turn",
        "1/4 turn",
        "1/2 turn",
        "3/4 turn",
        "one turn",
        "1 1/4 turns",
        "1 1/2 turns",
        "1 3/4 turns",
        "two turns",
        "11 1/2 turns",
    ]


def alike(left, right, inputs=None, **limits):
    """Return the outcome of the stiles of panel A."""
    asked = {"stiles": stiles(left, right)}
    asked.update(inputs or {})
    return stiles_alike(ask(asked, limits, {}, door()))


def test_stiles_on_the_limit_are_within():
    assert alike(6 * S16, 6 * S16 + S16 // 2, most=S16 // 2).verdict == "within"
    assert alike(9500000, 10000000, most=500000).verdict == "within"
    assert alike(6 * S16, 6 * S16 + S16 // 2 + 1, most=S16 // 2).verdict == "out"


def test_the_lower_stile_is_raised_by_the_lever_of_the_axles():
    # 5/16 over stiles 60 in apart is 1/4 over axles 48 in apart; computed by hand
    found = alike(6 * S16, 11 * S16, most=S16)
    assert said(found.remedies) == (
        'Panel A: raise one roller (the LEFT one, seen from outside) 1/4".'
    )
    assert found.tilt == 2000


def test_height_as_drawn():
    assert alike(6 * S16, 6 * S16, most=S16, target=6 * S16).verdict == "within"
    assert alike(7 * S16, 7 * S16, most=S16, target=6 * S16).verdict == "within"
    low = alike(4 * S16, 4 * S16, most=S16, target=6 * S16)
    assert low.verdict == "out"
    assert said(low.remedies) == 'Panel A: raise both rollers 1/8" each.'
    high = alike(8 * S16, 8 * S16, most=S16, target=6 * S16, off=S16)
    assert said(high.remedies) == 'Panel A: lower both rollers 1/8" each.'


def test_a_panel_out_of_reach_is_said():
    question = ask({"stiles": stiles(6 * S16, None)}, {"most": S16}, {}, door())
    assert stiles_alike(question).verdict == "missing"
