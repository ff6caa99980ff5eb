"""Verdicts, limits by length, and what instruments can prove."""

from app.core.checks.decide import (
    amount_beyond,
    can_prove,
    closer_look,
    errors_of,
    gauge_verdict,
    known_as,
    middle_of,
    per_length,
    verdict_of,
)
from app.core.quantity.measure import parse_amount
from app.core.quantity.speaker import Speaker
from app.core.trade.instruments import (
    INSTRUMENTS,
    METRE,
    expanded_uncertainty,
    greatest_error,
    instrument_of,
    reading_uncertainty,
    root_up,
    shared_errors,
    tape_expansion,
    uncertainty_of_difference,
)
from app.core.trade.verdicts import CLOSE, OUT, WITHIN
from tests.core.expect import refused
from tests.core.golden import checks

INCH = 25400000


def length(text: str, units: str = "in") -> int:
    return parse_amount("length", text, units)


# reading, limit, units: exactly on the line, with values that no binary float holds
ON_THE_LINE = (
    ("1/4", "1/4", "in"),
    ("0.1", "0.1", "in"),
    ("0.3", "0.3", "in"),
    ("10.1", "10.1", "in"),
    ("0.1", "0.1", "mm"),
    ("9.5", "9.5", "mm"),
    ("2247.9", "2247.9", "mm"),
    ("6.35", "1/4 in", "mm"),
    ("1/16", "1.5875 mm", "in"),
)


def test_on_the_line_is_within_in_inches_and_millimetres():
    for reading, limit, units in ON_THE_LINE:
        value = length(reading, units)
        line = length(limit, units)
        assert verdict_of(value, None, line) == WITHIN, reading
        assert verdict_of(value, line, None) == WITHIN, reading
        assert verdict_of(value, line, line) == WITHIN, reading
        assert verdict_of(value + 1, None, line) == OUT, reading
        assert verdict_of(value - 1, line, None) == OUT, reading


def test_a_difference_exactly_on_the_line_is_within():
    # 10 1/4 in less 10 in; 0.3 mm less 0.1 mm: both a hair over in binary floats
    assert verdict_of(length("10 1/4") - length("10"), None, length("1/4")) == WITHIN
    assert (
        verdict_of(length("0.3", "mm") - length("0.1", "mm"), None, length("0.2", "mm")) == WITHIN
    )


# Non-binary rule with guard band w = U (ILAC-G8:09/2019 4.2; ISO 14253-1:2017 5, restated):
# limits ±3, U = 1 in tenths: 2.0 accepted, 2.1 to 4.0 neither, 4.1 rejected.
GUARDED = ((0, WITHIN), (20, WITHIN), (21, CLOSE), (30, CLOSE), (40, CLOSE), (41, OUT))


def test_guard_bands_stand_on_both_sides_of_both_limits():
    for tenths, expected in GUARDED:
        ours = verdict_of(tenths, -30, 30, 10)
        source = "ILAC-G8:09/2019 4.2 (seen), w = U"
        what = str(tenths) + " against 30, U 10"
        checks("verdict", what, expected, ours, source, "published")
        assert verdict_of(-tenths, -30, 30, 10) == expected, tenths


def test_a_guard_band_wider_than_the_zone_leaves_nothing_to_accept():
    assert verdict_of(0, -3, 3, 4) == CLOSE


def test_beyond_says_by_how_much():
    assert [amount_beyond(value, 10, 20) for value in (7, 10, 20, 26)] == [3, 0, 0, 6]
    assert amount_beyond(-5, None, None) == 0


