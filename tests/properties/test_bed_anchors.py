"""Anchor plans and sealant beds keep what they claim, whatever the door.

The rules are checked here by looking at the plan alone, written again from their
words; volumes against fractions and pint (NIST units), counts against a search.
"""

import itertools
import math
from fractions import Fraction

import pint
from hypothesis import given, settings
from hypothesis import strategies as st

from app.core.quantity.messages import Msg
from app.core.trade import bed, sealant
from app.core.trade.anchors import AnchorPlan, Zone, anchor_plan

SIXTEENTH = 25400000 // 16
EIGHTH = 25400000 // 8
INCH = 25400000
UNITS = pint.UnitRegistry()

zones = st.lists(
    st.builds(
        lambda at, clear, beside: Zone(at * SIXTEENTH, clear * SIXTEENTH, Msg("a weep"), beside),
        st.integers(0, 4000),
        st.integers(0, 250),
        st.booleans(),
    ),
    max_size=9,
)


def codes(made: AnchorPlan) -> list[str]:
    return [conflict.code for conflict in made.conflicts]


@settings(max_examples=400, deadline=None)
@given(st.integers(40, 4000), st.integers(0, 120), st.integers(40, 600), zones, st.integers(0, 997))
def test_a_plan_never_breaks_a_rule_it_claims_to_keep(
    length: int, end: int, spacing: int, zones: list[Zone], odd: int
) -> None:
    length, end, spacing = length * SIXTEENTH + odd, end * SIXTEENTH, spacing * SIXTEENTH
    made = anchor_plan(length, end, spacing, zones)
    points, said = made.points, codes(made)
    assert points == sorted(set(points))
    for point in points:  # always, conflict or not
        assert end <= point <= length - end
        assert all(abs(point - zone.at) >= zone.clear for zone in zones)
    if "too-few" not in said:
        assert len(points) >= 2
        if "end-blocked" not in said:
            assert points[0] == end
            assert points[-1] == length - end
    wide = [low for low, high in itertools.pairwise(points) if high - low > spacing]
    assert wide == [c.at for c in made.conflicts if c.code == "gap-wide"]
    if "beside-blocked" not in said and "too-few" not in said:
        for zone in zones:
            if zone.beside:
                assert {zone.at - zone.clear, zone.at + zone.clear} <= set(points)


@settings(max_examples=200, deadline=None)
@given(st.integers(20, 60), st.integers(4, 12), st.lists(st.integers(0, 60), max_size=3))
def test_a_gap_is_called_too_wide_only_where_no_plan_exists(
    length: int, spacing: int, weeps: list[int]
) -> None:
    """Search every whole position for a way from end to end in steps no longer than allowed."""
    zones = [Zone(at * INCH, 3 * INCH, Msg("a weep")) for at in weeps]
    made = anchor_plan(length * INCH, 2 * INCH, spacing * INCH, zones)
    if "end-blocked" in codes(made) or "too-few" in codes(made):
        return
    free = [p for p in range(2, length - 1) if all(abs(p - w) >= 3 for w in weeps)]
    reached = {2: 0}  # position -> fewest steps
    for point in free:
        steps = [reached[p] + 1 for p in reached if 0 < point - p <= spacing]
        if steps and point not in reached:
            reached[point] = min(steps)
    possible = length - 2 in reached
    assert possible == ("gap-wide" not in codes(made))
    if possible:  # and with no more anchors than it takes
        assert len(made.points) == reached[length - 2] + 1


@settings(max_examples=200, deadline=None)
@given(st.integers(500, 12000), st.integers(0, 300), st.integers(100, 900))
def test_even_spacing_by_fractions(length: int, end: int, spacing: int) -> None:
    """Against the form of NHBC 6.7.11 in exact fractions: n = max(1, ceil((L - 2e)/s))."""
    mm = 1000000
    if length <= 2 * end:
        return
    span = Fraction(length - 2 * end)
    n = max(1, math.ceil(span / spacing))
    made = anchor_plan(length * mm, end * mm, spacing * mm, [])
    assert made.conflicts == []
    due = [(end + span * k / n) * mm for k in range(n + 1)]
    assert len(made.points) == n + 1
    # brought to a line of the tape: a millimetre here, an eighth where all three are eighths
    step = max(mm, 0 if (length % 127 or end % 127 or spacing % 127) else EIGHTH)
    assert all(abs(exact - ours) <= step for exact, ours in zip(due, made.points, strict=True))


@settings(max_examples=300, deadline=None)
@given(st.integers(160, 2400), st.integers(8, 96), st.integers(48, 192), zones)
def test_a_tape_finds_every_anchor_from_both_ends(
    length: int, end: int, spacing: int, zones: list[Zone]
) -> None:
    """In a member of whole eighths, and never farther apart or from the corner than drawn."""
    drawn = [length * EIGHTH, end * EIGHTH, spacing * EIGHTH]
    made = anchor_plan(*drawn, [Zone(2 * z.at, 2 * z.clear, z.what, z.beside) for z in zones])
    for point in made.points:
        assert point % EIGHTH == 0
        assert (drawn[0] - point) % EIGHTH == 0
    if not codes(made):
        assert made.points[0] == drawn[0] - made.points[-1] == drawn[1]
        assert all(high - low <= drawn[2] for low, high in itertools.pairwise(made.points))


