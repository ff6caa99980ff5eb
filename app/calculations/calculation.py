"""One calculation: what it takes, what it gives, its source, and how it is run."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from app.calculations import limits, reading, shown
from app.calculations.fields import Field
from app.core.checks.base import Outcome
from app.core.trade.finding import INFORMATION, Finding
from app.core.words import Msg, Speaker


@dataclass
class Answer:
    """What was found: results by name, a verdict, and sentences."""

    results: dict[str, Any] = field(default_factory=dict)
    verdict: str = INFORMATION
    says: list[Msg] = field(default_factory=list)
    remedies: list[Msg] = field(default_factory=list)
    cautions: list[Msg] = field(default_factory=list)


@dataclass(frozen=True)
class Calculation:
    """An entry of the registry.

    functions: the functions of the core that do the work. results: what is in the answer
    beside verdict, says, remedies and cautions. A limit is an input whose basis is said.
    """

    name: str
    title: str
    functions: tuple[str, ...]
    inputs: tuple[Field, ...]
    results: tuple[Field, ...]
    source: str
    run: Callable[[dict[str, Any]], Answer]
    limits: tuple[Field, ...] = ()

    def answer(self, data: dict[str, Any]) -> dict[str, Any]:
        """Return the answer to a request, both as JSON.

        Errors: InputError for anything that cannot be read or worked out.
        """
        units = reading.units_of(data)
        given = reading.read(self.inputs + self.limits, data, units)
        limits.in_order(given)
        given["units"] = units
        found = self.run(given)
        speaker = Speaker(units=units)
        return {
            "calculation": self.name,
            "units": units,
            "verdict": found.verdict,
            "results": shown.results(self.results, found.results, speaker),
            "says": [speaker.say(one) for one in found.says],
            "remedies": [speaker.say(one) for one in found.remedies],
            "cautions": [speaker.say(one) for one in found.cautions],
        }


def of_outcome(found: Outcome, **results: Any) -> Answer:
    """Return what a check found as an answer; its own figures are results too."""
    own = {"value": found.value, "over": found.over}
    return Answer({**own, **results}, found.verdict, found.says, found.remedies)


def of_finding(found: Finding, **results: Any) -> Answer:
    """Return what a calculation of the trade found as an answer."""
    return Answer(results, found.verdict, found.says, found.remedies, found.cautions)
