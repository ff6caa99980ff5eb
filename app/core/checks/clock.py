"""The time between two acts: at least so long (a flood, a cure), or at most (a skin time)."""

from app.core.checks.base import Ask, Outcome, Spec
from app.core.checks.decide import amount_beyond, verdict_of
from app.core.checks.rows import given_limits
from app.core.quantity.messages import Msg, Qty
from app.core.trade.verdicts import CLOSE, OUT, WITHIN

TIME_BETWEEN_SPEC = Spec(
    {"start": "any", "end": "any", "time": "duration", "typed": "duration"},
    {"least": "duration", "most": "duration"},
    {"remedy": "text"},
    optional=("start", "end", "time", "typed", "least", "most", "remedy"),
    readings=1,
    judged=("end",),
)


def time_between(ask: Ask) -> Outcome:
    """Judge the time from the input "start" to the input "end", moments in milliseconds.

    Clocks claim these times. errors["end"]: by how much one of them was seen to be set back
    meanwhile; 0 where none was. A clock that was set back may have run longer than it says, and an
    end before its start is no time: neither is ever within.
    Errors:  Silent where the drawing gives no time.
    Example: start 0, end 900000, least 900000 (15 min): within; end 899999: out.
    """
    least, most = given_limits(ask)
    value = ask.series("end")[0][1] - ask.series("start")[0][1]
    error = ask.errors.get("end", 0)
    verdict = verdict_of(value, least, most, error)
    if value < 0 or (error and most is not None and verdict == WITHIN):
        verdict = CLOSE
    says, remedies = _words(ask, verdict, value, least, most)
    over = amount_beyond(value, least, most) if verdict == OUT else 0
    return Outcome(verdict, says, remedies, value, least, most, over, "duration")


def _words(
    ask: Ask, verdict: str, value: int, least: "int | None", most: "int | None"
) -> "tuple[list[Msg], list[Msg]]":
    if verdict == CLOSE:
        says = Msg("Clock in doubt: a phone’s clock was set back meanwhile.")
        return [says], [Msg("Run it again, or ask the office.")]
    time, over = Qty("duration", value), Qty("duration", amount_beyond(value, least, most))
    if most is None:
        limit = Qty("duration", least or 0)
        if verdict == WITHIN:
            return [Msg("{time}, at least {limit}.", time=time, limit=limit)], []
        words = Msg(
            "{time}: {over} too short, at least {limit}.", time=time, over=over, limit=limit
        )
    else:
        limit = Qty("duration", most)
        if verdict == WITHIN:
            return [Msg("{time}, at most {limit}.", time=time, limit=limit)], []
        words = Msg("{time}: {over} too long, at most {limit}.", time=time, over=over, limit=limit)
    given = ask.settings.get("remedy")
    return [words], [Msg(str(given), over=over) if given else Msg("Run it again.")]
