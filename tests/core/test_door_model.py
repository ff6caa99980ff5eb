"""The model of the whole door: check values, whole numbers, both interpreters.

The check values were derived for this project and confirmed with scipy's linprog (HiGHS) and
with exact rotation of rigid panels to better than 0.001 in; tests/properties repeats both.
"""

from app.core.trade.door_model.bounds import Allowed
from app.core.trade.door_model.chain import Bound, Node, Tie, cheapest_leans, least_shares
from app.core.trade.door_model.door import Gap, spread_of_lean
from app.core.trade.door_model.plan import (
    Model,
    best_plan,
    exact_clearance,
    exact_engagement,
    exact_tapers,
    wanted_extensions,
    wanted_leans,
    worst_of,
)
from app.core.trade.door_model.profile import Profile
from tests.core.expect import refused
from tests.core.golden import checks
from tests.core.rigid_doors import HIGH, INCH, LOW, jamb, line, rigid_door

LINPROG = "scipy.optimize.linprog (HiGHS)"
DERIVED = "derived, confirmed with scipy linprog and exact rotation"
EIGHTH, SIXTEENTH, SIXTYFOURTH = INCH // 8, INCH // 16, INCH // 64
# the doors of door-model's table: name, panels, sill's rise in 48 in, leans of the jambs
LEVEL = ("level sill, plumb jambs", 4, 0, 0, 0)
FALLING = ("sill falls 1/16 in 48, plumb jambs", 4, -SIXTEENTH, 0, 0)
APART = ("level sill, jambs lean apart by 1/8 each", 4, 0, -EIGHTH, EIGHTH)
APART_TWO = ("the same with two panels", 2, 0, -EIGHTH, EIGHTH)


def inches(fraction):
    return fraction[0] / fraction[1] / INCH


def proposed(door):
    """Return (share, tapers in inches) of the leans before they are rounded to a hand's steps."""
    model = Model(door)
    shares = model.shares()
    leans = wanted_leans(model, shares, 0.0)
    jambs = [door.jamb_lean(0), door.jamb_lean(1)]
    leans = [jambs[0][0] / jambs[0][1]] + leans + [jambs[1][0] / jambs[1][1]]
    tapers = [(a - b - tie.shift) / INCH for a, b, tie in zip(leans, leans[1:], model.ties)]
    return worst_of(shares).share, tapers


def test_check_values_of_four_doors():
    rows = (
        (LEVEL, 0.0, [0.0] * 5),
        (FALLING, 0.0, [0.0] * 5),
        (APART, 0.4375, [0.0273, 0.0547, 0.0547, 0.0547, 0.0273]),
        (APART_TWO, 0.875, [0.0547, 0.1094, 0.0547]),
    )
    for (name, count, rise, left, right), share, tapers in rows:
        ours, found = proposed(rigid_door(count, rise, left, right))
        what = name + ": share of the limit"
        checks("door-model", what, share, ours, LINPROG, "independent library", 1e-12)
        # printed to 4 decimals
        what = name + ": tapers, in"
        checks("door-model", what, tapers, found, LINPROG, "independent library", 6e-5)


def test_over_a_falling_sill_every_right_roller_is_3_64_higher():
    plan = best_plan(rigid_door(4, -SIXTEENTH), 0.0)
    name = FALLING[0] + ": right roller over left, in"
    ours = [(right - left) / INCH for left, right in plan.extensions]
    checks("door-model", name, [3 / 64] * 4, ours, DERIVED, "computed")
    assert [taper.num for taper in plan.tapers] == [0] * 5
    assert plan.within


