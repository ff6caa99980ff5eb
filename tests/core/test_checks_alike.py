"""Readings against each other. Limits used here are common practice, no source."""

from app.core.checks import alike
from app.core.checks.middle import middle_of_ends, middle_of_three
from app.core.quantity.measure import parse_amount
from app.core.quantity.messages import Msg
from app.core.trade.verdicts import CLOSE, MISSING, OUT, UNREACHABLE, WITHIN
from app.core.where.place import Place
from tests.core.expect import refused
from tests.core.plain_asks import INCH, asking, said, spot

THREE = [spot("low", side="low"), spot("middle", side="middle"), spot("high", side="high")]


def test_alike_says_which_is_greatest_and_which_is_least():
    ask = asking(THREE, ["3/8", "5/16", "7/16"], {"most": "1/16"})
    outcome = alike.alike(ask)
    assert (outcome.verdict, outcome.value, outcome.over) == (OUT, INCH // 8, INCH // 16)
    assert said(outcome) == (
        'Greatest: high. Least: middle. They differ by 1/8"; at most 1/16". '
        'Find which of the two is wrong, bring them together by 1/16", and measure again.'
    )
    ask = asking(THREE, ["3/8", "3/8", "3/8"], {"most": "0"})
    assert said(alike.alike(ask)) == "All the same."


# readings, limit, units, verdict
SPREADS = (
    (("10", "10 1/4"), "1/4", "in", WITHIN),
    (("0.1", "0.3"), "0.2", "in", WITHIN),
    (("0.1", "0.3"), "0.2", "mm", WITHIN),
    (("2247.8", "2247.9"), "0.1", "mm", WITHIN),
    (("2247.8", "2247.900001"), "0.1", "mm", OUT),
    (("10", "10.25001"), "1/4", "in", OUT),
    (("-0.1", "0.1"), "0.2", "mm", WITHIN),
)


def test_alike_on_the_line():
    for typed, limit, units, expected in SPREADS:
        for order in (list(typed), [typed[1], typed[0]]):
            ask = asking(THREE[:2], order, {"most": limit}, units=units)
            assert alike.alike(ask).verdict == expected, typed


def test_alike_by_panel_compares_only_within_each():
    places = [spot(p + s, panel=p, side=s) for p in ("A", "B") for s in ("left", "right")]
    typed = ["94", "94", "93", "93 1/16"]
    ask = asking(places, typed, {"most": "1/16"}, {"by": "panel"})
    assert alike.alike(ask).verdict == WITHIN
    ask = asking(places, typed, {"most": "1/16"}, {"by": "side"})
    assert alike.alike(ask).verdict == OUT
    ask = asking(places, typed, {"most": "1/16"})
    assert alike.alike(ask).value == INCH


def test_alike_by_position_compares_each_interlock_with_itself():
    places = [spot(str(x) + s, side=s, x=x) for x in (1, 2) for s in ("low", "high")]
    ask = asking(places, ["2", "2", "1", "1 1/8"], {"most": "1/8"}, {"by": "position"})
    outcome = alike.alike(ask)
    assert (outcome.verdict, outcome.value) == (WITHIN, INCH // 8)


def test_a_large_frame_may_have_its_own_limit():
    # widths alike to 1/16, to 1/8 over 16 ft; the frame drawn is 99 in wide
    limits = {"most": "1/16", "most_large": "1/8"}
    for large, expected in (("99", OUT), ("98.999", WITHIN)):
        told = {"large": parse_amount("length", large, "in"), "of": "frame_width"}
        ask = asking(THREE[:2], ["99", "99 1/8"], limits, told)
        assert alike.alike(ask).verdict == expected
        idle = "most_large" if expected == OUT else "most"  # of frames of another size
        assert alike.ALIKE_SPEC.idle(ask) == [idle]
    assert alike.ALIKE_SPEC.idle(asking(THREE[:2], ["1", "1"], {"most": "1/16"})) == []
    told = {"large": INCH, "of": "sill_depth"}
    refused("limit-silent", alike.alike, asking(THREE[:2], ["1", "1"], limits, told))


def test_alike_never_passes_on_a_single_reading():
    ask = asking(THREE[:1], ["3/8"], {"most": "1/16"})
    assert alike.alike(ask).verdict == MISSING
    ask = asking(THREE[:2], ["3/8", None], {"most": "1/16"}, gone=["middle"])
    assert alike.alike(ask).verdict == UNREACHABLE
    ask = asking(THREE, ["3/8", None, "3/8"], {"most": "1/16"}, gone=["middle"])
    assert alike.alike(ask).verdict == UNREACHABLE
    ask = asking(THREE, ["3/8", None, "3/8"], {"most": "1/16"})
    assert alike.alike(ask).verdict == MISSING


def test_alike_with_a_guard_band_counts_the_difference():
    # two readings of U 1/64 each: at most 1/32 apart from the truth together
    ask = asking(THREE[:2], ["3/8", "7/16"], {"most": "1/16"}, errors={"readings": INCH // 64})
    assert alike.alike(ask).verdict == CLOSE
    shared = {"readings": INCH // 64, "readings.difference": 0}
    ask = asking(THREE[:2], ["3/8", "7/16"], {"most": "1/16"}, errors=shared)
    assert alike.alike(ask).verdict == WITHIN


# low, middle, high, limit, units, verdict: the mean may fall between two marks
BOWS = (
    ("3/8", "3/8", "3/8", "0", "in", WITHIN),
    ("3/8", "7/16", "3/8", "1/16", "in", WITHIN),
    ("3/8", "29/64", "3/8", "1/16", "in", OUT),
    ("3/8", "5/16", "3/8", "1/16", "in", WITHIN),
    ("0", "1/64", "1/64", "0.0078125", "in", None),
    ("9.5", "9.6", "9.6", "0.05", "mm", WITHIN),
    ("9.5", "9.6", "9.599999", "0.05", "mm", OUT),
    ("0.1", "0.2", "0.1", "0.1", "mm", WITHIN),
)


def test_the_middle_against_the_exact_mean_of_its_ends():
    for low, middle, high, limit, units, expected in BOWS:
        if expected is None:  # half of 1/64 in is finer than a nanometre: no such limit
            refused("too-fine", parse_amount, "length", limit, units)
            continue
        ask = asking(THREE, [low, middle, high], {"most": limit}, units=units)
        assert middle_of_ends(ask).verdict == expected, middle


def test_the_bow_is_said_in_words_and_not_doubled():
    outcome = middle_of_ends(asking(THREE, ["3/8", "1/2", "3/8"], {"most": "1/16"}))
    assert (outcome.value, outcome.high, outcome.over) == (INCH // 8, INCH // 16, INCH // 16)
    assert said(outcome) == (
        'middle: 1/8" more than the mean of its ends; at most 1/16". '
        "The ends cannot fix the middle: straighten it and measure again."
    )
    hollow = middle_of_ends(asking(THREE, ["3/8", "1/4", "3/8"], {"most": "1/16"}))
    assert 'middle: 1/8" less than the mean' in said(hollow)


def test_each_line_has_its_own_middle():
    places = [
        spot(str(x) + side, side=side, x=x)
        for x in (0, 1219200000)
        for side in ("low", "middle", "high")
    ]
    typed = ["3/8", "3/8", "3/8", "1/4", "3/8", "1/4"]
    outcome = middle_of_ends(asking(places, typed, {"most": "1/16"}))
    assert outcome.verdict == OUT
    assert said(outcome).startswith("1219200000middle:")


def test_the_middle_of_a_head_lies_between_left_and_right():
    places = [
        spot("l", side="left", x=0),
        spot("q", side="", x=1),
        spot("m", side="middle", x=2),
        spot("r", side="right", x=4),
    ]
    outcome = middle_of_ends(asking(places, ["80", "1", "80 1/16", "80"], {"most": "1/16"}))
    assert outcome.verdict == WITHIN


def test_a_middle_without_its_ends_is_not_judged():
    outcome = middle_of_ends(asking(THREE[:2], ["3/8", "3/8"], {"most": "1/16"}))
    assert outcome.verdict == MISSING
    ask = asking(THREE, ["3/8", None, "3/8"], {"most": "1/16"}, gone=["middle"])
    assert middle_of_ends(ask).verdict == UNREACHABLE


def test_unchanged_compares_the_end_with_the_start():
    places = [spot("start"), spot("end")]
    ask = asking(places, ["3", "2 15/16"], {"most": "1/16"})
    assert alike.unchanged(ask).verdict == WITHIN
    ask = asking(places, ["3", "2 7/8"], {"most": "1/16"})
    outcome = alike.unchanged(ask)
    assert (outcome.verdict, outcome.over) == (OUT, INCH // 16)
    assert said(outcome).startswith('end: 1/8" less than before; at most 1/16".')
    ask = asking(places, ["0.1", "0.3"], {"most": "0.2"}, units="mm")
    assert alike.unchanged(ask).verdict == WITHIN
    assert said(alike.unchanged(asking(places, ["3", "3"], {"most": "0"}))) == "Unchanged."
    ask = asking(places, ["3", None], {"most": "1/16"})
    assert alike.unchanged(ask).verdict == MISSING


def test_unchanged_place_by_place_in_two_surveys():
    ask = asking(THREE, ["0", "0", "0"], {"most": "1/16"})
    ask.places["after"] = THREE
    ask.readings["after"] = {"low": 0, "middle": INCH // 16}
    assert alike.unchanged(ask).verdict == MISSING
    ask.readings["after"]["high"] = -INCH // 8
    outcome = alike.unchanged(ask)
    assert outcome.verdict == OUT
    assert said(outcome).startswith('high: 1/8" less than before')
    ask.readings["after"]["high"] = -INCH // 16
    assert alike.unchanged(ask).verdict == WITHIN


STROKES = [
    Place("A-" + way + "-" + str(n), Msg("A " + way + " " + str(n)), panel="A", side=way)
    for way in ("open", "close")
    for n in (1, 2, 3)
]


def test_the_middle_of_three_forces_counts():
    # start force of a sliding door, 30.35 lbf: NAFS class R/LC (seen in an article)
    told = {"quantity": "force"}
    typed = ["40", "30.35", "20", "30", "10", "31"]
    outcome = middle_of_three(asking(STROKES, typed, {"most": "30.35"}, told))
    assert (outcome.verdict, outcome.quantity) == (WITHIN, "force")
    assert said(outcome).startswith("The middle one of three is 30.4 lb at the most")
    typed = ["40", "30.36", "20", "30", "10", "31"]
    outcome = middle_of_three(asking(STROKES, typed, {"most": "30.35"}, told))
    assert outcome.verdict == OUT
    assert said(outcome).startswith("A open 2, the middle one of three:")


def test_an_only_stroke_each_way_is_judged_by_itself():
    # common practice, no source: one try each way at short depth; the limit as above
    told = {"quantity": "force"}
    once = [STROKES[0], STROKES[3]]
    outcome = middle_of_three(asking(once, ["30.35", "20"], {"most": "30.35"}, told))
    assert outcome.verdict == WITHIN
    outcome = middle_of_three(asking(once, ["20", "31"], {"most": "30.35"}, told))
    assert outcome.verdict == OUT
    assert said(outcome).startswith("A close 1:")


def test_fewer_than_three_are_not_judged():
    told = {"quantity": "force"}
    ask = asking(STROKES[:2], ["1", "1"], {"most": "30"}, told)
    assert middle_of_three(ask).verdict == MISSING
    ask = asking(STROKES, ["1", "1", None, "1", "1", "1"], {"most": "30"}, told)
    assert middle_of_three(ask).verdict == MISSING
    gone = ["A-open-3"]
    ask = asking(STROKES, ["1", "1", None, "1", "1", "1"], {"most": "30"}, told, gone=gone)
    assert middle_of_three(ask).verdict == UNREACHABLE


def test_a_silent_drawing_is_asked_for():
    for check in (alike.alike, middle_of_ends, alike.unchanged, middle_of_three):
        refused("limit-silent", check, asking(THREE, ["1", "1", "1"], {"most": None}))


def on_track(track, feet, value):
    place = spot(f"t{track}-{feet}", x=feet * 12 * INCH)
    place.track = track
    return place, value


def test_a_track_is_level_within_any_length_along_it():
    """1/8 over 8 ft is 1/16 within any 4 ft; the same over 4 ft is out. Straight lines, exact."""
    settings = {"by": "track", "over": 48 * INCH}

    def judged(*rows):
        ask = asking([row[0] for row in rows], [row[1] for row in rows], {"most": "1/16"}, settings)
        return alike.alike(ask)

    even = judged(on_track(2, 0, "1"), on_track(2, 8, "1 1/8"), on_track(3, 0, "2"))
    assert even.verdict == WITHIN
    steep = judged(on_track(2, 0, "1"), on_track(2, 4, "1 1/8"), on_track(2, 8, "1 1/8"))
    assert (steep.verdict, steep.value) == (OUT, INCH // 8)
    assert said(steep).startswith('t2-0: 1/8" between 0 ft and 4 ft from LEFT jamb')
