"""The sill survey against independent programs, and for any survey at all.

numpy.polyfit (least squares), scipy.optimize.linprog with HiGHS (minimax line),
scipy.spatial.ConvexHull (straightedge), numpy.trapezoid (volume) and plain
fractions (slopes) are the references. They compute in floats; the tolerance
beside each says what that costs. Status: independent libraries, computed at each run.
"""

import itertools
from fractions import Fraction

import numpy
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog
from scipy.spatial import ConvexHull

from app.core.checks.sill import level_local, level_range, line_profile, ways_compared
from app.core.checks.sill_across import cross_fall
from app.core.checks.sill_stack import height_stack
from app.core.trade.packing import DOWN, NEAREST, UP, Ladder, fill_volume
from app.core.trade.sill import cross_falls, stations_missing, tie_shift, tied_heights, worst_window
from app.core.trade.straight import (
    height_above_line,
    least_squares,
    narrowest_zone,
    straightedge_gap,
)
from app.core.trade.verdicts import MISSING, OUT, WITHIN
from tests.core.sill_survey import FOOT, IN, SIXTEENTH, ask, drawing

MM = 1000000
# Positions a tape can give (1/8 in) and readings a staff can give (1/64 in), or any nanometre.
GRID = IN // 8
FINE = IN // 64


@st.composite
def lines(draw, most=24, grain=FINE, span=64):
    """Draw (positions, heights) with at least two stations, positions ascending strictly."""
    steps = draw(st.lists(st.integers(1, 200), min_size=1, max_size=most - 1))
    xs = [0]
    for step in steps:
        xs.append(xs[-1] + step * GRID)
    heights = st.integers(-span, span).map(lambda n: n * grain)
    return xs, [draw(heights) for _ in xs]


def value(line, x):
    """Return the height of a (base, rise, run) line at x, exactly."""
    return Fraction(line[0] + line[1] * x, line[2])


# --- straightness ---


@settings(deadline=None)
@given(lines())
def test_least_squares_is_numpys(line):
    xs, ys = line
    slope, base = numpy.polyfit(numpy.array(xs) / FOOT, numpy.array(ys) / IN, 1)
    ours = least_squares(xs, ys)
    for x in (xs[0], xs[-1]):
        # polyfit solves by singular values: a millionth of an inch is far above its noise here
        assert abs(float(value(ours, x) / IN) - (slope * x / FOOT + base)) < 1e-6


@settings(deadline=None)
@given(lines())
def test_the_zone_is_the_linear_programs(line):
    xs, ys = line
    ours, zone = narrowest_zone(xs, ys)
    rows, bounds = [], []
    for x, y in zip(xs, ys, strict=True):
        rows += [[-1.0, -x / FOOT, -1.0], [1.0, x / FOOT, -1.0]]
        bounds += [-y / IN, y / IN]
    best = linprog([0, 0, 1], rows, bounds, bounds=[(None, None)] * 3, method="highs")
    # HiGHS' own tolerance is 1e-7; the figures are near 1
    assert abs(float(Fraction(*zone)) / IN - 2 * best.fun) < 1e-5
    # and exactly: no station is farther from the line than half the zone
    assert zone[1] > 0
    for x, y in zip(xs, ys, strict=True):
        num, den = height_above_line(ours, x, y)
        assert 2 * abs(Fraction(num, den)) <= Fraction(*zone)


@settings(deadline=None)
@given(lines(most=12), st.integers(1, 1200))
def test_straightedge_against_every_resting_place(line, eighths):
    # Brute force: the edge rests on any two stations that it spans; the gap is under it.
    xs, ys = line
    length = eighths * GRID
    worst = Fraction(0)
    for i in range(len(xs)):
        for j in range(i + 2, len(xs)):
            if xs[j] - xs[i] <= length:
                rise = Fraction(ys[j] - ys[i], xs[j] - xs[i])
                gaps = [ys[i] + rise * (xs[k] - xs[i]) - ys[k] for k in range(i + 1, j)]
                worst = max(worst, *gaps)
    gap, where, left, right = straightedge_gap(xs, ys, length)
    assert Fraction(*gap) == worst
    assert left <= where <= right
    assert xs[right] - xs[left] <= length