def test_one_panel_by_hand():
    door = rigid_door(1, -SIXTEENTH)
    now = [door.panels[0].extensions]
    taper = exact_tapers(door, now)[0]
    name = "one panel, sill falls 1/16 in 48: "
    # gaps 0.2573, 0.3120, 0.3667 at 6, 48 and 90 in, by exact rotation
    found = taper.num / taper.den / INCH
    checks("door-model", name + "taper, in", 0.3667 - 0.2573, found, DERIVED, "computed", 0.0001)
    clear = [inches(exact_clearance(door.panels[0], side, now[0])) for side in ("left", "right")]
    checks("door-model", name + "clearances, in", [0.375] * 2, clear, DERIVED, "computed", 1e-9)
    ends = best_plan(door, 0.0).extensions[0]
    assert ends == (3 * INCH // 8, 3 * INCH // 8 + 3 * SIXTYFOURTH)
    clear = [inches(exact_clearance(door.panels[0], side, ends)) for side in ("left", "right")]
    name += "right roller up 3/64: clearances, in"
    checks("door-model", name, [0.367, 0.430], clear, DERIVED, "computed", 0.0005)


def test_a_crown_leans_a_panel_in_mid_travel():
    """Over a crown of 1/16 in 48 a panel that is plumb when closed leans 0.22 past it."""
    door = rigid_door(1)
    panel = door.panels[0]
    panel.track = panel.sill = Profile([0, 48 * INCH, 96 * INCH], [0, SIXTEENTH, 0])
    panel.left, panel.slides = 0, 48 * INCH
    scale = door.apart / panel.apart
    past = (panel.rise(panel.slides) - panel.rise()) * scale / INCH
    checks("door-model", "lean past a crown, in", -0.22, past, DERIVED, "computed", 0.005)


def test_spread_of_a_lean():
    # 1/64 at each axle: 0.073 over 84 in; a track nobody read: 0.109
    door = rigid_door(1)
    panel = door.panels[0]
    x = [panel.left + axle for axle in panel.axles]
    panel.track = Profile(x, [0, 0], SIXTYFOURTH)
    name = "spread of a taper, readings off by 1/64, in"
    ours = spread_of_lean(door, panel) / INCH
    checks("door-model", name, 0.073, ours, DERIVED, "computed", 0.0005)
    panel.track = Profile([], [])
    name = "spread of a taper, track not read, in"
    ours = spread_of_lean(door, panel) / INCH
    checks("door-model", name, 0.109, ours, DERIVED, "computed", 0.0005)


def test_closed_form_where_nothing_else_binds():
    # T = |sum of the tapers| / sum of the limits, worked by hand for five leans of a jamb
    for sixteenths in (-3, -1, 0, 2, 4):
        door = rigid_door(3, 0, 0, sixteenths * SIXTEENTH)
        demanded = abs(sixteenths) * SIXTEENTH * (HIGH - LOW) / (96 * INCH)
        share = worst_of(Model(door).shares()).share
        assert abs(share - demanded / (2 * SIXTEENTH + 2 * EIGHTH)) < 1e-12


def test_panels_out_of_square_use_the_limits_up():
    door = rigid_door(2)
    for panel in door.panels:
        panel.wider = SIXTEENTH
    assert abs(worst_of(Model(door).shares()).share - 0.5) < 1e-12
    # racked panels lean as a whole and cost nothing
    for panel in door.panels:
        panel.wider, panel.racked = 0, SIXTEENTH
    assert worst_of(Model(door).shares()).share < 1e-12


def test_a_fastened_panel_splits_the_chain():
    # the fixed panel leans 0.109 with its sill: the reveal between it and the jamb takes all of it
    door = rigid_door(3, -SIXTEENTH)
    door.panels[2].fixed = door.panels[2].fastened = True
    model = Model(door)
    assert model.pieces == [(0, 3), (3, 4)]
    assert abs(model.shares()[1].share - 0.109375 / 0.0625) < 1e-12
    assert abs(model.shares()[0].share - 0.109375 / (0.0625 + 0.25)) < 1e-12
    door.gaps[3] = Gap("fixed")
    assert worst_of(Model(door).shares()).share < 0.5
    # until it is fastened its shims are unknown: 3/64 under its right end
    door.panels[2].fastened = False
    door.gaps[3] = Gap("reveal", SIXTEENTH)
    door.drawn.engagement = None
    plan = best_plan(door, 0.0)
    assert plan.within and plan.extensions[2][1] - plan.extensions[2][0] == 3 * SIXTYFOURTH


def test_a_pocket_has_no_reveal_to_judge():
    door = rigid_door(2, 0, 0, 3 * EIGHTH)
    assert worst_of(Model(door).shares()).share > 1
    door.gaps[2] = Gap("pocket")
    model = Model(door)
    assert worst_of(model.shares()).share == 0
    assert len(best_plan(door).tapers) == 2


def test_meeting_leads_are_plumbed_each():
    # both leads lean the same way: the gap is even and each is out of plumb by itself
    door = rigid_door(2)
    door.gaps = [Gap("pocket"), Gap("meeting", SIXTEENTH), Gap("pocket")]
    door.panels[0].meets, door.panels[1].meets = "right", "left"
    door.drawn.plumb = SIXTEENTH
    for panel in door.panels:
        panel.extensions = (3 * INCH // 8, 3 * INCH // 8 + 3 * SIXTYFOURTH)
    plan = best_plan(door, 0.0)
    assert [ends[0] == ends[1] for ends in plan.extensions] == [True, True]
    door.drawn.plumb = None
    assert best_plan(door).moves == []


def test_more_than_two_rollers_the_outer_two_count():
    door = rigid_door(1, -SIXTEENTH)
    door.panels[0].axles = [6 * INCH, 24 * INCH, 42 * INCH]
    assert door.panels[0].apart == 36 * INCH
    assert best_plan(door, 0.0).extensions == best_plan(rigid_door(1, -SIXTEENTH), 0.0).extensions


def test_measured_gaps_tell_the_leans():
    # the track was taken for level and is not: gaps on the hung panel taper 0.109 either way
    door = rigid_door(1)
    taper = 7 * SIXTYFOURTH
    door.gaps = [Gap("reveal", SIXTEENTH, taper), Gap("reveal", SIXTEENTH, -taper)]
    plan = best_plan(door, 0.0)
    # 7/64 x 36 / 84 = 3/64
    assert [(move.side, move.rise) for move in plan.moves] == [("right", 3 * SIXTYFOURTH)]
    assert [taper.num for taper in plan.tapers] == [0, 0]


def test_half_to_spare_turns_least():
    # gap tapers 0.0365 at a limit of 0.0625: more than half; one 64th at one roller is enough
    door = rigid_door(1)
    door.panels[0].extensions = (3 * INCH // 8, 3 * INCH // 8 + SIXTYFOURTH)
    assert [move.rise for move in best_plan(door).moves] == [SIXTYFOURTH]
    # 0.03125 is exactly half: nothing is turned
    door = rigid_door(1, 0, INCH // 28, INCH // 28)
    assert best_plan(door).moves == []


def test_turns_are_rounded_to_quarters_of_the_trial_turn():
    door = rigid_door(1, -SIXTEENTH)
    door.panels[0].trial = (SIXTEENTH, SIXTEENTH)
    moves = best_plan(door, 0.0).moves
    assert [(move.side, move.rise, move.turns) for move in moves] == [
        ("right", 3 * SIXTYFOURTH, (3, 4))
    ]
    # up and down differ: a ramp screw; what comes out is a whole number of its own quarters
    door.panels[0].trial = (SIXTEENTH, EIGHTH)
    for move in best_plan(door, 0.0).moves:
        turn = SIXTEENTH if move.rise > 0 else EIGHTH
        assert move.rise * move.turns[1] == turn * move.turns[0]


def test_eighths_of_a_turn_where_quarters_are_too_coarse():
    plan = best_plan(rigid_door(2, 0, -EIGHTH, EIGHTH))
    assert plan.within  # just finishable, 0.875 of each limit, and no 64th reaches it


def test_clearance_binds():
    # the lean that the jambs want would scrape the sill: the bound wins, and the plan says so
    door = rigid_door(1, 0, INCH // 4, INCH // 4)
    door.drawn.clearance = (3 * INCH // 8, 3 * INCH // 8 + SIXTYFOURTH)
    plan = best_plan(door)
    assert plan.kept and not plan.within
    assert plan.shares.share > 1


def test_bounds_that_miss_each_other():
    door = rigid_door(1)
    door.panels[0].lip = line(96 * INCH)
    allowed = Allowed(door, door.panels[0])
    # clearance at most 1/2 and engagement at least 3/8 want 96 3/8: 0.875 short
    assert abs(allowed.short - 0.875 * INCH) < 1
    plan = best_plan(door)
    assert not plan.kept and not plan.within


def test_bounds_hold_in_every_position_and_on_the_line():
    door = rigid_door(1)
    panel = door.panels[0]
    panel.left, panel.slides = 0, 96 * INCH
    # a hump of 1/8 that only the stile meets on its way: clearance 3/8 closed is 1/4 over it
    panel.sill = Profile([k * 12 * INCH for k in range(13)], [0] * 9 + [EIGHTH] + [0] * 3)
    assert Allowed(door, panel).keeps(3 * INCH // 8, 3 * INCH // 8)
    assert not Allowed(door, panel).keeps(3 * INCH // 8, 3 * INCH // 8 - 1)
    panel.slides = 0
    assert Allowed(door, panel).keeps(INCH // 4, INCH // 4)


def test_engagement_is_exact():
    door = rigid_door(1)
    ends = (3 * INCH // 8, 3 * INCH // 8)
    n, d = exact_engagement(door.panels[0], "right", ends)
    assert n == 5 * INCH // 8 * d


def test_one_roller_rather_than_two():
    door = rigid_door(1, -SIXTEENTH)
    model = Model(door)
    left, right = wanted_extensions(model, 0, 0.0)
    assert left == 3 * INCH // 8 and abs(right - left - 3 * SIXTYFOURTH) < 1


def test_profiles():
    profile = Profile([0, 10, 30], [0, 5, 1])
    assert profile.exact_height(20) == (60, 20)
    assert [profile.height(x) for x in (-5, 0, 4, 10, 20, 99)] == [0.0, 0.0, 2.0, 5.0, 3.0, 1.0]
    assert profile.unread(22) == 8
    assert Profile([], []).height(3) == 0 and Profile([], []).unread(3) is None
    refused("profile-stations", Profile, [0, 0], [1, 2])
    refused("profile-stations", Profile, [0, 1], [1])


def test_doors_that_are_not_whole():
    door = rigid_door(2)
    door.gaps = door.gaps[:2]
    refused("door-gaps", best_plan, door)
    door = rigid_door(2)
    door.gaps[0] = Gap("interlock", EIGHTH)
    refused("door-end", best_plan, door)
    door = rigid_door(2)
    door.gaps[0] = Gap("reveal", 0)
    refused("door-limit", best_plan, door)
    door = rigid_door(1)
    door.panels[0].axles = [6 * INCH]
    refused("door-axles", best_plan, door)
    door = rigid_door(1)
    door.panels[0].travel = (1, 0)
    refused("door-travel", best_plan, door)
    door = rigid_door(1)
    door.high = door.low
    refused("door-heights", best_plan, door)
    door.panels = []
    refused("panels-none", best_plan, door)
    refused("panel-unknown", door.panel, "Z")
    assert rigid_door(2).panel("B").letter == "B"


def test_a_jamb_read_between_stations():
    door = rigid_door(1)
    door.jambs = (jamb(96), None)
    assert door.jamb_lean(0)[0] * 1 == -84 * door.jamb_lean(0)[1]
    assert door.jamb_lean(1) == (0, 1)


def test_the_chain_by_hand():
    # two things free to lean 0 … 4 at a cost of their distance from 4, tied to within 1, the
    # first held at most 1: the second goes no farther than 2, at half the tie's limit
    free = [Node("a", [Bound(0)], [Bound(1)], [(0.0, 4.0), (4.0, 0.0)])]
    free.append(Node("b", [Bound(0)], [Bound(4)], [(0.0, 4.0), (4.0, 0.0)]))
    assert cheapest_leans(free, [Tie(0.0, 2.0)], 0.5) == [1.0, 2.0]
    held = [Node("a", [Bound(0)], [Bound(0)], [(0.0, 0.0)])]
    read = [Bound(3, 0, 1)]
    held.append(Node("b", read, read, [(3.0, 0.0)]))
    shares = least_shares(held, [Tie(-1.0, 4.0)])
    assert (shares.share, shares.lowest, shares.highest) == (0.5, 0.25, 0.75)


def test_no_turn_is_asked_that_nobody_can_see_where_a_coarser_one_will_do():
    """A turn lifts 1/32 in: a quarter of it is 1/128, which no gauge on site shows (1/64)."""
    turned = 0
    for lean in range(1, 13):
        door = rigid_door(4, 0, -lean * SIXTYFOURTH // 2, lean * SIXTYFOURTH // 3)
        for panel in door.panels:
            panel.trial = (INCH // 32, INCH // 32)
        plan = best_plan(door, 0.25)
        assert plan.within
        assert all(abs(move.rise) >= SIXTYFOURTH for move in plan.moves), lean
        turned += len(plan.moves)
    assert turned
