"""One calculation: what it takes, what it gives, its source, and how it is run."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from pydantic import BaseModel, ValidationError

from app.calculations import limits, reading, shown
from app.calculations.fields import Field
from app.calculations.models import RequestModel, answer_model, request_model
from app.core.checks.base import Outcome
from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.trade.finding import INFORMATION, Finding


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

    @cached_property
    def request(self) -> type[RequestModel]:
        """The model of what it is asked."""
        about = f"{self.title}. Source: {self.source}."
        return request_model(self.name, about, self.inputs + self.limits)

    @cached_property
    def response(self) -> type[BaseModel]:
        """The model of what it answers."""
        return answer_model(self.name, self.results)

    def answer(self, data: dict[str, Any]) -> dict[str, Any]:
        """Return the answer to a request, both as JSON.

        Errors: InputError for anything that cannot be read or worked out.
        """
        try:
            asked = self.request.model_validate(data)
        except ValidationError as error:
            raise self.refusal(error.errors()) from error
        return self.worked_out(asked)

    def refusal(self, errors: Sequence[Any]) -> InputError:
        """Return what pydantic refuses a request for, in our words."""
        return reading.refusal(errors, self.inputs + self.limits)

    def worked_out(self, asked: RequestModel) -> dict[str, Any]:
        """Return the answer to a request that was read, as JSON.

        Errors: InputError for what cannot be worked out.
        """
        given = asked.model_dump()
        limits.in_order(given)
        found = self.run(given)
        speaker = Speaker(units=asked.units)
        return {
            "calculation": self.name,
            "units": asked.units,
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
