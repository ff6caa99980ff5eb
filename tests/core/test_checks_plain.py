"""Each reading by itself. Limits used here are common practice, no source, unless said."""

from app.core.checks import plain
from app.core.checks.base import Ask, Silent
from app.core.checks.index import CALCS, load
from app.core.trade.verdicts import CLOSE, MISSING, OUT, UNREACHABLE, WITHIN
from tests.core.expect import refused
from tests.core.plain_asks import DRAWING, INCH, asking, said, spot

LOW_HIGH = [spot("low", side="low"), spot("high", side="high")]
A_B = [spot("A", panel="A"), spot("B", panel="B")]


def test_each_within_judges_every_reading_between_its_limits():
    ask = asking(LOW_HIGH, ["3/8", "1/2"], {"least": "1/4", "most": "1/2"})
    outcome = plain.each_within(ask)
    assert outcome.verdict == WITHIN
    assert said(outcome) == '2 read, all from 1/4" to 1/2".'
    assert (outcome.value, outcome.low, outcome.high) == (INCH // 2, INCH // 4, INCH // 2)
    assert outcome.remedies == []


def test_each_within_says_the_worst_place_and_by_how_much():
    ask = asking(LOW_HIGH, ["3/16", "3/4"], {"least": "1/4", "most": "1/2"})
    outcome = plain.each_within(ask)
    assert outcome.verdict == OUT
    assert outcome.over == INCH // 4
    assert said(outcome) == (
        'high: 1/4" too much; at most 1/2". Out as well: low. Put it right and measure again.'
    )
    low = asking(LOW_HIGH, ["3/16", "1/2"], {"least": "1/4"})
    assert said(plain.each_within(low)).startswith('low: 1/16" too little; at least 1/4".')


def test_the_procedures_own_remedy_wins():
    told = {"remedy": "Pad {place} solid by {over}."}
    ask = asking(LOW_HIGH, ["5/8", "1/2"], {"most": "1/2"}, told)
    assert said(plain.each_within(ask)).endswith('Pad low solid by 1/8".')
    within = asking(LOW_HIGH, ["1/2", "1/2"], {"most": "1/2"}, told)
    assert plain.each_within(within).remedies == []


# limit and a reading exactly on it, and the least more that a field takes
ON_THE_LINE = (
    ("in", "1/4", "1/4", "17/64"),
    ("in", "0.1", "0.1", "0.10001"),
    ("in", "0.3", "0.3", "0.30001"),
    ("mm", "9.5", "9.5", "9.500001"),
    ("mm", "0.1", "0.1", "0.100001"),
    ("mm", "1/4 in", "6.35", "6.350001"),
    ("in", "6.35 mm", "1/4", "6.350001 mm"),
)


def test_each_within_on_the_line():
    for units, limit, on, past in ON_THE_LINE:
        for name in ("most", "least"):
            ask = asking(LOW_HIGH[:1], [on], {name: limit}, units=units)
            assert plain.each_within(ask).verdict == WITHIN, on
        ask = asking(LOW_HIGH[:1], [past], {"most": limit}, units=units)
        assert plain.each_within(ask).verdict == OUT, past
        ask = asking(LOW_HIGH[:1], [on], {"least": past}, units=units)
        assert plain.each_within(ask).verdict == OUT, past


def test_each_within_takes_any_quantity():
    # 19 % moisture in framing timber: limit of common use (from memory)
    ask = asking(LOW_HIGH, ["19", "19.1"], {"most": "19"}, {"quantity": "fraction"})
    outcome = plain.each_within(ask)
    assert (outcome.verdict, outcome.quantity) == (OUT, "fraction")
    assert said(outcome).startswith("high: 0.1% too much; at most 19%.")
    ask = asking(LOW_HIGH, ["40", "41 F"], {"least": "40"}, {"quantity": "temperature"})
    assert plain.each_within(ask).verdict == WITHIN


def test_what_is_not_measured_is_missing_and_named():
    ask = asking(LOW_HIGH, ["3/8", None], {"most": "1/2"})
    outcome = plain.each_within(ask)
    assert outcome.verdict == MISSING
    assert said(outcome) == "Still to measure: high."


def test_out_of_reach_is_never_within():
    ask = asking(LOW_HIGH, ["3/8", None], {"most": "1/2"}, gone=["high"])
    assert plain.each_within(ask).verdict == UNREACHABLE
    ask = asking(LOW_HIGH, ["5/8", None], {"most": "1/2"}, gone=["high"])
    assert plain.each_within(ask).verdict == OUT
    ask = asking(LOW_HIGH, [None, None], {"most": "1/2"}, gone=["low", "high"])
    assert plain.each_within(ask).verdict == UNREACHABLE
    assert plain.noted(ask).verdict == UNREACHABLE


def test_a_silent_drawing_is_asked_for():
    refused("limit-silent", plain.each_within, asking(LOW_HIGH, ["1", "1"], {"most": None}))
    refused("limit-silent", plain.each_within, asking(LOW_HIGH, ["1", "1"], {}))
    silent = refused(
        "limit-silent",
        plain.against_drawing,
        asking(LOW_HIGH, ["1", "1"], {"most": "1/16"}, {"field": "sill_depth"}),
    )
    assert isinstance(silent, Silent)
    assert silent.details["name"] == "sill_depth"


def test_a_guard_band_turns_what_is_near_the_line_grey():
    limits = {"most": "1/2"}
    errors = {"readings": INCH // 32}
    for typed, expected in (("15/32", WITHIN), ("31/64", CLOSE), ("17/32", CLOSE), ("9/16", OUT)):
        ask = asking(LOW_HIGH[:1], [typed], limits, errors=errors)
        assert plain.each_within(ask).verdict == expected, typed
    ask = asking(LOW_HIGH[:1], ["1/2"], limits, errors=errors)
    outcome = plain.each_within(ask)
    assert outcome.over == 0
    assert said(outcome) == (
        "low: too near its limit to call this way. Try a gauge as thick as the limit: does it "
        "enter, yes or no? Read it three times: the middle one counts."
    )


def test_against_drawing_takes_a_field_or_the_places_panel():
    ask = asking(LOW_HIGH, ["99", "99 1/16"], {"most": "1/16"}, {"field": "frame_width"})
    assert plain.against_drawing(ask).verdict == WITHIN
    ask = asking(A_B, ["48 1/16", "47 15/16"], {"most": "1/16"}, {"field": "panel_width"})
    assert plain.against_drawing(ask).verdict == WITHIN
    ask = asking(A_B, ["94", "93 7/8"], {"most": "1/16"}, {"field": "panel_height"})
    outcome = plain.against_drawing(ask)
    assert outcome.verdict == OUT
    assert outcome.over == INCH // 16
    assert said(outcome) == (
        'B: 1/8" less than the 7\' 10" drawn, 1/16" allowed. '
        "Not as drawn: ask the office before anything is cut or set."
    )


def test_against_drawing_on_the_line_in_millimetres():
    # 48 in is 1219.2 mm: 1219.2 + 0.1 is not exact in binary
    for typed, expected in (("1219.3", WITHIN), ("1219.1", WITHIN), ("1219.300001", OUT)):
        ask = asking(A_B[:1], [typed], {"most": "0.1"}, {"field": "panel_width"}, units="mm")
        assert plain.against_drawing(ask).verdict == expected, typed


def test_against_drawing_takes_amounts():
    told = {"field": "force_start", "quantity": "force"}
    ask = asking(LOW_HIGH[:1], ["31"], {"most": "1"}, told)
    assert plain.against_drawing(ask).verdict == WITHIN


def count(places, typed, settings):
    """Return a question about counts."""
    return Ask(
        {"readings": places},
        {"readings": {place.id: n for place, n in zip(places, typed)}},
        {},
        settings,
        DRAWING,
    )


def test_all_counted_against_the_drawing():
    assert plain.all_counted(count(A_B[1:], [3], {"field": "fixed_screws"})).verdict == WITHIN
    outcome = plain.all_counted(count(A_B[1:], [1], {"field": "fixed_screws"}))
    assert (outcome.verdict, outcome.over, outcome.quantity) == (OUT, 2, "count")
    assert said(outcome) == "B: 1 of 3. Still to do: 2."
    outcome = plain.all_counted(count(A_B[1:], [4], {"field": "fixed_screws"}))
    assert outcome.verdict == OUT
    assert "count again" in said(outcome)


def test_weeps_are_counted_on_the_drawing_where_no_number_is_given():
    assert plain.all_counted(count(A_B[:1], [3], {"field": "weep_count"})).verdict == WITHIN
    assert plain.all_counted(count(A_B[:1], [2], {"field": "weep_count"})).verdict == OUT


def test_all_counted_against_the_procedure():
    assert plain.all_counted(count(A_B[:1], [10], {"count": 10})).verdict == WITHIN
    assert plain.all_counted(count(A_B[:1], [9], {"count": 10})).verdict == OUT
    refused("limit-silent", plain.all_counted, count(A_B[:1], [9], {}))
    refused("limit-silent", plain.all_counted, count(A_B[:1], [9], {"field": "sill_screws"}))


def test_one_no_is_out():
    assert plain.answered_yes(count(A_B, [1, 1], {})).verdict == WITHIN
    outcome = plain.answered_yes(count(A_B, [1, 0], {"remedy": "Fit the stops at {place}."}))
    assert outcome.verdict == OUT
    assert said(outcome) == "B: no. Fit the stops at B."
    assert plain.answered_yes(count(A_B, [1], {})).verdict == MISSING


def test_noted_asks_only_that_something_is_there():
    assert plain.noted(count(A_B, [1, 1], {})).verdict == WITHIN
    assert plain.noted(count(A_B, [1], {})).verdict == MISSING


def test_every_plain_check_is_found_with_what_it_takes():
    for name in CALCS:
        if CALCS[name][0] in ("plain", "alike", "middle"):
            calc, spec = load(name)
            assert callable(calc)
            assert "readings" in spec.points, name
            for optional in spec.optional:
                known = optional in spec.limits or optional in spec.settings
                assert known or optional in spec.points, optional
