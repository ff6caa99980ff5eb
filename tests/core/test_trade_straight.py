"""Straightness: golden rows from outside, and by hand.

"computed" rows come from independent programs (least squares and linear programming);
tests/properties/test_sill.py computes them again with numpy and scipy.
"""

from app.core.trade.sill import FOOT, INCH
from app.core.trade.straight import (
    height_above_line,
    least_squares,
    narrowest_zone,
    straightedge_gap,
    upper_hull,
)
from tests.core.golden import checks

# Elevations of a concrete test pad, 300 mm apart, micrometres: published worked data of an
# accelerator laboratory's alignment group (E1155M worksheet, 2003), line 3; with the curvatures
# h(i) - 2 h(i-1) + h(i-2) that the sheet prints for them. Status: published, seen.
PAD = (
    (418617, 418973, 419100, 420878, 419989, 419227, 419684)
    + (420751, 420065, 421259, 421386, 418846, 419887, 418363)
)  # fmt: skip
PAD_CURVATURES = (-229, 1651, -2667, 127, 1219, 610, -1753, 1880, -1067, -2667, 3581, -2565)


def same(ratio, num, den):
    """Return whether two ratios are equal, exactly."""
    return ratio[0] * den == num * ratio[1]


def test_three_points_least_squares_and_minimax():
    # computed, (0,0) (1,0) (2,3): least squares 1.5 x - 0.5; minimax 1.5 x - 0.75, E 0.75.
    base, rise, run = least_squares([0, 1, 2], [0, 0, 3])
    assert (base * 2, rise * 2) == (-run, 3 * run)
    (base, rise, run), zone = narrowest_zone([0, 1, 2], [0, 0, 3])
    assert (base * 4, rise * 2) == (-3 * run, 3 * run)
    assert same(zone, 3, 2)
    source = "minimax of three points: linear programming, by hand"
    ours = zone[0] / zone[1]
    checks("straightness", "zone of (0,0) (1,0) (2,3)", 1.5, ours, source, "computed", 1e-12)


def test_four_points_least_squares_and_minimax():
    # computed, (0,0) (1,1) (2,1) (3,0): both level at 0.5, E 0.5.
    for line in (least_squares, lambda xs, ys: narrowest_zone(xs, ys)[0]):
        base, rise, run = line([0, 1, 2, 3], [0, 1, 1, 0])
        assert (base * 2, rise) == (run, 0)
    assert same(narrowest_zone([0, 1, 2, 3], [0, 1, 1, 0])[1], 1, 1)


def test_sag_and_hump_are_alike():
    for sign in (1, -1):
        (base, rise, run), zone = narrowest_zone([0, 4, 10], [0, 5 * sign, 0])
        assert same(zone, 5, 1)
        assert (base * 2, rise) == (5 * sign * run, 0)


def test_a_straight_tilt_has_no_zone():
    line, zone = narrowest_zone([0, 10, 30], [1, 3, 7])
    assert zone[0] == 0
    assert [height_above_line(line, x, y)[0] for x, y in ((0, 1), (10, 3), (30, 7))] == [0, 0, 0]
    line, zone = narrowest_zone([5], [7])
    assert (zone[0], height_above_line(line, 5, 7)[0]) == (0, 0)
    assert least_squares([5, 5], [6, 8])[0] == 14


def test_published_pad():
    # The curvatures of the sheet are twice how far a station lies under a straightedge that rests
    # on its two neighbours: 600 mm edge, stations 300 mm apart. Greatest: 3.581 / 2 mm.
    xs = [i * 300000 for i in range(14)]
    for i in range(12):
        assert PAD[i + 2] - 2 * PAD[i + 1] + PAD[i] == PAD_CURVATURES[i]
    gap, where, left, right = straightedge_gap(xs, PAD, 600000)
    assert same(gap, 3581, 2)
    source = "an accelerator laboratory's alignment group, E1155M worksheet, 2003 (seen)"
    what = "greatest curvature of a test pad, twice the gap, mm"
    checks("straightedge", what, 3.581, 2 * gap[0] / gap[1] / 1000, source, "published", 1e-9)
    spread = (max(PAD) - min(PAD)) / 1000
    checks("sill-range", "range of the same pad, mm", 3.023, spread, source, "published", 1e-9)
    assert (left, where, right) == (10, 11, 12)
    # computed: range 3.023 mm, zone 2.9644 mm (4 decimals: half a tenth of a micrometre)
    assert max(PAD) - min(PAD) == 3023
    num, den = narrowest_zone(xs, PAD)[1]
    assert abs(num * 10 - 29644 * den) * 2 <= den
    what = "zone of the published pad, mm"
    source = "linear programming on the published elevations"
    checks("straightness", what, 2.9644, num / den / 1000, source, "computed", 0.00005)


def test_gap_under_a_straightedge():
    # computed, every 2 ft, sixteenths 0 1 2 4 3 2 0 low: 10 ft edge 0.2125 in, 12 ft edge 0.250 in.
    xs = [i * 2 * FOOT for i in range(7)]
    ys = [-count * INCH // 16 for count in (0, 1, 2, 4, 3, 2, 0)]
    for feet, due in ((10, 0.2125), (12, 0.25)):
        num, den = straightedge_gap(xs, ys, feet * FOOT)[0]
        ours = num / den / INCH
        what = "gap under a straightedge of " + str(feet) + " ft"
        source = "convex hull, computed independently"
        checks("straightedge", what, due, ours, source, "computed", 1e-12, "in")
    assert straightedge_gap(xs, ys, 12 * FOOT)[1:] == (3, 0, 6)


def test_a_straightedge_is_blind_to_tilt():
    xs = [i * FOOT for i in range(9)]
    assert straightedge_gap(xs, [i * INCH for i in range(9)], 10 * FOOT)[0][0] == 0
    assert straightedge_gap([0], [5], FOOT)[0][0] == 0


def test_hull_leaves_out_what_lies_on_an_edge():
    assert upper_hull([0, 1, 2, 3, 4], [0, 1, 2, 2, 0], 0, 5) == [0, 2, 3, 4]
    assert upper_hull([0, 1, 2, 3, 4], [0, 1, 2, 2, 0], 1, 3) == [1, 2]
