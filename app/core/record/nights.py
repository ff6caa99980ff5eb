"""After a night: a few places are read again before work goes on; what has moved is told.

The procedure names them (`nights`), and how far each may have moved. Only those whose step is
signed are asked, once a day, by the days that entries claim. They are read for information: such a
reading takes no other one's place, so that what was signed stands while they agree. A day is that
of a claimed time, as people read it.
"""

from app.core.kinds import Json
from app.core.record import gate
from app.core.record.events import has_seen
from app.core.record.state import Reading, State, Step
from app.core.where.place import Place

MOST_ASKED = 3  # of those that the procedure names the last: they tell soonest
AT = ("first", "middle", "last")  # which place of a point


class Repeat:
    """One place that counts as it was read, and the same place read once more.

    night: what the procedure says of it. again: None before it was read once more.
    """

    def __init__(
        self, night: Json, step: Step, place: Place, known: Reading, again: "Json | None"
    ) -> None:
        self.night = night
        self.step = step
        self.point: str = night["point"]
        self.place = place
        self.known = known
        self.again = again
        self.since = _day_of(known.event)

    @property
    def change(self) -> int:
        """Return how much more was read once more, nanometres; 0 before."""
        if self.again is None:
            return 0
        return int(self.again["body"]["value"]) - (self.known.value or 0)

    @property
    def has_moved(self) -> bool:
        """Return whether it differs by more than it may: on the limit it has not moved."""
        return abs(self.change) > int(self.night["most"]["value"])


def repeats_of_day(state: State, day: str) -> "list[Repeat]":
    """Return what is asked on a day ("2026-03-02"): signed, and read on an earlier day."""
    if state.visit is not None:
        return []
    every = [repeat for repeat in _repeats(state, day) if repeat.since < day]
    return every[-MOST_ASKED:]


def repeats_left(state: State, day: str) -> "list[Repeat]":
    """Return what of it was not read on that day yet."""
    return [repeat for repeat in repeats_of_day(state, day) if repeat.again is None]


def repeats_read(state: State) -> "list[Repeat]":
    """Return what was read once more, the last time that it was, on whatever day."""
    return [repeat for repeat in _repeats(state, "") if repeat.again is not None]


def repeats_moved(state: State) -> "list[Repeat]":
    """Return what had moved when it was last read once more."""
    return [repeat for repeat in repeats_read(state) if repeat.has_moved]


def _repeats(state: State, day: str) -> "list[Repeat]":
    """Return all that the procedure names, as far as it is signed and read. day: "" for any."""
    nights = state.procedure.get("nights", [])
    taken = state.ledger.of_kind("reading.taken") if nights else []
    looked = [event for event in taken if event["body"].get("info")]
    out: list[Repeat] = []
    for night in nights:
        step = state.step(state.step_of_point[night["point"]]["id"])
        sign = gate.sign_of(state, step)
        places = state.places(night["point"], "")
        if sign is None or not sign.good or not places:
            continue
        place = places[{"first": 0, "middle": len(places) // 2, "last": -1}[night["at"]]]
        live = state.readings(night["point"], "", place.id)
        if live and live[-1].reached:
            again = [
                event
                for event in looked
                if event["body"]["point"] == night["point"]
                and event["body"]["place"] == place.id
                and day in ("", _day_of(event))
                and has_seen(event, live[-1].event)
            ]
            out.append(Repeat(night, step, place, live[-1], again[-1] if again else None))
    return out


def _day_of(reading: Json) -> str:
    claimed: str = reading["body"].get("measured_at", "") or reading["at"]
    return claimed[:10]
