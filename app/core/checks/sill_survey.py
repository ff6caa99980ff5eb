"""What a check of the sill has before it: the surveyed stations, and the room under the head."""

from app.core.checks.base import Ask
from app.core.errors import InputError
from app.core.kinds import Any
from app.core.order import sort_by
from app.core.quantity.messages import Len, Msg
from app.core.trade.sill import highest_level, stack_rooms
from app.core.where.place import Place


class Survey:
    """The measured stations of one input, left to right, without the shot back to the first mark.

    missing: still to measure. gone: said to be out of reach.
    """

    def __init__(self, ask: Ask, input: str) -> None:
        self.input = input
        taken = sort_by(_stations_of(ask.series(input)), lambda pair: place_x(pair[0]))
        self.places: list[Place] = [place for place, _ in taken]
        self.heights: list[int] = [height for _, height in taken]
        self.xs: list[int] = [place_x(place) for place in self.places]
        gone = ask.unreachable.get(input, [])
        planned = [place for place in ask.places[input] if place.side != "closing"]
        self.gone: list[Place] = [place for place in planned if place.id in gone]
        done = ask.readings.get(input, {})
        left = [place for place in planned if place.id not in done and place.id not in gone]
        self.missing: list[Place] = left

    @property
    def line(self) -> "tuple[list[int], list[int]]":
        """Return positions and heights."""
        return self.xs, self.heights

    @property
    def complete(self) -> bool:
        """Return whether every planned station is measured or said to be out of reach."""
        return bool(self.places) and not self.missing


def _stations_of(series: "list[tuple[Place, int]]") -> "list[tuple[Place, int]]":
    return [pair for pair in series if pair[0].side != "closing"]


def place_x(place: Place) -> int:
    """Return a place's position; raises InputError 'station-nowhere' without one."""
    if place.x is None:
        raise InputError("station-nowhere", Msg("A station of a level line needs a position."))
    return place.x


class HeadRoom:
    """The room under the head, or why it is not known yet.

    top: the highest level that the packed sill may have; None where it is not known.
    why: the sentence that says what is missing; None where nothing is, and where the
    check was not given the opening heights at all.
    """

    def __init__(self, ask: Ask) -> None:
        self.top: int | None = None
        self.why: Msg | None = None
        self.heights: list[Any] = []
        self.asked = bool(ask.places.get("heights"))
        if self.asked:
            self._read(ask)

    def _read(self, ask: Ask) -> None:
        left = ask.missing("heights")
        if left:
            self.why = Msg(
                "First measure the opening heights: {places}. Shims eat the room under the head.",
                places=[place.title for place in left[:6]],
            )
            return
        if not ask.series("heights"):
            self.why = Msg(
                "No opening height could be reached: ask the office before it is shimmed."
            )
            return
        try:
            self.taken = ask.drawing.need("pan_thickness") + ask.drawing.need("bed_thickness")
            self.frame = ask.drawing.need("frame_height")
            self.gap = ask.drawing.need("head_gap_least")
        except InputError as error:
            self.why = error.message
            return
        self.heights = ask.series("heights")

    def look(self, survey: Survey) -> None:
        """Work out how high the packed sill may come, from the line it bears on."""
        if self.why is None and self.heights and survey.places:
            self.top = highest_level(survey.line, self.clears, self.taken + self.frame + self.gap)

    @property
    def clears(self) -> "list[tuple[int, int]]":
        """Return (position, clear height) of each opening height."""
        return [(place_x(place), clear) for place, clear in self.heights]

    def worst(self, survey: Survey, level: int) -> "tuple[Place, int, int]":
        """Return (place, clear height, room) where a sill brought to `level` leaves least room."""
        rooms = stack_rooms(survey.line, self.clears, level, self.taken)
        i = sort_by(list(range(len(rooms))), lambda i: rooms[i][1])[0]
        return self.heights[i][0], self.heights[i][1], rooms[i][1]

    def sums(self, survey: Survey, level: int, ask: Ask) -> "list[Msg]":
        """Return the sum made at the place with the least room, and what it leaves."""
        place, clear, room = self.worst(survey, level)
        packing = clear - self.taken - room
        shape = Msg(
            "{place}: opening {clear}, less shims {packing}, pan {pan} and bed {bed}, "
            "leaves {room} for the frame."
        )
        if packing < 0:
            shape = Msg(
                "{place}: opening {clear} and {packing} ground off, less pan {pan} and bed {bed}, "
                "leaves {room} for the frame."
            )
        made = Msg(
            shape.template,
            place=place.title,
            clear=Len(clear),
            packing=Len(abs(packing)),
            pan=Len(ask.drawing.need("pan_thickness")),
            bed=Len(ask.drawing.need("bed_thickness")),
            room=Len(room),
        )
        return [made, self._against(room)]

    def _against(self, room: int) -> Msg:
        spare = room - self.frame - self.gap
        words = {"frame": Len(self.frame), "gap": Len(self.gap), "size": Len(abs(spare))}
        if spare < 0:
            return Msg("The frame {frame} and the gap {gap} over it need {size} more.", **words)
        return Msg("The frame {frame} and the gap {gap} over it fit, {size} to spare.", **words)
