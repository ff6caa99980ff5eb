"""Head of water, classes, sprayed test, hose. Sources and tolerances stand beside the rows."""

from app.core.quantity.speaker import Speaker
from app.core.quantity.units import FOOT, INCH, MINUTE, NEWTON, POUND_FORCE
from app.core.trade import thresholds, water, watertest
from app.core.trade.finding import INFORMATION
from app.core.trade.verdicts import OUT
from app.core.trade.water import Pressure
from tests.core.expect import refused
from tests.core.golden import checks, half_digit


def psf(hundredths):
    return Pressure(hundredths, "psf", 100)


def said(found):
    return Speaker().say(found.says + found.remedies + found.cautions)


# psf in hundredths -> inches of water, three digits (computed from the definitions of the units)
HEADS = ((290, 0.557), (450, 0.865), (800, 1.538), (600, 1.153))


def test_heads_of_the_table():
    for hundredths, inches in HEADS:
        ours = water.head_of_water(psf(hundredths)) / INCH
        source = "definitions of the units (NIST SP 811), computed"
        what = str(hundredths) + " hundredths of psf"
        checks("water-head", what, inches, ours, source, "computed", half_digit(3), "in")


def test_head_of_an_associations_article():
    # 290 Pa (6.0 psf) -> 30 mm (1.2 in): a trade magazine, rounded there (seen); 29.57 and
    # 29.29 mm (1.1533 in) unrounded (computed)
    by_pascal, by_psf = (
        water.head_of_water(Pressure(290, "Pa")),
        water.head_of_water(Pressure(6, "psf")),
    )
    for found, exact in ((by_pascal, 29.57), (by_psf, 29.29)):
        assert abs(found / 1000000 - exact) <= 0.005
        source = "a trade magazine by an association's author (seen), rounded there"
        ours = found / 1000000
        checks("water-head", "290 Pa, 6.0 psf", 30, ours, source, "published", 1, "mm")


def test_units_of_pressure():
    # NIST SP 811 appendix B (from memory; pint agrees): 1 lbf/ft² 47.880259 Pa = 0.192222 inH2O;
    # 1 inH2O = 5.202330 lbf/ft²; 1 lbf/ft² holds up 4.8824 mm of water
    assert Pressure(1000, "psf").thousandths("Pa") == 47880259
    assert Pressure(1000, "psf").thousandths("inH2O") == 192222
    assert Pressure(1000, "inH2O").thousandths("psf") == 5202330
    assert abs(water.head_of_water(Pressure(1, "psf")) - 4882400) <= 50
    # 580 and 720 Pa are printed beside 12 and 15 psf (restated), rounded to tens there
    assert abs(Pressure(12, "psf").thousandths("Pa") - 580000) < 10000
    assert abs(Pressure(15, "psf").thousandths("Pa") - 720000) < 10000


def test_refused_pressures():
    refused("pressure-unit", Pressure, 1, "bar")
    refused("pressure-negative", Pressure, -1, "Pa")
    refused("pressure-negative", Pressure, 1, "Pa", 0)


def test_an_upstand_is_refused_but_never_enough():
    # site rule: static head is a floor for the upstand, not a sufficient height
    six = Pressure(6, "psf")
    low = water.judge_upstand(INCH, six)
    assert low.verdict == OUT
    assert '5/32" too low' in said(low)
    for height in (water.head_of_water(six), 10 * INCH):
        found = water.judge_upstand(height, six)
        assert found.verdict == INFORMATION
        assert "not a height that is enough" in said(found)
    assert water.judge_upstand(water.head_of_water(six) - 1, six).verdict == OUT
    refused("upstand-negative", water.judge_upstand, -1, six)


