"""Dew point, sealing window, cure. Sources and tolerances stand beside the rows."""

from app.core.checks.index import load
from app.core.quantity.speaker import Speaker
from app.core.quantity.units import DEGREE_C, DEGREE_F, HOUR
from app.core.trade import dew
from app.core.trade.finding import INFORMATION
from app.core.trade.verdicts import MISSING, OUT, WITHIN
from tests.core.asked import ask, up
from tests.core.expect import refused
from tests.core.golden import checks, half_digit

MM = 1000000
DAY = 24 * HOUR


def fahrenheit(degrees):
    """Return °F in base units."""
    return (degrees - 32) * DEGREE_F


# WMO No. 8, annex 4.B (restated), computed with it to three digits; the last column is
# psychrolib 2.5.0, which uses other coefficients: 0.03 °C apart at most above freezing.
DEW = (
    (25, 50, 13.852, 13.864),
    (20, 50, 9.255, 9.272),
    (20, 80, 16.442, 16.447),
    (5, 85, 2.686, 2.692),
)


def test_dew_points_of_the_table():
    for air, humidity, wmo, other in DEW:
        found = dew.dew_point(float(air), humidity / 100)
        what = str(air) + " °C, " + str(humidity) + " %"
        source = "WMO No. 8 annex 4.B (restated), computed with it"
        checks("dew-window", what, wmo, found, source, "restated", half_digit(3), "°C")
        assert abs(found - other) <= 0.03, air


def test_vapour_pressures():
    # WMO No. 8 annex 4.B: e_w(20) 23.326 hPa (computed), e_w(0) 6.112 hPa (the constant)
    assert abs(dew.vapour_pressure(20.0) - 23.326) <= 0.0005
    assert dew.vapour_pressure(0.0) == 6.112


def test_saturated_air_is_at_its_dew_point():
    # definition of the dew point; to the accuracy of the floats
    for air in (5, 20, 40):
        assert abs(dew.dew_point(float(air), 1.0) - air) < 1e-9


# computed with mpmath 1.3 (30 digits) from WMO's formula and the nearest doubles
PRECISE = (
    (25.0, 0.5, 13.851583599891662),
    (10.0, 0.95, 9.2351563824430014),
    (39.0, 0.41, 23.353049122809243),
    (-20.0, 0.7, -24.069386919646601),
)


def test_floats_to_twelve_digits_in_both_interpreters():
    # 1e-12 relative: the project's tolerance between interpreters
    for air, humidity, exact in PRECISE:
        assert abs(dew.dew_point(air, humidity) / exact - 1) < 1e-12, air


def test_below_freezing_zero_is_taken_and_said():
    # site rule: 0 °C in place of a dew point below it (careful side), never a frost formula
    assert dew.dew_point_taken(5 * DEGREE_C, 300000) == (0, True)
    assert dew.dew_point_taken(25 * DEGREE_C, 500000) == (1385 * dew.HUNDREDTH, False)
    found = dew.sealing_window(4 * DEGREE_C, 5 * DEGREE_C, 300000, dew.Limits())
    assert found.verdict == WITHIN
    said = Speaker(units="mm").say(found.says)
    assert "below freezing; 0 °C is taken" in said
    assert "frost" in Speaker().say(found.cautions[-1])
    # at -10 °C it is refused for the surface, not for want of a formula
    cold = dew.sealing_window(-10 * DEGREE_C, -10 * DEGREE_C, 800000, dew.Limits())
    assert cold.verdict == OUT
    assert "wait until the surface is 3 °C or warmer" in Speaker(units="mm").say(cold.remedies[0])


def test_what_air_and_humidity_cannot_be():
    refused("humidity-range", dew.dew_point_taken, 0, 0)
    refused("humidity-range", dew.dew_point_taken, 0, 1000001)
    refused("air-range", dew.dew_point_taken, 61 * DEGREE_C, 500000)
    refused("air-range", dew.dew_point_taken, -46 * DEGREE_C, 500000)
    refused("margin-negative", dew.sealing_window, 0, 0, 500000, dew.Limits(-1))


def test_the_margin_is_a_difference():
    # dew point 13.85 °C and 3 °C (ISO 8502-4, a coatings rule, restated): 16.85 °C is on the line
    line = 1685 * dew.HUNDREDTH
    limits = dew.Limits(margin=3 * DEGREE_C)
    assert dew.sealing_window(line, 25 * DEGREE_C, 500000, limits).verdict == WITHIN
    short = dew.sealing_window(line - 9000, 25 * DEGREE_C, 500000, limits)
    assert short.verdict == OUT
    # 1 °C too cold is 1.8 °F too cold, not 33.8 °F
    assert "It is 1.8 °F too cold." in Speaker().say(short.remedies[0])
    assert "62.3 °F or warmer" in Speaker().say(short.remedies[0])


