"""The check of the weather for sealing: surface against dew point, humidity, the product."""

from app.core.checks.base import Ask, Outcome, Spec, not_measured
from app.core.checks.compare import verdict_reached
from app.core.checks.rows import no_figure
from app.core.trade import dew
from app.core.trade.verdicts import WITHIN

# surface: one place or more, the coldest counts against the dew point. air, humidity: the
# dampest counts. margin: by how much the surface is over the dew point, at least.
# surface_least, surface_most: the product's own, as a rule from the drawing.
DEW_WINDOW_SPEC = Spec(
    {"surface": "temperature", "air": "temperature", "humidity": "fraction"},
    {
        "margin": "temperature-difference",
        "humidity_most": "fraction",
        "surface_least": "temperature",
        "surface_most": "temperature",
    },
    optional=("humidity_most", "surface_least", "surface_most"),
)
INPUTS = ("surface", "air", "humidity")


def dew_window(ask: Ask) -> Outcome:
    """Return whether the joint may be sealed by temperature and humidity.

    Errors: Silent where the drawing leaves a limit open; InputError of dew_point_taken.
    Source: dew point by WMO No. 8, see trade/dew.py; the limits have the basis of the check.
    """
    left = not_measured(ask, *INPUTS)
    if left:
        return left
    found = {input: [value for _, value in ask.series(input)] for input in INPUTS}
    if not all(found[input] for input in INPUTS):
        return no_figure(ask)
    return _judge_window(ask, found["surface"], max(found["air"]), max(found["humidity"]))


def _judge_window(ask: Ask, surfaces: "list[int]", air: int, humidity: int) -> Outcome:
    limits = dew.Limits(
        ask.limit("margin"),
        _given_limit(ask, "humidity_most"),
        _given_limit(ask, "surface_least"),
        _given_limit(ask, "surface_most"),
    )
    found = dew.sealing_window(min(surfaces), air, humidity, limits, max(surfaces))
    point = dew.dew_point_taken(air, humidity)[0]
    margin = min(surfaces) - point
    decides = found.verdict == WITHIN or margin < limits.margin  # or the air or the surface does
    return Outcome(
        verdict_reached(found.verdict, ask, *INPUTS),
        found.says + found.cautions[1:],
        found.remedies,
        value=margin if decides else None,
        low=limits.margin if decides else None,
        over=max(0, limits.margin - margin),
        quantity="temperature-difference",
    )


def _given_limit(ask: Ask, name: str) -> "int | None":
    return ask.limit(name) if name in ask.limits else None