def test_a_limit_by_length_is_exact_and_capped():
    # 1/16 in any foot, 1/4 in overall (common practice, no source)
    foot = 12 * INCH
    sixteenth = INCH // 16
    assert per_length(sixteenth, foot, 3 * foot, INCH // 4) == 3 * sixteenth
    ours = per_length(sixteenth, foot, 16 * foot, INCH // 4)
    source = "1/16 in a foot, 1/4 in at most"
    name = "limit-for-length"
    checks(name, "16 ft", INCH // 4, ours, source, "common practice", 0, "nm")
    for cm, tenths in ((120, 18), (200, 30), (600, 30)):
        ours = per_length(1500000, METRE, cm * 10000000, 3000000)
        source = "1.5 mm/m, 3 mm at most: an accredited test house's page (seen)"
        checks(name, str(cm) + " cm", tenths * 100000, ours, source, "published", 0, "nm")
    # 1 in 3 of 10 nm: 3 is within 10/3, 4 is not
    assert verdict_of(3, None, per_length(1, 3, 10)) == WITHIN
    assert verdict_of(4, None, per_length(1, 3, 10)) == OUT


def test_a_gauge_as_thick_as_the_limit_needs_no_number():
    assert gauge_verdict(True, "most") == OUT
    assert gauge_verdict(False, "most") == WITHIN
    assert gauge_verdict(True, "least") == WITHIN
    assert gauge_verdict(False, "least") == OUT


def test_the_middle_of_three_counts():
    for three in ([5, 9, 6], [6, 5, 9], [9, 6, 5], [6, 6, 9]):
        assert middle_of(three) == 6
    refused("three-readings", middle_of, [1, 2])
    refused("three-readings", middle_of, [])


# Directive 2014/32/EU annex X (MI-008): a, b, c from the legal text (seen); whole-metre
# rows published on makers' and metrology offices' pages (restated). Tenths of a millimetre.
MI008 = (
    ("I", 3, 4),
    ("I", 5, 6),
    ("I", 8, 9),
    ("I", 10, 11),
    ("II", 3, 9),
    ("II", 5, 13),
    ("II", 10, 23),
    ("III", 10, 46),
)


def test_tapes_by_their_class():
    for grade, metres, tenths in MI008:
        ours = greatest_error(grade, metres * METRE)
        what = "class " + grade + ", " + str(metres) + " m"
        source = "MI-008 (2014/32/EU annex X), rows on public pages"
        checks("tape-error", what, tenths * 100000, ours, source, "restated", 0, "nm")


def test_a_length_is_rounded_up_to_whole_metres():
    ours = greatest_error("II", length("2.4 m"))
    source = "MI-008 (2014/32/EU annex X), legal text (seen)"
    checks("tape-error", "class II, 2.4 m", 900000, ours, source, "published", 0, "nm")
    assert greatest_error("II", length("2.4 m"), hook=True) == 1100000
    assert greatest_error("II", length("4.5 m")) == 1300000
    assert greatest_error("II", METRE) == 500000
    assert greatest_error("II", METRE + 1) == 700000
    assert greatest_error("II", 0) == 300000


def test_steel_grows_as_much_as_a_class_one_tape_errs():
    # 11.5e-6 x 5000 mm x 15 K = 0.8625 mm (computed)
    assert tape_expansion(5 * METRE, 15) == 862500


def near(value: int, thousandths_of_inch_times_100: int) -> bool:
    """Return whether a value agrees with a published figure to its last digit, 0.00001 in."""
    return abs(value - thousandths_of_inch_times_100 * 254) <= 254


def test_resolution_alone():
    # u = q / sqrt 12: 1/16 in 0.01804 in, 1/32 in 0.00902 in; difference of two 1/16
    # readings u 0.02552 in, U 0.05103 in (computed from the definition)
    ours = expanded_uncertainty([INCH // 16])
    source = "u = q/sqrt 12: 0.01804 in, computed from the definition"
    checks("uncertainty", "read to 1/16 in", 3608 * 254, ours, source, "computed", 254, "nm")
    assert near(expanded_uncertainty([INCH // 32]), 1804)
    ours = expanded_uncertainty([INCH // 16, INCH // 16])
    source = "u = q/sqrt 12, U = 2u: 0.05103 in, computed from the definition"
    due = 5103 * 254
    name = "uncertainty-of-difference"
    checks(name, "two readings to 1/16 in", due, ours, source, "computed", 254, "nm")
    # MPE 0.9 mm -> u = 0.9 / sqrt 3 = 0.520 mm (computed): U = 1.040 mm
    assert 1039000 < expanded_uncertainty([2 * 900000]) < 1040000


def test_uncertainty_is_rounded_up():
    assert [root_up(n) for n in (0, 1, 2, 3, 4, 5, 9, 10, 16, 17)] == [0, 1, 2, 2, 2, 3, 3, 4, 4, 5]
    assert root_up(10**40) == 10**20
    assert root_up(10**40 + 1) == 10**20 + 1
    assert expanded_uncertainty([1]) == 1


def test_the_difference_of_two_like_readings_is_better_than_each():
    # on a door's widths and diagonals; on short work the resolution counts more, and counts twice
    for grade in ("tape", "tape-32", "tape-mm", "tape-mm-i", "tape-mm-iii"):
        tool = instrument_of(grade)
        for metres in (3, 5, 8):
            first = metres * METRE
            of_difference = uncertainty_of_difference(tool, first, first + length("1/8"))
            assert of_difference < reading_uncertainty(tool, first, hook=True), grade


def test_two_equal_readings_share_everything_but_their_own_error():
    assert near(uncertainty_of_difference(instrument_of("tape"), 5 * METRE, 5 * METRE), 5103)


def test_a_laser_carries_its_error_over_the_distance():
    # 0.3 mm/m over 5 m is 1.5 mm; the closing check over twice 5 m shows 3 mm (trade figures)
    assert shared_errors(instrument_of("laser"), 5 * METRE) == [1500000]
    tool = instrument_of("laser")
    near_by = uncertainty_of_difference(tool, 0, 0, METRE)
    assert near_by < uncertainty_of_difference(tool, 0, 0, 5 * METRE)


def test_a_limit_too_fine_for_the_instrument_is_said_before_measuring():
    said = can_prove(INCH // 16, "tape", of_two=True)
    assert said is not None
    assert Speaker().say(said) == (
        'A limit of 1/16" is too fine for a tape read to 1/16 in. Use a rule read to 1/32 in.'
    )
    source = "U of two 1/16 in readings is 0.051 in: over half of 1/16 in (computed)"
    proved = can_prove(INCH // 16, "tape", of_two=True) is None
    checks("instrument-can-prove", "1/16 in by a tape", False, proved, source, "computed")
    assert can_prove(INCH // 16, "rule", of_two=True) is None
    assert can_prove(INCH // 16, "rule") is None
    assert can_prove(INCH // 8, "tape", length=length("90"), of_two=True) is None
    assert can_prove(INCH // 4, "laser", of_two=True, apart=length("16'")) is None


def test_what_is_offered_instead_fits_the_work():
    for limit, tool, reach, apart, word in (
        (INCH // 32, "tape", 0, 0, "gauge"),
        (INCH // 1000, "tape", 0, 0, "go or no-go"),
        (INCH // 16, "tape", 90 * INCH, 0, "Ask the office"),
        # 1/8 in needs U of 1/16 in: two readings of a water level have 1.155 mm (each read to 1 mm,
        # by an eye good to 0.5 mm: root of 4/3), so 1/16 in has nothing that serves over 16 ft
        (INCH // 8, "laser", 0, 192 * INCH, "rotating laser"),
        (INCH // 16, "laser", 0, 192 * INCH, "Ask the office"),
        (INCH // 8, "laser", 0, 480 * INCH, "water level"),
    ):
        said = can_prove(limit, tool, reach, of_two=apart > 0, apart=apart)
        assert said is not None
        assert word in Speaker().say(said), word


def test_an_instrument_that_does_not_reach_is_not_called_too_coarse():
    said = can_prove(INCH // 8, "rule", length=length("16'"), of_two=True)
    assert said is not None
    assert Speaker().say(said) == (
        "16' 0\" is more than a rule read to 1/32 in measures. Use a tape read to 1/32 in."
    )
    said = can_prove(INCH // 64, "gauge", length=length("16'"), of_two=True)
    assert said is not None
    assert 'a limit of 1/64" is too fine for what does' in Speaker().say(said)


def test_what_is_offered_can_prove_the_limit_itself():
    for known in INSTRUMENTS:
        for parts in (4, 8, 16, 32, 64, 128):
            said = can_prove(INCH // parts, known.id)
            better = said.params.get("better") if said else None
            for other in INSTRUMENTS:
                if better is not None and other.title == better:
                    assert can_prove(INCH // parts, other.id) is None


def test_an_unknown_instrument_is_refused():
    refused("instrument-unknown", can_prove, INCH, "eye")


def test_a_grey_result_always_has_an_exit():
    assert len(closer_look()) == 2
    assert len(closer_look("force")) == 1


def test_errors_for_a_guarded_drawing():
    errors = errors_of("readings", known_as("tape"), 3 * METRE)
    assert near(errors["readings.difference"], 5103)
    assert errors["readings"] == reading_uncertainty(instrument_of("tape"), 3 * METRE)
    assert errors_of("readings", known_as("thermometer"), 0) == {}
    carried = errors_of("line", known_as("laser"), 0, 5 * METRE)
    assert carried["line"] > errors_of("line", known_as("laser"), 0, METRE)["line"]
