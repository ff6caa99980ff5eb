"""A state carried forward by new events alone is the state of all of them folded at once.

Whatever the histories of test_fold.py and of the benches hold, in whatever order and in whatever
portions it arrives, and whatever was asked of the state in between.
"""

import random
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from app.core.kinds import Json
from app.core.pages.outlook import outlook_section, stage_of
from app.core.pages.request import Request
from app.core.record.canonical import digest
from app.core.record.events import heads_of, in_order, new_event
from app.core.record.fold import carried_forward
from app.core.record.ledger import Ledger
from app.core.record.state import State
from app.store.ids import uuid7
from tests.bench.histories import History
from tests.core.sample import PROCEDURES
from tests.homeowner.finished import PROCEDURES as REAL
from tests.procedures.demo_book import Book, openings
from tests.properties.test_fold import acts, play, told

Acts = list[tuple[str, str, int, str]]
# what is carried, and nothing for which all is folded anew: else too little is seen of carrying
crew = st.tuples(
    st.sampled_from(("phone-a", "phone-b")),
    st.sampled_from(
        ("ready", "read", "read", "read", "strike", "sign", "fix", "move", "send", "send", "gone",
         "untick", "info", "office", "concede", "return", "judge")
    ),
    st.integers(0, 7),
    st.sampled_from(("phone-a", "phone-b")),
)  # fmt: skip


def arrived(history: Acts, chance: random.Random, late: int) -> list[Json]:
    """Return the events of a history, causes first but for so many that come late."""
    events = in_order(play(history))
    for _ in range(late):
        events.append(events.pop(chance.randrange(len(events))))
    return events


def issued(events: list[Json]) -> bool:
    return any(event["kind"] == "opening.issued" for event in events)


def test_an_entry_that_knows_no_judgement_yet_is_carried() -> None:
    """A phone works on before it has pulled; the office has judged in later turns meanwhile."""
    ledger = Ledger([])
    first = new_event([], said("phone-a", {}, "task.ticked"))
    assert ledger.add(first)
    book = [first]
    for _ in range(3):
        seen = heads_of(book)
        book.append(new_event(book, said("office-a", seen, "judgement.given")))
        assert ledger.add(book[-1])
    late = new_event([first], said("phone-a", {"phone-a": 1}, "task.ticked"))
    assert late["turn"] < book[-1]["turn"]
    assert ledger.add(late)
    assert [e["id"] for e in ledger.events] == [e["id"] for e in in_order([*book, late])]
    other = new_event([], said("phone-b", {}, "task.ticked"))
    assert not ledger.add(other)  # behind another entry it is late


def said(device: str, seen: dict[str, int], kind: str) -> Json:
    body: Json = {"step": "A", "task": "seen", "done": True}
    if kind == "judgement.given":
        body = {"target": "x", "result": "true", "rules": 1, "procedure_digest": "ab" * 32}
        body |= {"verdicts": [], "seal": "cd" * 32}
    return {
        "id": uuid7(), "device": device, "opening": "op-1", "seen": seen, "person": "inga",
        "at": "2026-03-02T14:05:00-05:00", "kind": kind, "body": body,
    }  # fmt: skip


@settings(max_examples=300, deadline=None)
@given(
    st.one_of(st.lists(acts, max_size=30), st.lists(crew, max_size=30)),
    st.randoms(use_true_random=False),
    st.sampled_from((0, 0, 1, 3)),
    st.lists(st.integers(1, 6), min_size=1, max_size=30),
)
def test_a_state_that_was_carried_is_the_state_of_all(
    history: Acts, chance: random.Random, late: int, portions: list[int]
) -> None:
    events = arrived(history, chance, late)
    known: list[Json] = []
    state, truths = None, {}
    for size in [*portions, len(events)]:
        known += events[len(known) : len(known) + size]
        if issued(known):
            state = carried_forward(state, known, PROCEDURES, truths)
            assert digest(told(state)) == digest(told(State(list(known), PROCEDURES)))


@settings(max_examples=200, deadline=None)
@given(st.lists(acts, max_size=24), st.sampled_from(("phone-a", "phone-b", "office-1")), st.data())
def test_the_next_event_is_the_same_by_either_way(history: Acts, device: str, data: Any) -> None:
    events = play(history)
    state = State(events, PROCEDURES)
    heads = state.heads
    seen = {name: data.draw(st.integers(0, heads[name])) for name in heads}
    draft = {
        "id": "new", "device": device, "opening": "o1", "seen": seen, "at": "2026-03-02T08:00",
        "person": "p", "kind": "task.ticked", "body": {"step": "A", "task": "seen", "done": True},
    }  # fmt: skip
    assert state.ledger.next_event(draft) == new_event(events, draft)


@settings(max_examples=2, deadline=None)
@given(st.integers(0, 10**6))
def test_a_real_door_carried_is_the_real_door(seed: int) -> None:
    """The demo's procedure: struck, moved, put right, ticked back, signed anew."""
    book = Book(openings()[0])
    made = History(book.events[0], REAL, ["phone-a", "web-b"], f"carried-{seed}")
    made.work(500)
    truths: dict[str, bool] = {}
    state = carried_forward(None, made.events, REAL, truths)
    told(state)
    for _ in range(5):
        made.again(len(made.events) + made.chance.randrange(1, 9))
        made.sign(made.chance.choice(state.steps).key)
        before = state
        state = carried_forward(state, made.events, REAL, truths)
        assert state is before  # nothing was folded anew
        anew = State(made.events, REAL, dict(truths))
        assert digest(told(state)) == digest(told(anew))
        assert foretold(state) == foretold(anew)


def foretold(state: State) -> list[str]:
    """Return all that the door model says on the pages of the steps."""
    request = Request({
        "method": "GET", "path": "/field", "now": "2026-03-02T08:00:00-05:00", "ids": [uuid7()],
        "device": "web-1", "person": {"id": "p1", "name": "Inga", "units": "in", "lang": "en"},
        "book": {"openings": [], "events": {}, "procedures": {}, "instruments": []},
    })  # fmt: skip
    stages = [stage_of(state, step) for step in state.steps]
    said = [outlook_section(request, state, stage) for stage in stages]
    assert any(said)
    return [str(one) for one in said]
