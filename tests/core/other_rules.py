"""Another version of the rules, while a test looks: stricter or laxer, check by check."""

from app.core.checks import index
from app.core.checks.base import Outcome
from app.core.kinds import Any, Callable
from app.core.record import rules
from app.core.trade import verdicts


class Rules:
    """Rules of another number; with a verdict, every check (or all of one calculation) says it."""

    def __init__(self, number: int, verdict: str = "", calc: str = "") -> None:
        self.number = number
        self.verdict = verdict
        self.calc = calc
        self.before = rules.RULES, index.load

    def __enter__(self) -> None:
        self.before = rules.RULES, index.load
        rules.RULES = self.number
        if self.verdict:
            index.load = self._load  # type: ignore[assignment]

    def __exit__(self, *_: Any) -> None:
        rules.RULES, index.load = self.before

    def _load(self, name: str) -> "tuple[Callable[..., Outcome], Any]":
        calculation, spec = self.before[1](name)
        if self.calc not in ("", name):
            return calculation, spec
        return (lambda ask: self._judged(calculation(ask))), spec

    def _judged(self, outcome: Outcome) -> Outcome:
        if outcome.verdict != verdicts.MISSING:
            outcome.verdict = self.verdict
        return outcome


def stricter() -> Rules:
    """Return rules under which everything measured is out."""
    return Rules(rules.RULES + 1, verdicts.OUT)


def laxer() -> Rules:
    """Return rules under which everything measured is within."""
    return Rules(rules.RULES + 1, verdicts.WITHIN)