def test_water_by_class():
    # NAFS (restated): 15 % (AW 20 %), the class's least, caps 12 psf (US) and 15 psf (Canada)
    for name, design, country, expected in (
        ("R", 5000, "US", 750),
        ("AW", 6000, "US", 1200),
        ("R", 1500, "US", 290),  # 2.25 by the per cent: the least of the class counts
        ("LC", 2500, "US", 375),
        ("CW", 3000, "US", 450),
        ("AW", 4000, "US", 800),
        ("AW", 9000, "US", 1200),
        ("AW", 9000, "CA", 1500),
    ):
        ours = water.water_of_class(name, design, country)
        what = name + " " + country + " at " + str(design) + ", hundredths of psf"
        checks("water-class", what, expected, ours, "NAFS, two public pages", "restated")
    refused("class-pressure", water.water_of_class, "AW", 3999)
    refused("class-unknown", water.water_of_class, "Z", 5000)
    refused("country-unknown", water.water_of_class, "R", 5000, "XX")
    # structural pressure is 1.5 times the design pressure in every row (restated)
    for row in water.CLASSES:
        assert 2 * row[2] == 3 * row[1]


def test_the_class_is_information():
    found = water.about_class("R", 1500)
    assert found.verdict == INFORMATION
    assert "2.9 psf of water in the laboratory, 1.933 psf in the field" in said(found)
    assert "The label on the door or the contract gives the pressure." in said(found)


def test_pressures_are_said_in_the_asked_unit():
    # 15 psf is 718.2 Pa, 2.9 psf 138.85 Pa: x 47.880259 (NIST SP 811 appendix B, from memory)
    words = said(water.about_class("R", 1500, unit="Pa"))
    assert "Class R at 718.2 Pa goes with 138.9 Pa" in words
    assert "psf" not in words
    assert "287.3 Pa holds up" in said(water.judge_upstand(INCH, psf(600), "Pa"))


def test_two_thirds_in_the_field():
    # AAMA 502: one third less than rated (from memory): 7.5 -> 5.0; 2.90 -> 1.933 (computed)
    ours = water.field_pressure(psf(750)).thousandths("psf")
    source = "AAMA 502: one third less"
    checks("field-pressure", "7.5 psf, thousandths", 5000, ours, source, "from memory")
    assert water.field_pressure(psf(290)).thousandths("psf") == 1933


def test_forces_by_class():
    # NAFS-11 in an association's article (seen): newtons, pounds-force to two digits
    for name, start, move, start_lbf, move_lbf in (
        ("R", 135, 90, 3035, 2023),
        ("LC", 135, 90, 3035, 2023),
        ("CW", 180, 115, 4047, 2585),
        ("AW", 180, 115, 4047, 2585),
    ):
        assert water.operating_forces(name) == (start * NEWTON, move * NEWTON)
        for newtons, hundredths in ((start, start_lbf), (move, move_lbf)):
            ours = newtons * NEWTON / POUND_FORCE
            source = "NAFS-11 in an association's article (seen)"
            due = hundredths / 100
            checks("water-class", name, due, ours, source, "published", half_digit(2), "lbf")
    # Canada holds every class to 135 and 90 N (seen)
    assert water.operating_forces("AW", "CA") == water.operating_forces("R")
    refused("class-unknown", water.operating_forces, "Z")
    refused("country-unknown", water.operating_forces, "R", "XX")
    assert water.about_forces("R").verdict == INFORMATION
    assert "30.3 lb to start" in said(water.about_forces("R"))


def test_sprayed_water():
    # ASTM E1105 (restated): 5.0 gal/(ft² h). 8 x 10 ft: 6.667 gal/min, 100 gal in 15 min (computed)
    hourly = watertest.spray_flow(8 * FOOT, 10 * FOOT)
    assert hourly == 400 * watertest.GALLON
    ours = watertest.spray_total(8 * FOOT, 10 * FOOT, "A") // watertest.GALLON
    source = "ASTM E1105: 5.0 US gal/(ft² h), 15 min"
    checks("sprayed-test", "8 x 10 ft, procedure A", 100, ours, source, "restated", 0, "gal")
    assert watertest.spray_total(8 * FOOT, 10 * FOOT, "B") == 160 * watertest.GALLON
    # 5.0 gal/(ft² h) = 3.3955 L/(m² min), to its last digit (computed)
    metre = 1000000000
    litres = watertest.spray_flow(metre, metre) / 60 / 10**24
    assert abs(litres - 3.3955) <= 0.00005
    assert "100 gal (379 L) in 15 min" in said(watertest.spray_test(8 * FOOT, 10 * FOOT, "A"))


