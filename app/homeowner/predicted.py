"""What the door model predicted, beside what was measured: facts, and the table of them.

[{"where": words, "predicted", "spread", "measured": nanometres as text, "" before}]
"""

from app.core.kinds import Json
from app.core.quantity.messages import Len, Msg
from app.core.record.predicted import predicted_gaps
from app.core.record.state import State
from app.core.trade.door_model.words import fine
from app.homeowner.wording import Teller, as_json


def predicted_facts(state: State) -> list[Json]:
    """Return the facts of every gap; [] until one was measured."""
    gaps = predicted_gaps(state)
    if not any(gap.measured is not None for gap in gaps):
        return []
    return [
        {
            "where": as_json(gap.where),
            "predicted": str(gap.predicted),
            "spread": str(gap.spread),
            "measured": "" if gap.measured is None else str(gap.measured),
        }
        for gap in gaps
    ]


def table(teller: Teller, facts: list[Json]) -> Json | None:
    """Return the table of the facts; None where there are none."""
    if not facts:
        return None
    misses = [abs(int(f["measured"]) - int(f["predicted"])) for f in facts if f["measured"]]
    title = Msg("Taper of the gaps, predicted before hanging and measured after")
    heads = (Msg("Gap"), Msg("Predicted"), Msg("Measured"))
    return {
        "title": teller.say(title),
        "heads": [teller.say(words) for words in heads],
        "rows": [_row(teller, fact) for fact in facts],
        "note": teller.say(Msg("The prediction was off by {size} at most.", size=Len(max(misses)))),
    }


def _row(teller: Teller, fact: Json) -> list[str]:
    spread = fine(int(fact["spread"]))
    predicted = teller.say(
        Msg("{taper}, give or take {spread}", taper=taper(int(fact["predicted"])), spread=spread)
    )
    measured = teller.say(taper(int(fact["measured"]))) if fact["measured"] else "–"
    return [teller.say(fact["where"]), predicted, measured]


def taper(nm: int) -> Msg:
    """Return a taper in words."""
    if nm == 0:
        return Msg("even")
    if nm > 0:
        return Msg("{size} wider at top", size=fine(nm))
    return Msg("{size} wider at bottom", size=fine(-nm))