@settings(deadline=None)
@given(lines())
def test_straightedge_over_all_is_the_convex_hulls(line):
    xs, ys = line
    flat = [(x / FOOT, y / IN) for x, y in zip(xs, ys, strict=True)]
    low = min(y for _, y in flat) - 1
    hull = ConvexHull([*flat, (flat[0][0], low), (flat[-1][0], low)])
    gap = 0.0
    for x, y in flat:
        tops = [-(a * x + c) / b for a, b, c in hull.equations if b > 1e-9]
        gap = max(gap, min(tops) - y)
    ours = Fraction(*straightedge_gap(xs, ys, xs[-1])[0]) / IN
    assert abs(float(ours) - gap) < 1e-6  # qhull's planes are floats of figures near 1


# --- local slope and coverage ---


def at(xs, ys, x):
    """Return the height at x between stations, exactly."""
    for i in range(1, len(xs)):
        if xs[i - 1] <= x <= xs[i]:
            return ys[i - 1] + Fraction(ys[i] - ys[i - 1], xs[i] - xs[i - 1]) * (x - xs[i - 1])
    raise AssertionError("outside the line")


def brute_force(xs, ys, over):
    """Return the greatest difference of any two stations at most `over` apart, or a station and
    the point exactly `over` away."""
    worst = Fraction(0)
    for i, x in enumerate(xs):
        marks = [other for other in xs if abs(other - x) <= over]
        marks += [mark for mark in (x - over, x + over) if xs[0] <= mark <= xs[-1]]
        worst = max([worst] + [abs(at(xs, ys, mark) - ys[i]) for mark in marks])
    return worst


@settings(deadline=None)
@given(lines(), st.integers(1, 400))
def test_worst_window_is_the_brute_forces(line, eighths):
    xs, ys = line
    found = worst_window(xs, ys, eighths * GRID)
    assert Fraction(abs(found.num), found.den) == brute_force(xs, ys, eighths * GRID)
    assert 0 <= found.right - found.left <= eighths * GRID


@settings(deadline=None)
@given(lines(), st.integers(1, 400), st.lists(st.fractions(0, 1), min_size=2, max_size=6))
def test_no_two_points_of_the_floor_are_worse(line, eighths, marks):
    # Any two points of the straight pieces, not only the ones that the search looks at.
    xs, ys = line
    over = eighths * GRID
    found = worst_window(xs, ys, over)
    spots = [xs[-1] * mark for mark in marks]
    for one in spots:
        for two in spots:
            if abs(one - two) <= over:
                rise = abs(at(xs, ys, one) - at(xs, ys, two))
                assert rise <= Fraction(abs(found.num), found.den)


@settings(deadline=None)
@given(lines(), st.integers(40, 400), st.integers(0, 40))
def test_marks_asked_for_close_every_gap(line, eighths, end):
    xs = line[0]
    spacing, left, right = eighths * GRID, -5 * GRID, xs[-1] + 7 * GRID
    wanted = stations_missing(xs, spacing, left, right, end * GRID)
    marks = sorted(xs + wanted)
    assert all(b - a <= spacing for a, b in itertools.pairwise(marks))
    assert marks[0] <= left + end * GRID
    assert marks[-1] >= right - end * GRID
    assert stations_missing(marks, spacing, left, right, end * GRID) == []


# --- verdicts ---


