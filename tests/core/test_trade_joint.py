"""Sealant joints and what heat does to lengths. Sources and tolerances stand beside the rows."""

from app.core.quantity.speaker import Speaker
from app.core.quantity.units import DEGREE_C, DEGREE_F, FOOT, INCH
from app.core.trade import heat, joint
from app.core.trade.finding import INFORMATION
from app.core.trade.heat import MICRO, Difference, Expansion, Temperature
from app.core.trade.verdicts import OUT, WITHIN
from tests.core.expect import refused
from tests.core.golden import checks, inches

MM = 1000000
PERCENT = 10000


def fahrenheit(degrees):
    """Return a temperature read in °F."""
    return Temperature((degrees - 32) * DEGREE_F, "F")


def over_f(degrees):
    """Return a difference stated in °F."""
    return Difference(degrees * DEGREE_F, "F")


def over_c(degrees):
    """Return a difference stated in °C."""
    return Difference(degrees * DEGREE_C, "C")


def near(nm, inches, digits):
    """Return whether nm agrees with a printed figure to half of its last digit."""
    return abs(nm / INCH - inches) <= 0.5 * 0.1**digits + 1e-9


def test_width_of_a_university_course_example():
    # Input published (a university course on building technology, seen; the answer is not
    # printed there), result computed independently: 0.63516 in, to the last digit.
    length = 240 * INCH
    thermal = heat.thermal_movement(length, Expansion(36 * MICRO // 10, "F"), over_f(95))
    other = length * 2 // 10000 + INCH // 8
    assert near(thermal, 0.08208, 5)
    assert near(other, 0.173, 3)
    ours = inches(joint.joint_width(thermal, other, INCH // 8, 50 * PERCENT))
    source = "input of a university course (seen), answer computed independently"
    checks("joint-width", "course example", 0.63516, ours, source, "computed", 6e-6, "in")


def test_aluminium_of_a_trade_bulletin():
    # 240 in x 0.000023 x 80 = 0.44 in (0.4416): published in a trade bulletin (seen)
    bulletin = Expansion(23 * MICRO, "C")
    ours = inches(heat.thermal_movement(240 * INCH, bulletin, over_c(80)))
    source = "a trade bulletin on sealant joints (seen)"
    for name in ("movement", "joint-width"):
        checks(name, "240 in, 80 °C", 0.4416, ours, source, "published", 6e-5, "in")


def test_a_coefficient_per_celsius_is_not_mixed_with_a_range_in_fahrenheit():
    # 80 °F with 23e-6 per °C would be 0.44 in: the right figure is 0.245 in (computed)
    aluminium = Expansion(23 * MICRO, "C")
    refused("degrees-mixed", heat.thermal_movement, 240 * INCH, aluminium, over_f(80))
    refused("degrees-mixed", heat.thermal_movement, INCH, aluminium.per("F"), over_c(80))
    assert near(heat.thermal_movement(240 * INCH, aluminium.per("F"), over_f(80)), 0.2453, 4)


def test_a_temperature_is_not_a_difference():
    # 80 °F is 26.7 °C, a difference of 80 °F is 44.4 °C (definition of the degrees)
    assert over_f(80).value * 9 == 400 * DEGREE_C
    assert fahrenheit(80).value * 3 == 80 * DEGREE_C
    aluminium = Expansion(131 * MICRO // 10, "F")
    refused("difference-needed", heat.thermal_movement, INCH, aluminium, fahrenheit(80))
    refused("difference-needed", heat.material_growth, INCH, "aluminium", fahrenheit(80))
    refused("difference-needed", heat.thermal_movement, INCH, aluminium, 80)
    refused("temperature-needed", heat.temperature_difference, fahrenheit(80), over_f(20))
    refused(
        "temperature-needed", heat.temperature_swings, over_f(50), fahrenheit(0), fahrenheit(90)
    )
    assert heat.temperature_difference(fahrenheit(80), fahrenheit(20)).value == over_f(60).value


def test_other_widths():
    # computed independently: aluminium 144 in, 100 °F, 13.1e-6 per °F -> 0.18864 in;
    # W 0.75456 in at 25 %, 0.37728 in at 50 %; to the last digit
    thermal = heat.thermal_movement(144 * INCH, Expansion(131 * MICRO // 10, "F"), over_f(100))
    assert near(thermal, 0.18864, 5)
    assert near(joint.joint_width(thermal, 0, 0, 25 * PERCENT), 0.75456, 5)
    assert near(joint.joint_width(thermal, 0, 0, 50 * PERCENT), 0.37728, 5)


def test_aluminium_against_glass():
    # 3 m, 50 K: 2.16 mm with 23.4e-6 and 9e-6 (computed); with our 23.6e-6 it is 2.19 mm
    frame = heat.thermal_movement(3000 * MM, Expansion(234 * MICRO // 10, "C"), over_c(50))
    assert frame - heat.material_growth(3000 * MM, "glass", over_c(50)) == 216 * MM // 100
    assert heat.material_growth(3000 * MM, "aluminium", over_c(50)) == 354 * MM // 100


def test_a_long_frame_grows():
    # 240 in of aluminium over 60 °F: 0.18 in, a fact of the trade, with 12.8e-6 per °F; at the
    # end that is safe for a joint, 13.1e-6 per °F, 0.189 in (computed)
    usual = Expansion(128 * MICRO // 10, "F")
    assert near(heat.thermal_movement(240 * INCH, usual, over_f(60)), 0.18, 2)
    assert near(heat.material_growth(240 * INCH, "aluminium", over_f(60)), 0.189, 3)


def test_coefficients_per_either_degree():
    # table of the trade: per °C and per °F, x 1e-6 (restated or from memory, as in MATERIALS)
    for name, per_f, digits in (
        ("glass", 5.0, 1),
        ("aluminium", 13.1, 1),
        ("steel", 6.5, 1),
        ("wood-along", 2.1, 1),
        ("wood-across", 32, 0),
    ):
        found = heat.MATERIALS[name].per("F").parts / MICRO
        assert abs(found - per_f) <= 0.5 * 0.1**digits + 1e-9, name
    assert Expansion(MICRO, "F").per("C").parts * 10 == 18 * MICRO
    assert heat.MATERIALS["glass"].per("C") is heat.MATERIALS["glass"]
    for name in heat.MATERIALS:
        assert heat.MATERIALS[name].source, name


def test_refusals_of_heat():
    refused("degree-unknown", Temperature, 0, "K")
    refused("degree-unknown", Expansion(1, "C").per, "")
    refused("length-negative", heat.material_growth, -1, "steel", over_c(1))
    refused("material-unknown", heat.material_growth, 1, "jelly", over_c(1))


def test_what_is_left_on_each_side_of_the_day_of_filling():
    # by hand: -10 to 140 °F, filled at 50
    cooler, warmer = heat.temperature_swings(fahrenheit(50), fahrenheit(-10), fahrenheit(140))
    assert (cooler.value, warmer.value) == (over_f(60).value, over_f(90).value)
    refused(
        "temperature-outside",
        heat.temperature_swings,
        fahrenheit(150),
        fahrenheit(0),
        fahrenheit(140),
    )
    refused(
        "temperature-outside",
        heat.temperature_swings,
        fahrenheit(-20),
        fahrenheit(0),
        fahrenheit(140),
    )


def test_wood_moves_with_moisture():
    # Wood Handbook FPL-GTR-190 table 13-5 (seen): red oak, tangential, 100 mm, + 4 % -> 1.476 mm
    ours = heat.moisture_movement(100 * MM, "red-oak-tangential", 80000, 120000)
    source = "Wood Handbook FPL-GTR-190 table 13-5 (seen)"
    what = "100 mm of red oak, + 4 %"
    checks("moisture-movement", what, 1476000, ours, source, "published", 0, "nm")
    assert heat.moisture_movement(100 * MM, "red-oak-tangential", 120000, 80000) == 1476000
    refused("moisture-range", heat.moisture_movement, MM, "red-oak-radial", 50000, 80000)
    refused("moisture-range", heat.moisture_movement, MM, "red-oak-radial", 80000, 150000)
    refused("wood-unknown", heat.moisture_movement, MM, "cardboard", 80000, 90000)


def test_working_range_of_a_class():
    # ISO 11600: a 10 mm joint at ± 25 % works from 7.5 to 12.5 mm (restated)
    ours = joint.range_of(10 * MM, 25 * PERCENT)
    due = (7500000, 12500000)
    checks("joint-depth", "10 mm at 25 %", due, ours, "ISO 11600", "restated", 0, "nm")


def test_depth_is_half_the_width_between_two_bounds():
    # a county government's project specification 07 92 00 (seen), in eighths of an inch
    for width, depth in ((2, 2), (4, 2), (6, 3), (8, 4), (10, 4)):
        ours = joint.sealant_depth(width * INCH // 8)
        due = depth * INCH // 8
        source = "a county government's specification 07 92 00 (seen)"
        checks("joint-depth", "depth", due, ours, source, "published", 0, "nm")
    refused("joint-narrow", joint.sealant_depth, INCH // 4 - 1)


def test_rods_are_a_quarter_thicker():
    # common practice, no source: the next rod sold
    for width, rod in ((INCH // 4, 3), (INCH // 2, 5), (INCH * 3 // 4, 8), (INCH * 8 // 5, 16)):
        assert joint.backer_rod(width) == rod * INCH // 8, width
    refused("rod-size", joint.backer_rod, 2 * INCH)
    refused("joint-size", joint.backer_rod, 0)
    found = joint.depth_and_rod(INCH // 2)
    assert found.verdict == INFORMATION
    assert Speaker().say(found.says[0]) == '1/2" wide: 1/4" deep over a 5/8" backer rod.'


def test_pure_shear_on_the_line_exactly():
    # sqrt(0.25² + 0.1875²) / 0.25 - 1 = 25 % exactly (3-4-5 triangle, geometry)
    quarter, shift = INCH // 4, 3 * INCH // 16
    assert joint.joint_elongation(quarter, shift) == 25 * PERCENT
    assert joint.judge_shear(quarter, shift, 25 * PERCENT).verdict == WITHIN
    assert joint.judge_shear(quarter, shift + 1, 25 * PERCENT).verdict == OUT
    assert joint.shear_width(shift, 25 * PERCENT) == quarter


def test_shear_in_millimetres():
    # 6 mm wide, 4 mm along: 20.185 % (computed), to the last digit
    assert abs(joint.joint_elongation(6 * MM, 4 * MM) - 201850) <= 5
    assert joint.joint_elongation(6 * MM, 0) == 0
    refused("joint-size", joint.joint_elongation, 0, MM)


def test_refusals_of_the_width():
    for capability in (0, -1, 1000001, 2500):  # 2500 ppm: 0.25 typed for a quarter
        refused("capability-range", joint.joint_width, 1, 0, 0, capability)
        refused("capability-range", joint.shear_width, 1, capability)
    refused("joint-negative", joint.joint_width, -1, 0, 0, 1)
    refused("joint-negative", joint.joint_width, 0, 0, -1, 1)


def test_a_narrow_joint_is_told_by_how_much():
    found = joint.judge_width(3 * INCH // 8, INCH // 2)
    assert found.verdict == OUT
    assert Speaker().say(found.remedies[0]).startswith('Make the joint 1/8" wider')
    assert joint.judge_width(INCH // 2, INCH // 2).verdict == WITHIN
    assert joint.joint_width(FOOT, 0, 0, 1000000) == FOOT
