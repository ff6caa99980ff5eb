"""When the office received what was recorded, beside the times that the devices' clocks claim.

A claimed time orders nothing and proves nothing. Where it can be seen to be odd (later than the
entry was received, earlier than what its own device had entered before), the record says so; and
so it does where a reading came in on another day than it claims.
"""

from datetime import UTC, datetime, timedelta

from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Request
from app.core.quantity.messages import Msg
from app.core.record.events import is_of_visit, is_time
from app.core.record.state import State, Step

SLACK = timedelta(minutes=5)  # two clocks that are right may differ by so much


class Receipts:
    """What is known of when entries came in. received: entry's id -> ISO 8601 time; may be {}."""

    def __init__(self, request: Request, state: State, received: dict[str, str]) -> None:
        self.request = request
        self.received = received
        self.back = _gone_back(state.ledger.events)

    def of(self, event: Json) -> str:
        """Return "received by the office 10 Mar 2026, 10:36"; "" where it is not known."""
        at = self._local(event)
        if at is None:
            return ""
        words = Msg("received by the office {when}", when=self._when(at))
        return self.request.say(words)

    def at(self, event: Json) -> str:
        """Return when an entry came in, by the hours of the place that it claims to be from."""
        at = self._local(event)
        return at.isoformat(timespec="minutes") if at is not None else ""

    def remark(self, event: Json) -> str:
        """Return what is to be said of a reading's times; "" where there is nothing odd."""
        return "; ".join(self.remarks(event))

    def remarks(self, event: Json) -> list[str]:
        """Return what is odd about a reading's times, a sentence each."""
        return [self.request.say(words) for words in self._remarks(event)]

    def _remarks(self, event: Json) -> list[Msg]:
        out = []
        claimed, at = _time(event["at"]), self._local(event)
        if claimed is not None and at is not None and at < claimed - SLACK:
            words = Msg(
                "clock in doubt: received {when}, before the time that it claims",
                when=self._when(at),
            )
            out.append(words)
        elif claimed is not None and at is not None and at.date() != claimed.date():
            out.append(Msg("received {when}", when=self._when(at)))
        if event["id"] in self.back:
            out.append(CLOCK_BACK)
        return out

    def in_doubt(self, event: Json) -> bool:
        """Return whether the time that an entry claims cannot be right."""
        claimed, at = _time(event["at"]), self._local(event)
        early = claimed is not None and at is not None and at < claimed - SLACK
        return early or event["id"] in self.back

    def times(self, events: list[Json]) -> Json | None:
        """Return from when to when entries claim to be, and when they came in; None for none.

        {"first", "last": as claimed, "received": [first, last], or [] where it is not known}
        """
        if not events:
            return None
        claims = sorted(event["at"] for event in events)
        came = sorted(at for at in map(self._local, events) if at is not None)
        ends = [at.isoformat(timespec="minutes") for at in (came[0], came[-1])] if came else []
        return {"first": claims[0], "last": claims[-1], "received": ends}

    def _local(self, event: Json) -> datetime | None:
        """Return when an entry came in, by the hours of the place that it claims to be from."""
        at, claimed = _time(self.received.get(event["id"], "")), _time(event["at"])
        return at.astimezone(claimed.tzinfo if claimed is not None else UTC) if at else None

    def _when(self, at: datetime) -> str:
        return common.time_words(self.request, at.isoformat(timespec="minutes"))


CLOCK_BACK = Msg("clock in doubt: it claims a time before an entry that it follows")


def _time(text: str) -> datetime | None:
    """Return a time that has its place's offset; None for anything else."""
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        return None
    return found if found.tzinfo is not None and is_time(text) else None


def _gone_back(events: list[Json]) -> set[str]:
    """Return the entries that claim a time before one that their own device had entered."""
    latest: dict[str, datetime] = {}
    out = set()
    for event in events:
        at = _time(event["at"])
        if at is None:
            continue
        before = latest.get(event["device"])
        if before is not None and at < before - SLACK:
            out.add(event["id"])
        latest[event["device"]] = max(at, before) if before is not None else at
    return out


def of_step(state: State, step: Step) -> list[Json]:
    """Return what was entered for a step, causes first."""
    points = {
        point["id"]: state.panel_for(point["id"], step.panel) for point in step.data["points"]
    }
    return [
        event
        for event in state.ledger.events
        if state.ledger.is_shown(event)
        and not is_of_visit(event)
        and (
            event["body"].get("step") == step.key
            or points.get(event["body"].get("point", ""), "-") == event["body"].get("panel")
        )
    ]
