"""The daily check of the instruments. Sources and tolerances stand beside the rows."""

from app.core.checks.decide import can_prove
from app.core.quantity.speaker import Speaker
from app.core.quantity.units import DEGREE_C, INCH
from app.core.trade import toolcheck
from app.core.trade.instruments import (
    METRE,
    instrument_of,
    reading_uncertainty,
    shared_errors,
    uncertainty_of_difference,
)
from app.core.trade.verdicts import OUT, WITHIN
from tests.core.expect import refused
from tests.core.golden import checks

MM = 1000000


def test_a_warm_tape_reads_too_little():
    # 11.5e-6 x 5000 mm x 15 K = 0.8625 mm (computed): as much as a class I tape may err
    ours = toolcheck.true_length(5 * METRE, 35 * DEGREE_C) - 5 * METRE
    source = "11.5e-6 x 5 m x 15 K, by hand"
    checks("tape-in-heat", "5 m at 35 °C", 862500, ours, source, "computed", 0, "nm")
    assert toolcheck.true_length(5 * METRE, 5 * DEGREE_C) == 5 * METRE - 862500
    assert toolcheck.true_length(5 * METRE, 20 * DEGREE_C) == 5 * METRE
    refused("reading-negative", toolcheck.true_length, -1, 0)


def test_a_level_turned_end_for_end():
    # geometry: a floor 3 up, a level 1 out shows 4 and then 2; half the difference is the level's
    assert toolcheck.turned_level(4, 2) == 1
    ours = toolcheck.turned_level(INCH // 8, INCH // 16)
    source = "half the difference, geometry"
    checks("level-turned", "1/8 and 1/16 in", INCH // 32, ours, source, "computed", 0, "nm")
    assert toolcheck.turned_level(3, 3) == 0


def test_a_level_against_its_own_accuracy():
    # 0.5 mm/m over 1.2 m: 0.6 mm, 0.024 in over 48 in (computed)
    level = instrument_of("level")
    assert shared_errors(level, 1200 * MM) == [600000]
    assert toolcheck.judge_level(1200000, 0, 1200 * MM, level).verdict == WITHIN
    bad = toolcheck.judge_level(1200001, 0, 1200 * MM, level)
    assert bad.verdict == OUT
    # the readings are 1.2 mm apart, the level is out by half of that
    assert Speaker(units="mm").say(bad.says) == "Out of level by 0.6 mm over that; at most 0.6 mm."
    assert "measure again what was measured since" in Speaker().say(bad.remedies)
    refused("tool-not-level", toolcheck.judge_level, 0, 0, METRE, instrument_of("tape"))
    refused("length-needed", toolcheck.judge_level, 0, 0, 0, level)


def test_a_laser_turned_about():
    # 2 x wall distance x 0.3 mm/m: 5 m -> 3 mm (the method seen, the class value from memory)
    laser = instrument_of("laser")
    ours = toolcheck.closing_allowed(laser, 5 * METRE)
    source = "2 x 5 m x 0.3 mm/m"
    checks("laser-turned", "5 m", 3 * MM, ours, source, "from memory", 0, "nm")
    assert toolcheck.judge_laser(3 * MM, 0, 5 * METRE, laser).verdict == WITHIN
    assert toolcheck.judge_laser(0, 3 * MM + 1, 5 * METRE, laser).verdict == OUT
    # a rotating one is finer: common practice, no source
    assert toolcheck.closing_allowed(instrument_of("laser-rotating"), 5 * METRE) == MM
    refused("tool-not-level", toolcheck.closing_allowed, instrument_of("rule"), METRE)


def test_tapes_against_each_other():
    # MI-008: class II at 5 m 1.3 mm, class I 0.6 mm (restated): 2.6 and 1.9 mm apart at the most
    five = 5 * METRE
    ours = toolcheck.judge_tapes(five, five - 2600000, ("II", "II")).verdict
    source = "MI-008: class II at 5 m 1.3 mm, twice"
    checks("tapes-compared", "2.6 mm apart", WITHIN, ours, source, "restated")
    assert toolcheck.judge_tapes(five, five - 2600001, ("II", "II")).verdict == OUT
    assert toolcheck.judge_tapes(five, five - 1900001, ("I", "II")).verdict == OUT
    refused("tape-class", toolcheck.judge_tapes, five, five, ("II", "IV"))


def test_a_rotating_laser_and_a_water_level_do_what_a_line_laser_cannot():
    # shared and own error apart: far away the slope counts, nearby the reading
    line, rotating, water = [
        instrument_of(name) for name in ("laser", "laser-rotating", "water-level")
    ]
    far = 8 * METRE
    errors = [uncertainty_of_difference(tool, 0, 0, far) for tool in (line, rotating, water)]
    assert errors[0] > errors[1] > errors[2]
    # a water level carries no slope: its error is the same at any distance
    assert uncertainty_of_difference(water, 0, 0, 1) == errors[2]
    assert can_prove(INCH // 8, "laser", of_two=True, apart=far) is not None
    assert can_prove(INCH // 8, "laser-rotating", of_two=True, apart=far) is None


def test_feeler_gauges_prove_small_gaps_only():
    # steps of 0.05 mm: U = 0.05/sqrt 3 = 0.0289 mm (rectangular, k = 2; computed)
    feeler = instrument_of("feeler")
    assert abs(reading_uncertainty(feeler, 0) - 28868) <= 1
    assert can_prove(INCH // 64, "feeler") is None
    assert can_prove(INCH // 64, "feeler", length=INCH) is not None
