"""The sealant bed and sealant by volume."""

from app.core.trade import bed, sealant
from app.core.trade.drawing import Drawing
from tests.core.doors import INCH, data, four
from tests.core.expect import refused
from tests.core.golden import checks

SIZES = {
    "frame_width": 192 * INCH,
    "sill_depth": 6 * INCH,
    "bead_width": INCH // 2,
    "bead_height": INCH // 2,
    "bead_turn_up": 6 * INCH,
    "cross_line_spacing": 6 * INCH,
    "bead_weep_clear": 2 * INCH,
}
FOOT = 12 * INCH


def sizes(**other):
    out = dict(SIZES)
    out.update(other)
    return out


def container(tenths):
    return sealant.FLUID_OUNCE * tenths // 10


def thousandths_of_a_foot(length):
    return (length * 1000 + FOOT // 2) // FOOT


def test_fluid_ounce():
    # NIST Handbook 44, Appendix C: 1 US gallon = 231 in³ exactly (seen), 128 fl oz; 1 fl oz =
    # 29.573 529 562 5 mL (restated). Exact.
    gallon = sealant.FLUID_OUNCE * 128 // sealant.CUBIC_INCH
    source = "NIST Handbook 44, appendix C (seen)"
    for name in ("sealant-reach", "sealant-volume", "sealant-bed"):
        checks(name, "1 US gallon, in³", 231, gallon, source, "published")
    assert sealant.FLUID_OUNCE * 128 == 231 * sealant.CUBIC_INCH
    assert sealant.FLUID_OUNCE * 10000000000 == 295735295625 * sealant.MILLILITRE


def test_containers():
    # Computed from the definition above: in³ to 4 places, mL to 2.
    due = {
        "10.1": (182273, 29869),
        "10.3": (185883, 30461),
        "20": (360938, 59147),
        "20.3": (366352, 60034),
        "28": (505313, 82806),
    }
    for one in sealant.sealant_containers():
        inches, ml = due[one.size]
        assert (one.volume * 20000 + sealant.CUBIC_INCH) // (2 * sealant.CUBIC_INCH) == inches
        assert (one.volume * 200 + sealant.MILLILITRE) // (2 * sealant.MILLILITRE) == ml


# Bead, feet from 10.1 fl oz and from 20 fl oz, to 3 places.
# Source: length = volume / section, computed independently from the NIST volumes.
REACH = (
    (INCH // 4, INCH // 4, 24303, 48125),
    (3 * INCH // 8, INCH // 4, 16202, 32083),
    (INCH // 2, INCH // 4, 12152, 24062),  # 24.0625: half up 24.063, printed 24.062
    (INCH // 2, 3 * INCH // 8, 8101, 16042),
    (3 * INCH // 4, 3 * INCH // 8, 5401, 10694),
)


def test_reach_of_a_container():
    for width, height, small, large in REACH:
        section = sealant.rectangular_section(width, height)
        ours = thousandths_of_a_foot(sealant.bead_reach(section, container(101)))
        source = "volume / section from the NIST volumes, computed independently"
        what = "reach of 10.1 fl oz, thousandths of a foot"
        checks("sealant-reach", what, small, ours, source, "computed", 1)
        assert abs(thousandths_of_a_foot(sealant.bead_reach(section, container(200))) - large) <= 1
    # 600 mL at 10 x 6 mm -> 10.0 m exactly (computed)
    assert sealant.bead_reach(10000000 * 6000000, 600 * sealant.MILLILITRE) == 10 * 1000000000


def test_chart_that_gives_the_fillet_for_the_joint():
    # Negative test: a web chart lists 50 to 55 ft for a 1/4 x 1/4 joint from 10.1 fl oz. That is
    # near the triangular fillet (48.606 ft, computed); a filled joint gets half of it.
    joint = sealant.bead_reach(sealant.rectangular_section(INCH // 4, INCH // 4), container(101))
    fillet = sealant.bead_reach(sealant.fillet_section(INCH // 4), container(101))
    assert joint < 25 * FOOT
    assert thousandths_of_a_foot(fillet) == 48606
    assert abs(fillet - 2 * joint) <= 1


def test_round_bead():
    # pi D²/4, 3/8 in: 13.753 ft from 10.1 fl oz (computed); 355/113 is above pi.
    section = sealant.round_bead(3 * INCH // 8)
    assert thousandths_of_a_foot(sealant.bead_reach(section, container(101))) == 13753
    # pi/4 with 12 decimals, rounded down (any table of constants)
    assert section * 10**12 >= 785398163397 * (3 * INCH // 8) * (3 * INCH // 8)


def test_cartridges_with_waste():
    # 60 ft of 3/8 x 1/4, 10 % waste -> 4.0736 -> 5 cartridges of 10.1 fl oz (computed;
    # to 4 places, half up: 4.07355…).
    volume = sealant.with_waste(
        60 * FOOT * sealant.rectangular_section(3 * INCH // 8, INCH // 4), 10
    )
    small = sealant.sealant_containers()[0]
    assert (volume * 20000 + small.volume) // (2 * small.volume) == 40736
    source = "4.0736 cartridges, computed independently"
    ours = sealant.container_count(volume, small)
    checks("sealant-volume", "60 ft of 3/8 x 1/4, 10 % waste", 5, ours, source, "computed")
    assert sealant.container_count(4 * small.volume, small) == 4  # exactly full is enough
    assert sealant.container_count(4 * small.volume + 1, small) == 5
    refused("waste-range", sealant.with_waste, volume, 101)
    refused("waste-range", sealant.with_waste, volume, -1)
    refused("bead-size", sealant.rectangular_section, 0, 5)
    refused("bead-size", sealant.bead_reach, 0, 5)


def test_bed_of_a_sixteen_foot_sill():
    # Common practice, no source: run, returns, 6 in turn-ups, lines every 6 in. The total by
    # hand: between the returns 191 1/2 in, so 32 bays and 31 lines; 192 + 33 x 6 + 12 = 402 in;
    # 402 x 1/2 x 1/2 = 100.5 in³.
    laid = bed.lay_bed(SIZES, [])
    assert len(laid.cross) == 31
    source = "run, returns, turn-ups, lines: 192 + 33 x 6 + 12 by hand"
    due = 402 * INCH
    checks("sealant-bed", "all beads", due, laid.length, source, "common practice", 0, "nm")
    assert 2 * laid.volume == 201 * sealant.CUBIC_INCH
    assert len(laid.bays) == 32 and laid.conflicts == []


def test_lines_stay_clear_of_weeps():
    weeps = [18 * INCH, 96 * INCH, 174 * INCH]
    laid = bed.lay_bed(SIZES, weeps)
    assert laid.conflicts == []
    for at in weeps:
        for line in laid.cross + laid.returns:
            assert abs(line - at) >= 2 * INCH + INCH // 4  # clear of the bead's edge
    steps = [laid.half] + laid.cross + [laid.width - laid.half]
    assert max([b - a for a, b in zip(steps, steps[1:])]) <= 6 * INCH


def test_every_bay_is_open():
    for bay in bed.lay_bed(SIZES, [50 * INCH]).bays:
        assert bay.open_for >= INCH // 2 and bay.right - bay.left == bay.open_for


def test_what_cannot_be_kept_is_said():
    at_the_end = bed.lay_bed(SIZES, [INCH])
    assert [conflict.code for conflict in at_the_end.conflicts] == ["return-at-weep"]
    close = bed.lay_bed(SIZES, [40 * INCH, 43 * INCH, 46 * INCH])
    assert [conflict.code for conflict in close.conflicts] == ["gap-wide"]


def test_sizes_that_make_no_bed():
    refused("bed-size", bed.lay_bed, sizes(bead_width=0), [])
    refused("bed-size", bed.lay_bed, sizes(bead_turn_up=-1), [])
    refused("bed-size", bed.lay_bed, sizes(sill_depth=INCH // 2), [])
    refused("bed-spacing", bed.lay_bed, sizes(cross_line_spacing=INCH), [])
    refused("weep-outside", bed.lay_bed, SIZES, [193 * INCH])


def test_drawing_that_leaves_things_open():
    assert bed.bed_questions(four()) == []
    assert bed.of_drawing(four()).width == four().need("frame_width")
    made = data([1, 2], "XO", "A")
    del made["lengths"]["bead_turn_up"]
    made["lengths"]["sill_depth"] = ""
    made["counts"]["weep_count"] = ""
    made["weeps"] = []
    found = bed.bed_questions(Drawing(made))
    assert [error.code for error in found] == ["drawing-silent"] * 2 + ["weeps-unknown"]
    assert [error.details["field"] for error in found] == ["sill_depth", "bead_turn_up", "weeps"]
    refused("drawing-silent", bed.of_drawing, Drawing(made))
    made = data([1, 2], "XO", "A")
    made["counts"]["weep_count"] = "3"
    refused("weeps-unknown", bed.of_drawing, Drawing(made))


def test_supports():
    # Common practice, no source: under jambs, interlocks, screws; no more than 12 in between.
    places = bed.support_places(60 * INCH, [59 * INCH, INCH, 30 * INCH, 30 * INCH], 12 * INCH)
    assert INCH in places and 30 * INCH in places and 59 * INCH in places
    assert max([b - a for a, b in zip(places, places[1:])]) <= 12 * INCH
    refused("support-spacing", bed.support_places, INCH, [0], 0)
    refused("support-outside", bed.support_places, INCH, [2 * INCH], INCH)
    refused("support-none", bed.support_places, INCH, [], INCH)
