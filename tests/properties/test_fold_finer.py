"""Finer points open alike on every device: whatever the order of arrival, and carried forward.

Invented histories over a procedure of which points open where a check is out (tests/core/finer.py):
what is asked, what is judged and what bars follow from the set of events alone.
"""

import random

from hypothesis import given, settings
from hypothesis import strategies as st

from app.core.kinds import Json
from app.core.record import gate, judge
from app.core.record.canonical import digest
from app.core.record.fold import carried_forward
from app.core.record.state import State
from tests.core.finer import PROCEDURES, FinerSite
from tests.core.sample import DRAWING, changed, inches

PHONES = ("phone-a", "phone-b")
POINTS = ("sill", "sill", "sill", "sill-fine", "sill-finest", "seal", "reveal", "stile")
acts = st.tuples(
    st.sampled_from(PHONES),
    st.sampled_from(
        ("read", "read", "read", "read", "send", "send", "strike", "fix", "move", "sign", "raise",
         "redraw", "gone")
    ),
    st.sampled_from(POINTS),
    st.integers(2, 8),
)  # fmt: skip


def play(history: list[tuple[str, str, str, int]]) -> list[Json]:  # noqa: C901
    """Return the events of an invented history; more than 4 is out."""
    site = FinerSite()
    for device, act, point, number in history:
        panel = ("A", "B")[number % 2] if point in ("reveal", "stile") else ""
        place = ("left", "right")[number // 2 % 2]
        book = site.book(device)
        if act == "read":
            site.take(device, point, place, number, panel)
        elif act == "send":
            site.send(device, "phone-b" if device == "phone-a" else "phone-a")
        elif act == "strike":
            taken = [event for event in book if event["kind"] == "reading.taken"]
            if taken:
                body = {"target": taken[number % len(taken)]["id"], "why": "mistyped"}
                site.write(device, "entry.struck", body)
        elif act == "fix":
            body = {"step": "A", "check": "sill-level", "panel": "", "words": "shimmed"}
            site.write(device, "correction.made", body)
        elif act == "move":
            body = {"step": "A", "adjustment": "moved", "panel": "", "words": "moved"}
            site.write(device, "adjustment.made", body)
        elif act == "gone":
            body = {"point": "sill", "panel": "", "place": place, "why": "a post"}
            site.write(device, "reading.unreachable", body)
        elif act == "sign":
            site.sign(device)
        elif act == "raise":
            site.write(device, "depth.raised", {"reason": "asked"})
        else:
            wide = changed(DRAWING, {"limits": {"sill-level.most": inches(number, 16)}})
            site.write("office-1", "drawing.revised", {"drawing": wide, "why": "as asked"})
            site.send("office-1", device)
    return site.all()


def told(state: State) -> Json:
    """Return what is asked, judged and barred, step by step."""
    return [
        [
            step.key,
            [point["id"] for point in judge.asked_points(state, step)],
            gate.verdicts_of(state, step),
            gate.cover_of(state, step)["digest"],
            [[bar.code, bar.point] for bar in gate.bars_of(state, step)],
        ]
        for step in state.steps
    ]


@settings(max_examples=80, deadline=None)
@given(st.lists(acts, max_size=24), st.randoms(use_true_random=False))
def test_finer_points_open_alike_in_any_order_of_arrival(
    history: list[tuple[str, str, str, int]], chance: random.Random
) -> None:
    events = play(history)
    expected = digest(told(State(events, PROCEDURES)))
    for _ in range(3):
        shuffled = list(events)
        chance.shuffle(shuffled)
        assert digest(told(State(shuffled, PROCEDURES))) == expected


@settings(max_examples=80, deadline=None)
@given(st.lists(acts, max_size=20))
def test_a_state_carried_forward_asks_what_a_new_one_asks(
    history: list[tuple[str, str, str, int]],
) -> None:
    events = play(history)
    state: State | None = None
    for count in range(1, len(events) + 1):
        state = carried_forward(state, events[:count], PROCEDURES, {})
        assert told(state) == told(State(events[:count], PROCEDURES))


def test_such_histories_open_points_and_leave_some_shut() -> None:
    """A history in which nothing ever opened would prove nothing."""
    for right, opens in ((3, False), (7, True)):
        events = play([("phone-a", "read", "sill", 4), ("phone-a", "read", "sill", right)])
        asked = {point for step in told(State(events, PROCEDURES)) for point in step[1]}
        assert ("sill-fine" in asked) == opens
        assert "seal" not in asked
