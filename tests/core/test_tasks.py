"""A task that a door has nothing for is neither shown nor barred: no false tick is the way on."""

from app.core.record.gate import bars_of
from app.core.record.state import State
from app.core.where.places import lengths_needed
from tests.core.sample import DRAWING, PROCEDURE, Site, _panel, changed

FIXED = {"id": "foot", "text": "Foot of the fixed panel sealed", "kind": "tick",
         "on": {"kind": "panels", "which": "fixed"}}  # fmt: skip
MEETING = {"id": "pair", "text": "Leads meet flush", "kind": "tick",
           "on": {"kind": "locks", "only": "meeting"}}  # fmt: skip
TASKS = [{"id": "seen", "text": "Seen", "kind": "tick"}, FIXED, MEETING]
STEP = changed(PROCEDURE["steps"][0], {"tasks": TASKS})
EACH = changed(PROCEDURE["steps"][1], {"tasks": [FIXED]})
ON_SOME = changed(PROCEDURE, {"steps": [STEP, EACH]})


def state_of(panels):
    """Return the state of an opening with these panels, just issued."""
    site = Site()
    drawing = changed(DRAWING, {"panels": panels})
    body = {"procedure": "small", "version": 1, "drawing": drawing}
    site.books = {}
    issue = site.write("office-1", "opening.issued", body)
    return State([issue], {"small@1": ON_SOME})


def asked(panels, key="A"):
    """Return the ids of a step's tasks, and of those that bar it."""
    state = state_of(panels)
    step = state.step(key)
    texts = {task["text"]: task["id"] for task in step.data["tasks"]}
    bars = [
        bar.message.params["task"].template
        for bar in bars_of(state, step)
        if bar.code == "task-open"
    ]
    return [task["id"] for task in state.tasks(step)], [texts[text] for text in bars]


def test_a_door_with_a_fixed_panel_is_asked_about_it():
    pair = [_panel("A", "X", 1, True), _panel("B", "O", 2, False)]
    assert asked(pair) == (["seen", "foot"], ["seen", "foot"])
    both = [_panel("A", "X", 1, True), _panel("B", "X", 2, False)]
    assert asked(both) == (["seen"], ["seen"])
    leads = [_panel("A", "X", 1, True), _panel("B", "X", 1, True)]
    assert asked(leads) == (["seen", "pair"], ["seen", "pair"])


def test_in_a_step_of_a_panel_the_panel_itself_counts():
    pair = [_panel("A", "X", 1, True), _panel("B", "O", 2, False)]
    assert asked(pair, "B:A")[0] == []
    assert asked(pair, "B:B")[0] == ["foot"]


def test_what_a_task_counts_from_is_asked_of_the_drawing():
    where = {"kind": "closing-gap", "margin": "0", "only": "jamb"}
    step = changed(STEP, {"points": [], "tasks": [changed(FIXED, {"on": where})]})
    assert lengths_needed(changed(PROCEDURE, {"steps": [step]})) == ["frame_height"]
