"""The figure that decided a check, what it was held against; which of several is worst."""

from app.core.kinds import Json
from app.core.pages.request import amount_of
from app.core.quantity.messages import Msg
from app.homeowner.wording import Teller

# the worse first
SEVERITY = ("conflict", "out", "left", "close", "missing", "unreachable", "within")


def figure_text(teller: Teller, check: Json) -> str:
    """Return the figure that decided, in the reader's units; "" where there is none."""
    figure = check.get("figure", {})
    return _amount_text(teller, figure["quantity"], figure["value"]) if "value" in figure else ""


def allowed_text(teller: Teller, check: Json) -> str:
    """Return what the figure was held against: "at most 1/8 in"; "" where there is nothing."""
    figure = check.get("figure", {})
    low, high = (
        _amount_text(teller, figure["quantity"], figure[end]) if end in figure else ""
        for end in ("low", "high")
    )
    if low == high:
        return low
    if not high:
        is_answer = figure["quantity"] == "yes-no"
        return low if is_answer else teller.say(Msg("{least} or more", least=low))
    if not low:
        return teller.say(Msg("{most} or less", most=high))
    return teller.say(Msg("{least} to {most}", least=low, most=high))


def _amount_text(teller: Teller, quantity: str, value: str) -> str:
    if quantity == "yes-no":
        return teller.say(Msg("yes") if value == "1" else Msg("no"))
    return teller.say(amount_of(quantity, int(value)))


def worst_of(checks: list[Json]) -> Json:
    """Return the check that is worst: by verdict, then by how much of its limit is used.

    Of two that are as bad, the later: it says how the door was left.
    """
    return max(enumerate(checks), key=lambda pair: (_rank(pair[1]), pair[0]))[1]


def _rank(check: Json) -> tuple[int, float]:
    is_left = "conceded" in check or "provisional" in check
    kind = "left" if is_left else check["verdict"]
    return -SEVERITY.index(kind), _used_share(check.get("figure", {}))


def _used_share(figure: Json) -> float:
    """Return how much of its limit a figure uses: 1 on the limit, more beyond it."""
    value, low, high = (
        int(figure[name]) if name in figure else None for name in ("value", "low", "high")
    )
    if value is None or (low is None and high is None) or figure["quantity"] == "yes-no":
        return 0.0
    if low is not None and high is not None:
        half = (high - low) / 2
        off = abs(value - (low + high) / 2)
        if half:
            return off / half
        return 1 + off if high or off else 0.0  # none drawn, none counted: nothing to look at
    if high is not None:
        return value / high if high else float(value > 0) + 1
    return (low or 0) / value if value > 0 else 1.0
