"""The door model on a door as it was read: the same in both interpreters, and quick enough.

`python -m tests.parity tests/core/test_read_door.py` prints each test's time under MicroPython.
"""

from app.core.record import judge
from app.core.record.door_as_read import FRAME, HUNG
from app.core.trade.door_model.outlook import outlook
from tests.core import read_door

EVENTS = read_door.events()
STATE = read_door.state_of(EVENTS)
STATE.answers("p-track-inner", "")
WARM = [STATE.answers(point["id"], "") for point in read_door.POINTS]


def test_eight_panels_are_built():
    assert judge.door_at(STATE, FRAME).door is not None


def test_eight_panels_are_looked_at():
    found = judge.door_at(STATE, FRAME)
    assert found.door is not None
    assert [panel.letter for panel in found.door.panels] == list("ABCDEFGH")
    ahead = outlook(found.door, 0.0)
    # the sill wavers by 1/16 at most and both jambs stand 1/32 off: eight panels take that
    assert ahead.plan.within
    assert found.door.jambs[0].ys != [0, 0, 0]


def test_gaps_tell_the_leans_and_one_list_comes_of_it():
    result = judge.result_of(STATE, STATE.check("closes"), "")
    assert result.verdict == "out"
    assert len(result.outcome.remedies) > 2
    door = judge.door_at(STATE, HUNG).door
    # seven interlocks and the lock jamb were read; the far jamb follows
    assert [gap.follows for gap in door.gaps] == [False] * 8 + [True]


def test_a_line_is_of_one_point_alone():
    """The supports and later the sill on them: another surface, and the laser stands anew."""
    again = read_door.point_again("track-inner", {"kind": "ends-middle"})
    added = read_door.events(again)
    line = judge.door_at(read_door.state_of(added, again), FRAME).door.panels[0].track
    assert len(line.xs) == 3
    assert max(line.ys) - min(line.ys) <= read_door.INCH // 16
    one_place = added[: len(added) - 2]  # of the three of that point
    whole = judge.door_at(read_door.state_of(one_place, again), FRAME).door.panels[0].track
    assert len(whole.xs) > 3


def test_what_was_built_is_kept_until_something_is_entered():
    found = judge.door_at(STATE, FRAME)
    assert judge.door_at(STATE, FRAME) is found
