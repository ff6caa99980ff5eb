"""What a crew would type at a door that stands as drawn, place by place.

The value comes from the drawing by the plain geometry of tests/procedures/perfect_door.py;
here it is rounded to what a tape shows and written the several ways people write.
"""

from dataclasses import dataclass

from app.core.kinds import Json
from app.core.quantity.speaker import Speaker
from app.core.record.state import State
from app.core.trade.drawing import Drawing
from app.core.where.place import Place
from tests.procedures.demo_book import Book, openings
from tests.procedures.perfect_door import AGO, IN, value

GRAIN = IN // 32  # a rule's finest line
# quantity -> base units in one of what a bare number means to who reads inches; how it is written
UNITS = {
    "fraction": (10_000, " %"),
    "force": (44_482_216_152_605_000, ""),  # lbf
    "mass": (45_359_237_000, " lb"),
    "duration": (60_000, " min"),
    "count": (1, ""),
}
# Where "as drawn" says nothing: believable sizes, alike at every place.
BELIEVABLE = {
    "flood-level": IN,
    "sill-string": 2 * IN,
    "trial-turn": IN // 16,
    "closing-gap": 3 * IN // 16,
    "interlock-gaps": IN // 8,
    "meeting-gap": IN // 8,
    "fixed-reveals": IN // 4,
    "as-left-gap": 3 * IN // 16,
    "as-left-clearance": 3 * IN // 8,
}


def demo_state(opening: str, depth: str = "") -> State:
    """Return an opening of the demo as the office issued it, or at another depth."""
    for found in openings():
        if found["id"] == opening:
            return Book({**found, "depth": depth} if depth else found).state
    raise KeyError(opening)


@dataclass(frozen=True)
class Spot:
    """One place to be measured: its words on the page, and what is typed or tapped there.

    answer: what a tapped button sends, where there is one. ago: minutes since it was measured.
    sure: it is asked back, as entries made one after the other contradict the time that was typed.
    """

    id: str
    words: str
    text: str
    answer: str = ""
    ago: int = 0
    sure: bool = False

    @property
    def typed(self) -> str:
        """What the record shows as typed."""
        return self.answer or self.text


def spots(state: State, point: str, panel: str) -> list[Spot]:
    """Return the places of a point in their order, as an installer who reads inches meets them."""
    asked = state.point(point)
    speaker = Speaker(units="in")
    return [
        Spot(
            place.id,
            speaker.say(place.title),
            text_at(asked, place, state.drawing, number),
            _answer(asked),
            AGO.get((point, place.id), 0),
            (point, place.id) == ("flood-level", "end"),
        )
        for number, place in enumerate(state.places(point, state.panel_for(point, panel)))
    ]


def _answer(point: Json) -> str:
    if point["quantity"] == "yes-no":
        return "yes"
    return str(point["choices"][0]["id"]) if point["quantity"] == "choice" else ""


def text_at(point: Json, place: Place, drawing: Drawing, number: int = 0) -> str:
    """Return what is typed at a place; number chooses one of the ways to write a length."""
    if point["quantity"] == "yes-no":
        return "Yes"
    if point["quantity"] == "choice":
        return str(point["choices"][0]["text"])
    if point["quantity"] == "text":
        return f"as read, {point['id']} {number}"
    if point["quantity"] == "temperature":
        return "68"  # °F
    size = BELIEVABLE.get(point["id"]) or value(point, place, drawing)
    if point["quantity"] == "length":
        return length(size, number)
    panel, name = UNITS[point["quantity"]]
    return f"{(size + panel // 2) // panel}{name}"


def length(size: int, number: int = 0) -> str:
    """Return a length to the nearest 1/32 in, written as number says: 91-1/2, 91 1/2, 7' 7 1/2".

    Example: length(2_324_100_000) -> '91-1/2'
    """
    grains = (size + GRAIN // 2) // GRAIN
    whole, part = divmod(grains, 32)
    fraction = _fraction(part)
    if number % 4 == 3 and whole >= 12:
        feet, inches = divmod(whole, 12)
        return f"{feet}' {_joined(inches, fraction, ' ')}\""
    return _joined(whole, fraction, "- - "[number % 4])


def _fraction(part: int) -> str:
    bottom = 32
    while part and part % 2 == 0:
        part, bottom = part // 2, bottom // 2
    return f"{part}/{bottom}" if part else ""


def _joined(whole: int, fraction: str, between: str) -> str:
    if not fraction:
        return str(whole)
    return f"{whole}{between}{fraction}" if whole else fraction
