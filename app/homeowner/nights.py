"""What was read again after a night, beside what was signed: facts, and the table of them.

[{"where": words, "signed", "again", "most": nanometres as text, "at": when it was read again}]
"""

from app.core.kinds import Json
from app.core.quantity.messages import Len, Msg, When
from app.core.record.nights import Repeat, repeats_read
from app.core.record.state import State
from app.homeowner.wording import Teller, as_json


def night_facts(state: State) -> list[Json]:
    """Return the facts of every place that was read again, the last time that it was."""
    return [
        {
            "where": as_json(_where(state, repeat)),
            "signed": str(repeat.known.value or 0),
            "again": str((repeat.known.value or 0) + repeat.change),
            "most": str(repeat.night["most"]["value"]),
            "at": repeat.again["at"],
        }
        for repeat in repeats_read(state)
        if repeat.again is not None
    ]


def _where(state: State, repeat: Repeat) -> Msg:
    title = Msg(state.point(repeat.point)["title"])
    return Msg("{point}, {place}", point=title, place=repeat.place.title)


def table(teller: Teller, facts: list[Json]) -> Json | None:
    """Return the table of the facts; None where there are none."""
    if not facts:
        return None
    heads = (Msg("Place"), Msg("When signed"), Msg("Read again"))
    return {
        "title": teller.say(Msg("Read again after a night, before work went on")),
        "heads": [teller.say(words) for words in heads],
        "rows": [_row(teller, fact) for fact in facts],
    }


def _row(teller: Teller, fact: Json) -> list[str]:
    signed, again, most = (int(fact[name]) for name in ("signed", "again", "most"))
    size, day = Len(again), When(fact["at"][:10])
    said = Msg("{size} on {day}: it stands", size=size, day=day)
    if abs(again - signed) > most:
        words = Msg("{size} on {day}: it moved by more than {most}").template
        said = Msg(words, size=size, day=day, most=Len(most))
    return [teller.say(fact["where"]), teller.say(Len(signed)), teller.say(said)]