def test_cycles():
    # ASTM E1105 (restated): A 15 min; B four times 5 min on, 1 min off: 24 min, 20 of pressure
    one = watertest.spray_stages("A")
    assert [(stage.start, stage.end, stage.on) for stage in one] == [(0, 15 * MINUTE, True)]
    four = watertest.spray_stages("B")
    assert len(four) == 8
    assert four[-1].end == 24 * MINUTE
    assert sum([stage.end - stage.start for stage in four if stage.on]) == 20 * MINUTE
    assert [stage.on for stage in four] == [True, False] * 4
    for before, after in zip(four, four[1:]):
        assert before.end == after.start
    refused("procedure-unknown", watertest.spray_stages, "C")
    refused("area-needed", watertest.spray_flow, 0, FOOT)


def test_hose_by_stretches():
    # AAMA 501.2 (seen): 5 ft at a time, 5 min each; 37 ft -> 8 stretches -> 40 min (computed)
    stretches = watertest.hose_stretches(37 * FOOT, False)
    assert len(stretches) == 8
    assert stretches[0] == (0, 5 * FOOT) and stretches[-1] == (35 * FOOT, 37 * FOOT)
    ours = watertest.hose_time(37 * FOOT) // MINUTE
    source = "AAMA 501.2: 5 ft at a time, 5 min each (seen on five pages)"
    checks("hose-check", "37 ft", 40, ours, source, "published", 0, "min")
    assert len(watertest.hose_stretches(5 * FOOT, False)) == 1
    assert len(watertest.hose_stretches(5 * FOOT + 1, False)) == 2
    assert "no test to a standard" in said(watertest.hose_check(37 * FOOT, False))
    refused("length-needed", watertest.hose_stretches, 0, False)


def test_no_hose_on_a_panel_that_slides():
    # AAMA 501.2: not for operable units (seen on five pages)
    refused("hose-operable", watertest.hose_stretches, 37 * FOOT, True)
    refused("hose-operable", watertest.hose_check, 37 * FOOT, True)


def test_thresholds_are_information():
    text = said(thresholds.threshold_rules())
    # IRC R311.3.1: 1 1/2 in and 7 3/4 in; ADA 404.2.5: 1/2 and 3/4 in, 404.2.9: 5 lbf (restated);
    # HUD guidelines: 1/2 and 4 in (seen); CPSC: 48 in, 85 dB, 10 ft (restated)
    for part in ('1 1/2"', '7 3/4"', '1/2" at most; 3/4"', "5 lb", '4" where', "4' 0", "85 dB"):
        assert part in text, part
    rules = {row[0]: row for row in thresholds.ROWS}
    for id, what, due, status in (
        ("egress-landing", "size", 3 * INCH // 2, "restated"),
        ("egress-landing", "deep", 31 * INCH // 4, "restated"),
        ("access-threshold", "size", INCH // 2, "restated"),
        ("access-threshold", "old", 3 * INCH // 4, "restated"),
        ("multifamily", "deep", 4 * INCH, "published"),
        ("pool", "fence", 48 * INCH, "restated"),
    ):
        ours = rules[id][1].params[what].nm
        checks("threshold-rules", id + ", " + what, due, ours, rules[id][2], status, 0, "nm")
    assert thresholds.threshold_rules().verdict == INFORMATION
    assert "A private house is none." in text
    ids = [row[0] for row in thresholds.ROWS]
    assert len(ids) == len(set(ids))