@settings(deadline=None)
@given(lines(span=8))
def test_never_within_where_the_brute_force_is_out(line):
    xs, ys = line
    over_all = level_range(ask(xs, {"line": ys}, {"most": IN // 8}))
    assert (over_all.verdict == OUT) == (max(ys) - min(ys) > IN // 8)
    local = level_local(ask(xs, {"line": ys}, {"most": SIXTEENTH}, {"over": FOOT}))
    assert (local.verdict == OUT) == (brute_force(xs, ys, FOOT) > SIXTEENTH)
    apart = max(b - a for a, b in itertools.pairwise(xs))
    if local.verdict == WITHIN:
        assert apart <= FOOT
    else:
        assert local.verdict in (OUT, MISSING)


@settings(deadline=None)
@given(lines(span=8), st.data())
def test_a_station_left_out_never_makes_it_within(line, data):
    xs, ys = line
    gone = data.draw(st.integers(0, len(xs) - 1))
    holed = [None if i == gone else y for i, y in enumerate(ys)]
    for calc, over in ((level_range, {}), (level_local, {"over": FOOT})):
        assert calc(ask(xs, {"line": holed}, {"most": SIXTEENTH}, over)).verdict in (MISSING, OUT)


@settings(deadline=None)
@given(st.sampled_from([FINE, MM // 10, 1]), st.integers(-(10**6), 10**6), st.integers(1, 4000))
def test_exactly_on_the_limit_is_within(grain, start, count):
    low = start * grain
    limit = count * grain
    for nm, verdict in ((low + limit, WITHIN), (low + limit + 1, OUT)):
        assert level_range(ask([0, FOOT], {"line": [low, nm]}, {"most": limit})).verdict == verdict
        local = ask([0, FOOT], {"line": [nm, low]}, {"most": limit}, {"over": FOOT})
        assert level_local(local).verdict == verdict


# --- packing ---

BOXES = [
    [IN // 32, IN // 16, IN // 8, IN // 4],
    [IN // 16, IN // 8, IN // 4],
    [IN // 16],
    [1 * MM, 2 * MM, 3 * MM, 5 * MM],
    [MM, 3 * MM // 2],
    [],
]
ROUGH = lines(grain=IN // 128, span=128)  # up to 1 in either way, finer than any shim
DENSE = {"over": FOOT, "pieces": 40}


def boxed(xs, box, **lengths):
    return drawing(xs[-1], box, **lengths)


@settings(deadline=None)
@given(ROUGH, st.sampled_from(BOXES))
def test_packing_brings_any_survey_within_both_limits(line, box):
    xs, ys = line
    plan = boxed(xs, box)
    packed = ys
    for calc, limits, how in (
        (level_range, {"most": IN // 8}, {"pieces": 40}),
        (level_local, {"most": SIXTEENTH}, DENSE),
    ):
        shape = line_profile(ask(xs, {"line": packed}, limits, how, plan))
        packed = [s["h"] + s["pack"] - s["grind"] for s in shape["stations"]]
        again = calc(ask(xs, {"line": packed}, limits, how, plan))
        assert again.verdict in (WITHIN, MISSING)
        assert not again.remedies
        assert all(s["grind"] == 0 and s["pack"] >= 0 for s in shape["stations"])
        # missing only where the stations stand too far apart, never as a way out
        apart = max(b - a for a, b in itertools.pairwise(xs))
        assert (again.verdict == MISSING) == ("over" in how and apart > FOOT)
    assert max(packed) - min(packed) <= IN // 8
    assert brute_force(xs, packed, FOOT) <= SIXTEENTH


@settings(deadline=None)
@given(ROUGH, st.sampled_from(BOXES))
@example(([0, 25 * GRID // 2, 25 * GRID], [0, IN // 128, -IN // 64]), BOXES[0])  # nothing to grind
def test_every_way_that_is_called_good_is_good(line, box):
    xs, ys = line
    survey = ask(xs, {"line": ys}, {"most": SIXTEENTH}, DENSE, boxed(xs, box))
    out = level_local(survey).verdict == OUT
    rows = ways_compared(survey)
    assert [row["kind"] for row in rows if row["advised"]] == (["pack"] if out else [])
    assert {row["kind"] for row in rows} <= {"pack", "grind", "fill"}
    grind = [row for row in rows if row["kind"] == "grind"]
    assert all(row["deepest"] > 0 and row["places"] <= rows[0]["places"] for row in grind)


@st.composite
def two_lines(draw):
    xs, room = draw(ROUGH)
    return xs, room, [draw(st.integers(-128, 128)) * (IN // 128) for _ in xs]


@settings(deadline=None)
@given(two_lines(), st.sampled_from(BOXES), st.sampled_from([None, 0, IN // 16, IN // 4]))
def test_packing_never_leaves_a_fall_toward_the_room(lines_found, box, drawn):
    xs, room, weather = lines_found
    plan = boxed(xs, box) if drawn is None else boxed(xs, box, cross_fall=drawn)
    survey = ask(xs, {"room": room, "weather": weather}, {"least": 0}, {"pieces": 40}, plan)
    after = []
    for input in ("room", "weather"):
        shape = line_profile(survey, input)
        after.append([s["h"] + s["pack"] - s["grind"] for s in shape["stations"]])
    falls = [a - b for a, b in zip(after[0], after[1], strict=True)]
    assert min(falls) >= 0
    if cross_fall(survey).verdict == OUT:
        # packed along its own length each line is level to within the thinnest shim
        step = min(box) if box else 1
        assert all(max(line) - min(line) < step for line in after)
        # the two levels stand at least the drawn fall apart, less what one shim rounds
        assert min(falls) > (drawn or 0) - step
    else:
        assert after == [room, weather]
    again = ask(xs, {"room": after[0], "weather": after[1]}, {"least": 0}, None, plan)
    assert cross_fall(again).verdict == WITHIN
    assert cross_falls((xs, after[0]), (xs, after[1])) == [(i, i, f) for i, f in enumerate(falls)]


@settings(deadline=None)
@given(two_lines(), st.sampled_from(BOXES), st.sampled_from(["room", "weather"]))
def test_a_line_packed_with_the_other_is_level_and_drains(lines_found, box, side):
    xs, mine, other = lines_found
    assume(max(mine) - min(mine) > IN // 8 or max(other) - min(other) > IN // 8)
    # both lines' own checks, packed one by one as the crew would, from the same readings
    how = {"pieces": 40, "side": side}
    back = {"pieces": 40, "side": "weather" if side == "room" else "room"}
    limits = {"most": IN // 8}
    plan = boxed(xs, box)
    first = line_profile(ask(xs, {"line": mine, "other": other}, limits, how, plan))
    second = line_profile(ask(xs, {"line": other, "other": mine}, limits, back, plan))
    assume(any(s["pack"] for s in first["stations"]) and any(s["pack"] for s in second["stations"]))
    ends = [[s["h"] + s["pack"] for s in shape["stations"]] for shape in (first, second)]
    assert all(max(line) - min(line) <= IN // 8 for line in ends)
    room, weather = ends if side == "room" else reversed(ends)
    assert all(a >= b for a, b in zip(room, weather, strict=True))


@settings(deadline=None)
@given(ROUGH, st.sampled_from(BOXES), st.integers(-64, 192))
def test_what_is_advised_fits_under_the_head(line, box, spare):
    # A level head, `spare` 1/128 in over the high point's need: advised work leaves the room.
    xs, ys = line
    frame, pan, bed, gap = 96 * IN, IN // 8, 3 * IN // 16, IN // 4
    head = max(ys) + frame + pan + bed + gap + spare * (IN // 128)
    plan = boxed(
        xs, box, frame_height=frame, pan_thickness=pan, bed_thickness=bed, head_gap_least=gap
    )
    heights = [(x, head - y) for x, y in zip(xs, ys, strict=True)]
    how = {"pieces": 40}
    survey = ask(xs, {"line": ys}, {"most": IN // 8}, how, plan, heights)
    stack = height_stack(ask(xs, {"line": ys}, {}, how, plan, heights))
    assert (stack.verdict == WITHIN) == (spare >= 0)
    shape = line_profile(survey)
    after = [s["h"] + s["pack"] - s["grind"] for s in shape["stations"]]
    if any(s["pack"] or s["grind"] for s in shape["stations"]):
        assert max(after) <= head - frame - pan - bed - gap
        assert max(after) - min(after) <= IN // 8
    if spare < 0 and any(s["pack"] for s in shape["stations"]):
        assert any(s["grind"] for s in shape["stations"])


@settings(deadline=None)
@given(st.sets(st.integers(1, 12), min_size=1, max_size=4), st.integers(1, 5), st.integers(0, 40))
def test_fewest_pieces_is_the_brute_forces(sizes, pieces, depth):
    sums = {0: 0}
    for count in range(1, pieces + 1):
        for total in [t for t, n in sums.items() if n == count - 1]:
            for size in sizes:
                sums.setdefault(total + size, count)
    ladder = Ladder(list(sizes), pieces, 40)
    step = min(sizes)
    reach = {
        NEAREST: [t for t in sums if -step < 2 * (t - depth) <= step],
        UP: [t for t in sums if 0 <= t - depth < step],
        DOWN: [t for t in sums if -step < t - depth <= 0],
    }
    for rounding, fit in reach.items():
        made = ladder.make(depth, rounding)
        if made is None:
            assert not fit
            continue
        assert abs(made - depth) == min(abs(t - depth) for t in fit)
        assert sum(ladder.pieces(made)) == made
        assert len(ladder.pieces(made)) == sums[made]
        assert set(ladder.pieces(made)) <= sizes


@settings(deadline=None)
@given(lines(), st.integers(1, 400))
def test_volume_is_numpys_trapezoid(line, width):
    xs, ys = line
    depths = [max(ys) - y for y in ys]
    num, den = fill_volume(xs, depths, width * GRID)
    ours = float(Fraction(num, den) / IN**3)
    theirs = numpy.trapezoid(numpy.array(depths) / IN, numpy.array(xs) / IN) * width / 8
    assert abs(ours - theirs) <= 1e-9 * max(1.0, theirs)  # some twenty float additions


@settings(deadline=None)
@given(lines(), st.integers(-(10**9), 10**9))
def test_a_tied_set_up_reads_as_if_never_moved(line, moved):
    ys = line[1]
    second = [y - moved for y in ys]
    shift, spread = tie_shift([(ys[0], second[0]), (ys[-1], second[-1])])
    assert (tied_heights(second, shift), spread) == (ys, 0)