beds = st.fixed_dictionaries(
    {
        "frame_width": st.integers(40 * 16, 500 * 16),
        "sill_depth": st.integers(3 * 16, 14 * 16),
        "bead_width": st.integers(2, 16),
        "bead_height": st.integers(2, 16),
        "bead_turn_up": st.integers(0, 12 * 16),
        "cross_line_spacing": st.integers(40, 20 * 16),
        "bead_weep_clear": st.integers(0, 4 * 16),
    }
)


def laid(sizes: dict[str, int], weeps: list[int]) -> bed.Bed:
    whole = {field: value * SIXTEENTH for field, value in sizes.items()}
    return bed.lay_bed(whole, [at * whole["frame_width"] // 1000 for at in weeps])


@settings(max_examples=300, deadline=None)
@given(beds, st.lists(st.integers(0, 1000), max_size=10))
def test_every_bay_has_an_exit_and_every_weep_its_room(
    sizes: dict[str, int], weeps: list[int]
) -> None:
    made = laid(sizes, weeps)
    bead, clear = made.sizes["bead_width"], made.sizes["bead_weep_clear"]
    for line in made.cross:  # edge of the bead, not its middle
        assert all(abs(line - weep) * 2 - bead >= 2 * clear for weep in made.weeps)
    said = [c.code for c in made.conflicts]
    for end in made.returns:
        near = any(abs(end - weep) * 2 - bead < 2 * clear for weep in made.weeps)
        assert not near or "return-at-weep" in said
    lines = [made.returns[0], *made.cross, made.returns[1]]
    steps = [high - low for low, high in itertools.pairwise(lines)]
    assert all(step <= made.sizes["cross_line_spacing"] for step in steps) or "gap-wide" in said
    assert len(made.bays) == len(steps)
    assert all(step - bead >= bay.open_for > 0 for step, bay in zip(steps, made.bays, strict=True))


@settings(max_examples=60, deadline=None)
@given(beds, st.lists(st.integers(0, 1000), max_size=6))
def test_water_runs_out_of_every_bay(sizes: dict[str, int], weeps: list[int]) -> None:
    """Flood the plan of the beads, drawn on a grid, from the outer edge: it reaches all of it.

    Independent of the bays that the bed reports: only the beads are drawn.
    """
    made = laid(sizes, weeps)
    across = 2 * made.width // made.half  # half a bead's half-width a cell
    wall = [False] * across
    for line in [made.returns[0], *made.cross, made.returns[1]]:
        low, high = line - made.half, line + made.half
        for cell in range(max(low * across // made.width, 0), across):
            if cell * made.width // across >= high:
                break
            wall[cell] = True
    rows = 8
    dry = {(x, y) for y in range(1, rows) for x in range(across) if not wall[x]}  # row 0: the run
    wet = [(x, rows - 1) for x in range(across) if not wall[x]]
    seen = set(wet)
    while wet:
        x, y = wet.pop()
        for spot in ((x - 1, y), (x + 1, y), (x, y - 1), (x, y + 1)):
            if spot in dry and spot not in seen:
                seen.add(spot)
                wet.append(spot)
    assert seen == dry
    runs = sum(not wall[k] and (k == 0 or wall[k - 1]) for k in range(across))
    assert runs == len(made.cross) + 1  # as many ways out as there are bays


@settings(max_examples=200, deadline=None)
@given(beds, st.integers(0, 100))
def test_volume_by_fractions_and_pint(sizes: dict[str, int], waste: int) -> None:
    made = laid(sizes, [])
    inch = {field: Fraction(value, 16) for field, value in sizes.items()}
    lines = 2 + len(made.cross)
    length = inch["frame_width"] + lines * inch["sill_depth"] + 2 * inch["bead_turn_up"]
    cubic = length * inch["bead_width"] * inch["bead_height"]
    assert Fraction(made.volume, INCH**3) == cubic
    wanted = sealant.with_waste(made.volume, waste)
    for one in sealant.sealant_containers():
        size = Fraction(one.size) * Fraction(231, 128)  # in³; NIST Handbook 44: 231 in³ a gallon
        assert sealant.container_count(wanted, one) == math.ceil(cubic * (100 + waste) / 100 / size)
        by_pint = (float(one.size) * UNITS.fluid_ounce).to("nm**3").magnitude
        assert math.isclose(one.volume, by_pint, rel_tol=1e-12)  # pint works in floats
        assert math.isclose(one.volume, float(size * INCH**3), rel_tol=1e-12)


@settings(max_examples=200, deadline=None)
@given(st.integers(1, 200), st.integers(1, 200))
def test_sections_by_fractions(leg: int, other: int) -> None:
    assert sealant.rectangular_section(leg, other) == leg * other
    assert sealant.fillet_section(leg) == math.ceil(Fraction(leg * leg, 2))
    exact = math.pi * (leg * SIXTEENTH) ** 2 / 4
    # never below; 355/113 is above pi by 8.5e-8 of it, and a whole nm² is rounded up
    assert exact <= sealant.round_bead(leg * SIXTEENTH) <= exact * (1 + 1e-7) + 1


@settings(max_examples=200, deadline=None)
@given(st.integers(100, 6000), st.lists(st.integers(0, 1000), min_size=1, max_size=8))
def test_supports_reach_from_first_to_last(width: int, places: list[int]) -> None:
    must = [at * width // 1000 for at in places]
    made = bed.support_places(width, must, 100)
    assert set(must) <= set(made)
    assert made == sorted(set(made))
    assert all(high - low <= 100 for low, high in itertools.pairwise(made))