def test_fifteen_degrees_is_too_cold_for_air_of_25_and_50_percent():
    found = dew.sealing_window(15 * DEGREE_C, 25 * DEGREE_C, 500000, dew.Limits())
    assert found.verdict == OUT
    # 16.85 °C, shown to a tenth, half up
    assert "16.9 °C or warmer" in Speaker(units="mm").say(found.remedies[0])


def test_humidity_and_the_products_own_limits():
    # 85 %: ISO 8502-4, a coatings rule (restated); 40 to 90 °F: UFGS 07920 1.5 (seen in part)
    limits = dew.Limits(5 * DEGREE_F, 850000, fahrenheit(40), fahrenheit(90))
    warm = fahrenheit(70)
    assert dew.sealing_window(warm, fahrenheit(60), 850000, limits).verdict == WITHIN
    assert dew.sealing_window(warm, fahrenheit(60), 850001, limits).verdict == OUT
    for surface, verdict in ((40, WITHIN), (39, OUT), (90, WITHIN), (91, OUT)):
        found = dew.sealing_window(fahrenheit(surface), fahrenheit(20), 500000, limits)
        assert found.verdict == verdict, surface
    both = dew.sealing_window(fahrenheit(39), fahrenheit(60), 500000, limits, fahrenheit(120))
    assert "30 °F over" in Speaker().say(both.remedies)
    silent = dew.Limits(0, None)
    assert dew.sealing_window(warm, warm, 1000000, silent).verdict == WITHIN


def test_cure_is_an_estimate():
    # 2 to 3 mm in the first 24 h at 23 °C and 50 %, later with the root of time: from memory
    assert dew.cure_time(3 * MM, 3 * MM) == DAY
    ours = dew.cure_time(6 * MM, 3 * MM)
    source = "root of time, 3 mm in the first day; no standard"
    checks("cure", "6 mm, ms", 4 * DAY, ours, source, "from memory")
    assert dew.cure_time(6 * MM, 2 * MM) == 9 * DAY
    assert dew.cure_time(MM, 2 * MM) == DAY // 2
    refused("cure-depth", dew.cure_estimate, 0)
    assert "take 4 to 9 days at 73.4 °F and 50%" in Speaker().say(dew.cure_estimate(6 * MM).says)


def test_cure_never_says_that_it_is_safe():
    for air, humidity in ((None, None), (5 * DEGREE_C, 300000), (30 * DEGREE_C, 900000)):
        found = dew.cure_estimate(6 * MM, air, humidity)
        said = Speaker().say(found.says + found.remedies + found.cautions)
        assert found.verdict == INFORMATION
        assert "safe" not in said.lower() and "ready" not in said.lower()
        assert "An estimate" in said and "No estimate says that sealant is cured" in said
        assert ("longer" in said) == (air is not None and air < dew.CURE_WARM)


def asked(surfaces, air, humidity, **limits):
    """Return the Ask of one check of the weather."""
    inputs = {
        "surface": up(*surfaces, prefix="s"),
        "air": up(air, prefix="a"),
        "humidity": up(humidity, prefix="h"),
    }
    return ask(inputs, limits)


def test_the_check_of_a_procedure():
    calc, spec = load("dew-window")
    assert spec.limits["margin"] == "temperature-difference"
    warm, cold = 17 * DEGREE_C, 16 * DEGREE_C
    good = calc(asked([warm], 25 * DEGREE_C, 500000, margin=3 * DEGREE_C))
    assert (good.verdict, good.quantity) == (WITHIN, "temperature-difference")
    assert good.value == 315 * dew.HUNDREDTH
    bad = calc(asked([warm, cold], 25 * DEGREE_C, 500000, margin=3 * DEGREE_C))
    assert (bad.verdict, bad.over) == (OUT, 85 * dew.HUNDREDTH)
    hot = calc(asked([warm, 40 * DEGREE_C], 25 * DEGREE_C, 500000, margin=0, surface_most=warm))
    assert hot.verdict == OUT and hot.over == 0
    damp = calc(asked([warm], 15 * DEGREE_C, 860000, margin=0, humidity_most=850000))
    assert damp.verdict == OUT


def test_the_check_wants_all_three_and_its_limit():
    calc, _ = load("dew-window")
    waiting = asked([17 * DEGREE_C], 25 * DEGREE_C, 500000, margin=3 * DEGREE_C)
    waiting.readings["air"] = {}
    assert calc(waiting).verdict == MISSING
    refused("limit-silent", calc, asked([1], 1, 500000, margin=None))
