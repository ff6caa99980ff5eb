"""Limits that add up on lift-and-slide doors, and no remedy against another: a crew by the book.

Bad doors by chance: rollers up to 1/8 off, carriages that lift too much, too little or uneven, so
that gaskets drag. The crew does what the checks of the shipped procedure say, and ends with every
one within. Plane geometry in whole nanometres, apart from the core's own.
"""

from __future__ import annotations

import random

import pytest

from app.core.kinds import Json
from app.core.record import judge
from app.core.record.door_as_read import FRAME, HUNG
from app.core.trade.door_model.outlook import CAN, outlook
from app.core.trade.drawing import Drawing
from tests.procedures.built_doors import FRAME_PURPOSES, HUNG_PURPOSES, IN, BuiltDoor, drawing_data
from tests.procedures.demo_book import SHIPPED
from tests.procedures.test_limits_add_up import ROUNDS, SIXTEENTH, SIXTYFOURTH, Crew, framed_door

LIFTING = SHIPPED["lift-and-slide-door.yaml"]
DOORS = 8
CLOSES, LIFTS, LIFTED = "door-closes", "lifts-as-drawn", "stile-lifted"
SHAPES = (
    ([1, 2], "XO", "A", "left"),
    ([2, 1], "OX", "B", "right"),
    ([1, 2, 3], "XXO", "A", "left"),
    ([2, 1, 1, 2], "OXXO", "BC", "left"),
)
DRAWN = {
    "panel_lift_least": IN // 4,
    "panel_lift_most": 3 * IN // 8,
    "foot_gasket": IN // 2,  # lowered at least 1/4: 1/2 less the least lift
    "lift_play_least": IN // 32,
}


class LiftingCrew(Crew):
    """lifts: {letter: [left, right]}, how far the handle lifts each carriage."""

    def __init__(self, door: BuiltDoor, data: Json, chance: random.Random) -> None:
        super().__init__(door, data, 0, chance)
        self.history.procedures = dict.fromkeys(self.history.procedures, LIFTING)
        self.lifts = {
            panel.letter: [5 * SIXTEENTH + chance.randint(-8, 8) * SIXTYFOURTH for _ in "LR"]
            for panel in door.drawing.panels
        }

    def lift_at(self, letter: str, side: str) -> int:
        """Return how far a stile is lifted: both carriages turn the panel about each other."""
        a, b = self.door.axles(letter)
        panel = self.door.drawing.panel(letter)
        x = panel.left if side == "left" else panel.right
        left, right = self.lifts[letter]
        return left + round((right - left) * (x - a) / (b - a))

    def read_hung(self) -> None:
        self.read_purposes(*HUNG_PURPOSES, "left-jamb", "right-jamb")
        state = self.state()
        point = state.point(LIFTED)
        for place in state.places(LIFTED, ""):
            up = self.door.clearance(place.panel, place.side)
            up += self.lift_at(place.panel, place.side)
            value = round(up / self.door.grain) * self.door.grain
            body = {
                "point": point["id"], "panel": "", "place": place.id, "text": "as it is",
                "quantity": "length", "value": str(value), "units": "in", "how": "plain",
            }  # fmt: skip
            self.history.enter("reading.taken", body)

    def verdicts(self) -> tuple[str, str]:
        state = self.state()
        found = [judge.result_of(state, state.check(id_), "").verdict for id_ in (CLOSES, LIFTS)]
        return found[0], found[1]

    def follow(self, words: Json) -> None:
        """Do what one remedy of the lift says."""
        letter, text = words.params["letter"], words.template
        size = words.params["size"].nm  # a panel that leans too much has none: that fails here
        if "carriage lifts" in text:
            self.lifts[letter][0 if "LEFT" in text else 1] += size
        elif "too little" in text or "too much" in text:
            by = size if "too little" in text else -size
            self.lifts[letter] = [lift + by for lift in self.lifts[letter]]
        else:
            assert "Raise both carriages" in text
            self.door.rollers[letter] = [at + size for at in self.door.rollers[letter]]


def bad_door(seed: int) -> LiftingCrew:
    chance = random.Random(seed)
    door, _ = framed_door(chance, 0.5)
    data = drawing_data(*SHAPES[seed % len(SHAPES)])
    data["door"] = "lift-and-slide"
    data["lengths"].update({name: str(nm) for name, nm in DRAWN.items()})
    tracks = dict.fromkeys(range(1, 4), door.tracks[1])
    built = BuiltDoor(Drawing(data), tracks, door.head, door.jambs)
    for letter, ends in built.rollers.items():
        built.rollers[letter] = [at + chance.randint(-8, 8) * SIXTYFOURTH for at in ends]
    return LiftingCrew(built, data, chance)


def test_outlook_says_which_keeps_are_shimmed() -> None:
    """The lock's gap tapers: the higher point's keep takes more, by its height."""
    from app.core.pages.outlook import outlook_section
    from app.core.pages.request import Request
    from tests.core.book import Book

    door = bad_door(0).door  # XO, lock left
    door.rollers["A"] = [3 * IN // 8, 3 * IN // 8 - 3 * SIXTYFOURTH]
    data = {**door.drawing.data, "locks": [str(10 * IN), str(80 * IN)]}
    crew = LiftingCrew(door, data, random.Random(0))
    crew.read_purposes(*FRAME_PURPOSES)
    crew.read_hung()
    request = Request(Book().request("GET", "/field/o/o1"))
    section = outlook_section(request, crew.state(), HUNG)
    said = [text for text in section["why"] if "its keep takes" in text]
    assert len(said) == 1
    assert said[0].startswith("Locking point")


@pytest.mark.parametrize("seed", range(DOORS))
def test_following_the_book_ends_with_every_check_within(seed: int) -> None:
    crew = bad_door(seed)
    crew.read_purposes(*FRAME_PURPOSES)
    ahead = outlook(judge.door_at(crew.state(), FRAME).door, 0.0)
    assert ahead.answer == CAN or ahead.plan.within
    crew.read_hung()
    for _ in range(ROUNDS):
        closes, lifts = crew.verdicts()
        if (closes, lifts) == ("within", "within"):
            break
        state = crew.state()
        if closes == "out":
            crew.move(outlook(judge.door_at(state, HUNG).door))
        else:
            for words in judge.result_of(state, state.check(LIFTS), "").outcome.remedies:
                crew.follow(words)
        crew.read_hung()
        if closes == "within":  # what frees a gasket, or evens a lift, leaves the reveal alone
            assert crew.verdicts()[0] == "within"
    assert crew.verdicts() == ("within", "within")
