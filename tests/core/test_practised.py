"""Practice at a table on a door of eight panels: the same in both interpreters, and quick enough.

What is expected follows from what was planted (see test_planted.py); the door is read_door's own.
"""

from app.core.record.debrief import fault_stories, misreads
from app.core.record.events import heads_of, new_event
from app.core.record.practised import LINE, Simulated, at_table
from tests.core import read_door

INCH = 25400000
FAULTS = [{"kind": "left-jamb-out", "at": "", "size": str(INCH // 4)}]


def practice(extra=()):
    """Return the door with its jamb leaning out, and what more was entered."""
    issue = dict(read_door.events()[0])
    issue["body"] = dict(issue["body"])
    issue["body"]["practice"] = {"way": "table", "faults": FAULTS}
    events = [issue]
    for kind, body in extra:
        draft = {
            "id": "e" + str(len(events)),
            "device": "web-1",
            "opening": issue["opening"],
            "seen": heads_of(events),
            "at": "2026-03-02T09:00:00-05:00",
            "person": "p",
            "kind": kind,
            "body": body,
        }
        events.append(new_event(events, draft))
    return read_door.state_of(events)


def jamb_of(state):
    """Return the id of the point on the LEFT jamb, and its places."""
    for point in state.points:
        if state.points[point].get("purpose") == "left-jamb":
            return point, state.places(point, "")
    raise AssertionError("no jamb")


def test_the_leaning_jamb_is_shown_and_the_other_stands_plumb():
    state = practice()
    assert at_table(state)
    point, places = jamb_of(state)
    simulated = Simulated(state)
    high = places[-1]
    lean = INCH * high.y // 4 // state.drawing.need("frame_height")
    for units, part in (("in", INCH // 32), ("mm", 500000)):
        shown = simulated.shown(point, "", high, units)
        assert abs(shown - simulated.as_drawn(point, high) - lean) <= part // 2 + 1
    for other in state.points:
        if state.points[other].get("purpose") == "right-jamb":
            for place in state.places(other, ""):
                assert simulated.exact(other, "", place, [], False) == simulated.as_drawn(
                    other, place
                )


def test_what_was_read_wrong_is_found():
    point, places = jamb_of(practice())
    place = places[-1]
    shown = Simulated(practice()).shown(point, "", place, "in")
    body = {
        "point": point,
        "panel": "",
        "place": place.id,
        "quantity": "length",
        "text": "typed",
        "value": str(shown + INCH // 16),
        "how": "plain",
        "units": "in",
    }
    state = practice([("reading.taken", body)])
    assert [wrong.off for wrong in misreads(state)] == [INCH // 16]
    body["value"] = str(shown)
    assert misreads(practice([("reading.taken", body)])) == []


def test_every_place_has_an_instrument_and_the_debrief_its_fault():
    state = practice()
    simulated = Simulated(state)
    for step in state.steps:
        for point in step.data["points"]:
            panel = state.panel_for(point["id"], step.panel)
            for place in state.places(point["id"], panel):
                assert simulated.shown(point["id"], panel, place, "in") is not None
    (story,) = fault_stories(state)
    assert (story.out, story.rounds, story.mended) == ([], 0, False)
    assert LINE == 13 * INCH
