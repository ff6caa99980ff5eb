"""Lift of a panel, its gasket, and what both add to the bounds of the door model.

Expected values: definitions and plane geometry, worked out by hand beside each row. The limit of
1/32 in between both stiles: common practice, no source; its row shows what it keeps.
"""

from math import asin, sin

from app.core.checks.lifted import panel_lift
from app.core.record import judge
from app.core.record.door_as_read import FRAME
from app.core.trade.lift_and_slide import (
    DrawnLift,
    drawn_lift,
    lowered_clearance,
    lowered_play,
    raise_to_free,
)
from tests.core import doors, read_door
from tests.core.asked import IN, ask, place, said
from tests.core.golden import checks, inches

S32, S16 = IN // 32, IN // 16
LIMITS = {"least": IN // 4, "most": 3 * IN // 8, "alike": S32, "free": 7 * S16}
GEOMETRY = "definition: lift = height lifted less height lowered, over the same spot"


def heights(letter, values):
    return [
        (place(letter + "-" + side, panel=letter, side=side), value)
        for side, value in zip(("left", "right"), values)
    ]


def outcome(lowered, lifted, most=None, **limits):
    """Return the outcome of panel A; most: of a lowered stile, as drawn."""
    every = dict(LIMITS)
    every.update(limits)
    if most is not None:
        every["pressed"] = most
    inputs = {"lowered": heights("A", lowered), "lifted": heights("A", lifted)}
    return panel_lift(ask(inputs, every))


def test_lift_is_what_the_handle_adds():
    low = 3 * S16
    rows = (
        # lowered 3/16 at both, lifted to: verdict
        ((low + 4 * S16, low + 4 * S16), "within"),  # 1/4 at both: on the least
        ((low + 6 * S16, low + 6 * S16), "within"),  # 3/8: on the most
        ((low + 5 * S16, low + 5 * S16 + S32), "within"),  # 1/32 apart: on the limit
        ((low + 5 * S16, low + 5 * S16 + S32 + 1), "out"),
        ((low + 4 * S16 - 1, low + 4 * S16), "out"),
        ((low + 6 * S16 + 1, low + 6 * S16), "out"),
    )
    for lifted, due in rows:
        what = "lowered 3/16, lifted " + str([inches(nm) for nm in lifted])
        checks("panel-lift", what, due, outcome((low, low), lifted).verdict, GEOMETRY, "computed")


def test_uneven_lift_turns_the_panel():
    """Why 1/32: lowered, one stile 1/32 lower over 42 in turns the panel by 1/16 over 84 in.

    42 in is narrower than most such panels; 1/16 in is the limit of a reveal.
    """
    exact = 84 * sin(asin((1 / 32) / 42))
    what = "reveal over 84 in from 1/32 in over 42 in of width"
    checks("panel-lift", what, 1 / 16, exact, "rotation of a rigid panel", "computed", 1e-6, "in")


def test_gasket_that_still_touches_is_out():
    # gasket 7/16 high: lowered 1/8 and a lift of 1/4 leave it 1/16 under the panel
    found = outcome((2 * S16, 2 * S16), (6 * S16, 6 * S16))
    assert found.verdict == "out"
    assert found.over == S16
    assert 'Raise both carriages 1/16" the same' in said(found.remedies)
    leaning = outcome((2 * S16, 4 * S16), (6 * S16, 8 * S16), most=4 * S16)
    assert "leans too much for its gasket" in said(leaning.remedies)


def test_remedy_names_the_carriage_that_lags():
    found = outcome((S16, S16), (7 * S16, 9 * S16))
    assert "LEFT carriage lifts" in said(found.remedies)
    found = outcome((S16, S16), (9 * S16, 7 * S16))
    assert "RIGHT carriage lifts" in said(found.remedies)
    assert "too little" in said(outcome((S16, S16), (4 * S16, 4 * S16), free=0).remedies)
    assert "too much" in said(outcome((S16, S16), (8 * S16, 8 * S16)).remedies)


def test_each_panel_by_itself_and_what_is_missing():
    inputs = {
        "lowered": heights("A", (S16, S16)) + heights("B", (S16, S16)),
        "lifted": heights("A", (7 * S16, 7 * S16)) + heights("B", (7 * S16, None)),
    }
    found = panel_lift(ask(inputs, LIMITS))
    assert found.verdict == "missing"
    assert [one.id for one in found.missing] == ["B-right"]
    inputs["lifted"][3] = (inputs["lifted"][3][0], 9 * S16)
    found = panel_lift(ask(inputs, LIMITS))
    assert found.verdict == "out"
    assert "Panel B: LEFT carriage" in said(found.remedies)
    gone = panel_lift(ask(inputs, LIMITS, gone={"lifted": ["B-right"]}))
    assert gone.verdict == "out"  # what was read of it is judged


def test_what_nobody_can_reach_is_never_within():
    one = {"lowered": heights("A", (S16, None)), "lifted": heights("A", (7 * S16, 7 * S16))}
    found = panel_lift(ask(one, LIMITS, gone={"lowered": ["A-right"]}))
    assert found.verdict == "unreachable"


def test_bounds_of_a_lowered_panel():
    """Gasket 7/16, lift 1/4 to 5/16: lowered at least 3/16; play 1/16 to 1/4 lifted.

    Lowered that is 3/8 (1/16 + 5/16) to 1/2 (1/4 + 1/4) under the pocket's top.
    """
    lift = DrawnLift(4 * S16, 5 * S16, 7 * S16)
    source = "geometry: lowered + lift = lifted"
    ours = lowered_clearance(2 * S16, lift)
    checks("panel-lift", "least clearance lowered", 3 * S16, ours, source, "computed", unit="nm")
    assert lowered_clearance(4 * S16, lift) == 4 * S16  # the drawing's own is more
    assert lowered_clearance(None, lift) == 3 * S16
    assert lowered_clearance(None, DrawnLift(None, None, None)) is None
    ours = list(lowered_play((S16, 4 * S16), lift))
    due = [6 * S16, 8 * S16]
    checks("panel-lift", "play lowered", due, ours, source, "computed", unit="nm")
    assert lowered_play((0, None), lift) == (5 * S16, None)


def test_what_frees_a_gasket_keeps_it_pressed():
    """Whatever both stiles read: raised as advised, the gasket is free lifted, pressed lowered."""
    for a in range(9):
        for b in range(9):
            for lift in (4, 5):
                low = [a * S16, b * S16]
                up = [nm + lift * S16 for nm in low]
                rise = raise_to_free(low, up, 8 * S16, 7 * S16)
                if rise is None:
                    assert max(low) + max(8 * S16 - min(up), 0) > 7 * S16
                    continue
                assert min(up) + rise >= 8 * S16
                assert max(low) + rise <= 7 * S16


def test_keeps_follow_the_gap():
    """A closing gap 1/16 wider at 90 than at 6 in: points at 10, 44 and 84 in, by proportion."""
    from app.core.trade.lift_and_slide import keep_shims

    exact = [S16 * (y - 10) / 84 for y in (10, 44, 84)]
    ours = keep_shims(S16, 84 * IN, [10 * IN, 44 * IN, 84 * IN])
    checks("panel-lift", "shims of keeps", exact, ours, "proportion", "computed", 1, "nm")
    assert keep_shims(-S16, 84 * IN, [10 * IN, 84 * IN]) == [ours[2], 0]
    assert keep_shims(0, 84 * IN, [10 * IN, 84 * IN]) == [0, 0]


def lifting_drawing():
    made = read_door.drawing()
    made["door"] = "lift-and-slide"
    more = {"panel_lift_least": 4 * S16, "panel_lift_most": 5 * S16, "foot_gasket": 9 * S16}
    made["lengths"].update({field: str(more[field]) for field in more})
    return made


def test_door_model_takes_the_panels_lowered():
    """The same door, stacking and lift-and-slide: what its panels may do differs by the lift."""
    issue, readings = read_door.events()[0], read_door.events()[1:]
    body = dict(issue["body"], drawing=lifting_drawing())
    plain = judge.door_at(read_door.state_of([issue] + readings), FRAME).door.drawn
    found = judge.door_at(read_door.state_of([dict(issue, body=body)] + readings), FRAME)
    drawn = found.door.drawn
    assert drawn.clearance[0] == 9 * S16 - 4 * S16
    assert plain.play == (0, IN)
    assert drawn.play == (5 * S16, IN + 4 * S16)
    # pocket 1 1/4: lifted at most it must not touch the top, lowered it keeps 1/4 in the head
    assert drawn.engaged == (IN // 4, 20 * S16 - 5 * S16)
    body["drawing"]["lengths"].pop("foot_gasket")
    silent = judge.door_at(read_door.state_of([dict(issue, body=body)] + readings), FRAME)
    assert "Gasket under a panel" in said(silent.taken)


def test_only_a_door_that_lifts_has_a_use_for_the_lift():
    stacking = doors.four()
    assert drawn_lift(stacking) is None
    assert not stacking.asks("handle_force")
    lifting = doors.door([1, 2], "XO", "A", door="lift-and-slide")
    assert drawn_lift(lifting).least is None
    assert lifting.asks("handle_force")


def test_locking_points_stand_where_they_are_drawn():
    from app.core.where.panels import lock_points

    two = doors.door([1, 2], "XO", "A", locks=[str(80 * IN), str(12 * IN)])
    spots = lock_points({}, two, "")
    assert [spot.y for spot in spots] == [12 * IN, 80 * IN]  # from low to high
    assert {spot.x for spot in spots} == {two.panels[0].left}
    meeting = doors.door([2, 1, 1, 2], "OXXO", "BC", locks=[str(12 * IN), str(80 * IN)])
    assert [spot.id for spot in lock_points({}, meeting, "")] == ["meeting-y3048", "meeting-y20320"]
    assert [spot.id for spot in lock_points({}, doors.door([1, 2], "XO", "A", locks=[]), "")] == [
        "left"
    ]
