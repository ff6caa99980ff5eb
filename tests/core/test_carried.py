"""A state carried forward is the state of all events, in both interpreters.

Histories picked by a small generator of our own, so that both interpreters see the same ones; with
many more, and in every order of arrival: tests/properties/test_carried.py.
"""

from app.core.kinds import Json
from app.core.record.events import in_order
from app.core.record.fold import carried_forward
from app.core.record.gate import bars_of, cover_of, sign_of, verdicts_of
from app.core.record.state import State
from tests.core.sample import DRAWING, PROCEDURES, Site, inches

PHONES = ("phone-a", "phone-b")


class Chance:
    """A linear congruential generator; factor and increment of Numerical Recipes (from memory)."""

    def __init__(self, seed: int) -> None:
        self.state = seed

    def below(self, most: int) -> int:
        """Return a whole number from 0 up to most - 1."""
        self.state = (self.state * 1664525 + 1013904223) % (1 << 32)
        return (self.state >> 8) % most


def act(site: Site, chance: Chance) -> None:
    """Let one of two phones, or the office, do one thing."""
    phone = PHONES[chance.below(2)]
    place = ("left", "right")[chance.below(2)]
    kind = chance.below(11)
    if kind < 4:
        site.read(phone, "gap", place, "x", inches(chance.below(8), 16))
    elif kind == 4:
        taken = [e for e in site.book(phone) if e["kind"] == "reading.taken"]
        if taken:
            target = taken[chance.below(len(taken))]["id"]
            site.write(phone, "entry.struck", {"target": target, "why": "mistake"})
    elif kind == 5:
        site.sign(phone, "A", "2026-03-02T08:00:00+00:00")
    elif kind == 6:
        body = {"step": "A", "check": "gap-most", "panel": "", "words": "packed"}
        site.write(phone, "correction.made", body)
    elif kind == 7:
        site.ready_a(phone)
    elif kind == 8:
        for source in PHONES:
            site.send(source, "office-1")
        drawing = dict(DRAWING)
        drawing["shims"] = [inches(1 + chance.below(2), 16)]
        site.write("office-1", "drawing.revised", {"drawing": drawing, "why": "as told"})
    else:
        site.send(PHONES[chance.below(2)], phone)
        site.send("office-1", phone)


def told(state: State) -> "list[Json]":
    """Return what a page could show of a state."""
    out = []
    for step in state.steps:
        sign = sign_of(state, step)
        stands = None if sign is None else [sign.event["id"], sign.true, len(sign.why)]
        codes = [bar.code for bar in bars_of(state, step)]
        out.append([step.key, codes, cover_of(state, step), verdicts_of(state, step), stands])
    return out


def test_a_state_that_was_carried_is_the_state_of_all():
    for seed in range(4):
        chance = Chance(seed)
        site = Site()
        for _ in range(14):
            act(site, chance)
        events = in_order(site.all())
        if seed % 2:
            events.append(events.pop(1 + chance.below(len(events) - 1)))  # one arrives late
        known: list[Json] = []
        state, truths = None, {}
        for event in events:
            known.append(event)
            state = carried_forward(state, known, PROCEDURES, truths)
            if chance.below(3) == 0 or event is events[-1]:
                assert told(state) == told(State(known, PROCEDURES)), seed
