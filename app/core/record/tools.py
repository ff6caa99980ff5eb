"""Instruments in an opening's log: their daily checks, and the readings that one throws doubt on.

Instruments belong to the company; the log of an opening names those that were used there
(instrument.named) and carries their checks (instrument.checked), so that an opening can be judged
from its own entries alone. A reading names the instrument it was taken with, by id.

A failed check throws doubt on the readings that were taken with the instrument since it last
passed. "Since" goes by what an entry had seen, and by the order in which one device wrote, never by
a clock. A reading is clear of a failed check where the instrument passed

* between: a check that came after the reading and not after the failed one, or
* afterwards: a check that came after the failed one, and before the reading.

A check that the office relays (somebody made it who did not have this opening) was made at a time
that this log cannot tell: it never clears what came before it. A reading that came from paper is
entered later than it was measured: the time that its author wrote down must not be before the
check. In doubt a reading is measured again.
"""

from app.core.errors import AppError
from app.core.kinds import Any, Json
from app.core.order import sort_by
from app.core.quantity.messages import Msg
from app.core.record import events as ev
from app.core.trade import toolcheck
from app.core.trade.finding import Finding
from app.core.trade.instruments import MeasuringInstrument, named_instrument
from app.core.trade.verdicts import OUT, WITHIN

# way of checking -> how many readings it takes
WAYS = {"turned": 2, "half-turn": 2, "two-peg": 4, "compared": 2, "known": 2}
# sort of instrument -> the ways to check it, the usual one first
WAYS_OF = {
    "level": ("turned",),
    "laser": ("two-peg", "half-turn"),
    "laser-rotating": ("two-peg", "half-turn"),
    "tape": ("compared", "known"),
    "rule": ("known",),
    "gauge": ("known",),
    "water-level": ("known",),
    "feeler": ("known",),
}


class Tool:
    """An instrument as an opening's log knows it.

    id, name; facts: the body that told of it last (sort, resolution, grade, slope);
    checks: its check entries that are not struck, causes first.
    """

    def __init__(self, id: str, facts: Json, checks: "list[Json]") -> None:
        self.id = id
        self.name: str = facts["name"]
        self.facts = facts
        self.checks = checks
        self.failed = [check for check in checks if not check_passed(check)]
        self.passed = [check for check in checks if check_passed(check)]

    @property
    def last(self) -> "Json | None":
        """Return the entry of the last check, or None."""
        return self.checks[-1] if self.checks else None

    @property
    def good(self) -> bool:
        """Return whether the last check was passed; of two that did not see each other, both."""
        newest = [
            one for one in self.checks
            if not any([came_after(other, one) for other in self.checks if other is not one])
        ]  # fmt: skip
        return bool(newest) and all([check_passed(one) for one in newest])


def tools_of(ledger: Any) -> "list[Tool]":
    """Return the instruments that a ledger names, in order of their ids."""
    told: dict[str, Json] = {}
    checks: dict[str, list[Json]] = {}
    for event in ledger.of_kind("instrument.checked"):
        told[event["body"]["instrument"]] = event["body"]
        checks.setdefault(event["body"]["instrument"], []).append(event)
    for event in ledger.of_kind("instrument.named"):
        told[event["body"]["instrument"]] = event["body"]
    ids = sort_by([id for id in told], lambda id: id)
    return [Tool(id, told[id], checks.get(id, [])) for id in ids]


def instrument_of(facts: Json) -> "MeasuringInstrument | None":
    """Return an instrument of the core for what the log tells; None where that cannot be."""
    try:
        return named_instrument(
            facts["sort"], facts["name"], int(facts["resolution"]), facts["grade"],
            int(facts["slope"]),
        )  # fmt: skip
    except AppError:
        return None


def check_passed(check: Json) -> bool:
    """Return whether a check entry shows its instrument within its own limit."""
    return check_finding(check["body"]).verdict == WITHIN


def check_finding(body: Json) -> Finding:
    """Return what a check found, worked out again from its readings.

    body: as in events.py, with the instrument's facts.
    """
    tool = instrument_of(body)
    fits = tool is not None and WAYS.get(body["way"]) == len(body["values"])
    if tool is None or not fits or body["way"] not in WAYS_OF.get(body["sort"], ()):
        return Finding(OUT, [Msg("This check does not fit the instrument.")])
    try:
        values = [int(value) for value in body["values"]]
        return _judge_tool(body["way"], values, int(body["length"]), tool, body["other"])
    except AppError as error:
        return Finding(OUT, [error.message])


def _judge_tool(
    way: str, values: "list[int]", length: int, tool: MeasuringInstrument, other: str
) -> Finding:
    if way == "turned":
        return toolcheck.judge_level(values[0], values[1], length, tool)
    if way == "half-turn":
        return toolcheck.judge_laser(values[0], values[1], length, tool)
    if way == "two-peg":
        return toolcheck.judge_pegs(values, length, tool)
    if way == "compared":
        return toolcheck.judge_tapes(values[0], values[1], (tool.grade, other))
    return toolcheck.judge_known(values[0], values[1], tool)


def time_of(check: Json) -> str:
    """Return when a check was made, as its maker's clock claims; a relayed one says so itself."""
    return str(check["body"].get("at") or check["at"])


def doubted_by(tool: Tool, reading: Json) -> "Json | None":
    """Return the failed check that throws doubt on a reading taken with a tool, or None."""
    for failed in tool.failed:
        if not any([_clears_doubt(good, failed, reading) for good in tool.passed]):
            return failed
    return None


def _clears_doubt(good: Json, failed: Json, reading: Json) -> bool:
    if came_after(good, failed):
        return came_after(reading, good) and not _measured_before(reading, good)
    return came_after(good, reading) and not good["body"].get("relayed")


def came_after(later: Json, earlier: Json) -> bool:
    """Return whether an entry came after another: it had seen it, or its device wrote it later."""
    same = later["device"] == earlier["device"]
    return ev.has_seen(later, earlier) or bool(same and later["n"] > earlier["n"])


def _measured_before(reading: Json, check: Json) -> bool:
    """Return whether a reading says of itself that it was measured before a check."""
    claimed: str = reading["body"].get("measured_at", "")
    return claimed != "" and claimed[:16] < time_of(check)[:16]
