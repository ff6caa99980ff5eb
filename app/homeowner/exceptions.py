"""What is not within its limits, not known or still open: in plain words, with who decided.

    {"label": what kind it is, "text": what it is about, "lines": [{"label", "words", "typed"}]}

typed: whether a person wrote the words.
"""

from app.core.kinds import Json
from app.core.pages import common
from app.core.quantity.messages import Msg
from app.core.where.places import FULL
from app.homeowner import figures, first_page
from app.homeowner.wording import Teller, event_like


def of_record(teller: Teller, known: Json) -> list[Json]:
    """Return every exception of a record, what was conceded first."""
    checks = [(step, check) for step in known["steps"] for check in step["checks"]]
    out = [_conceded(teller, step, check) for step, check in checks if check.get("conceded")]
    out += [_spoken(teller, step, check) for step, check in checks if "provisional" in check]
    out += [_undecided(teller, step, check) for step, check in checks if _is_undecided(check)]
    for step in known["steps"]:
        out += _unreached(teller, known, step)
        out += _unsigned(teller, step)
    for query in known["queries"]:
        if query["answer"] is None:
            asked = _line(teller, Msg("Asked by"), common.who_when(teller, event_like(query)))
            words = _line(teller, Msg("Question"), query["words"], typed=True)
            out.append(
                _item(teller, Msg("Open"), Msg("A query has no answer yet."), [words, asked])
            )
    return out + _not_asked(teller, known["depth"])


def _item(teller: Teller, label: Msg, text: object, lines: list[Json]) -> Json:
    return {
        "label": teller.say(label),
        "text": teller.say(text),
        "lines": [line for line in lines if line["words"]],
    }


def _line(teller: Teller, label: Msg, words: object, typed: bool = False) -> Json:
    return {"label": teller.say(label), "words": teller.say(words), "typed": typed}


def _named(step: Json, check: Json) -> Msg:
    return Msg("{check} (step {step})", check=check["title"], step=step["key"])


def _measured(teller: Teller, check: Json) -> list[Json]:
    return [
        _line(teller, Msg("Measured"), figures.figure_text(teller, check)),
        _line(teller, Msg("Allowed"), figures.allowed_text(teller, check)),
    ]


def _conceded(teller: Teller, step: Json, check: Json) -> Json:
    given = check["conceded"]
    return _item(
        teller,
        Msg("Left as it is"),
        _named(step, check),
        [
            *_measured(teller, check),
            _line(teller, Msg("Decided by"), common.who_when(teller, event_like(given))),
            _line(teller, Msg("Why"), given["reason"], typed=True),
            _line(teller, Msg("Answer of the drawing's author"), given["answer"], typed=True),
        ],
    )


def _spoken(teller: Teller, step: Json, check: Json) -> Json:
    said = [_line(teller, Msg("Decided by"), check["provisional"])]
    lines = [*_measured(teller, check), *said]
    return _item(teller, Msg("Left as it is, by word of mouth"), _named(step, check), lines)


def _is_undecided(check: Json) -> bool:
    is_left = "conceded" in check or "provisional" in check
    return not is_left and check["verdict"] not in ("within", "unreachable")


def _undecided(teller: Teller, step: Json, check: Json) -> Json:
    lines = _measured(teller, check)
    lines.append(
        _line(teller, Msg("Found"), " ".join(teller.say(words) for words in check["says"]))
    )
    word = Msg(common.VERDICT_WORDS[check["verdict"]].template)
    return _item(teller, word, _named(step, check), lines)


def _unreached(teller: Teller, known: Json, step: Json) -> list[Json]:
    """Return the places that could not be reached, each with why and who said so."""
    return [
        _item(
            teller,
            Msg("Not reached"),
            Msg(
                "{point}, {place}",
                point=known["points"][reading["point"]]["title"],
                place=reading["where"],
            ),
            [
                _line(teller, Msg("Why"), reading.get("words", ""), typed=True),
                _line(teller, Msg("Said by"), common.who_when(teller, event_like(reading))),
            ],
        )
        for reading in step["readings"]
        if reading["entry"] in step["out_of_reach"]
    ]


def _unsigned(teller: Teller, step: Json) -> list[Json]:
    """Return what is wrong with a step's sign-off, or that there is none."""
    named = Msg("{step} {title}", step=step["key"], title=step["title"])
    sign = step["sign"]
    if sign is None:
        return [_item(teller, Msg("Open"), Msg("{step}: not signed", step=named), [])]
    out = [
        _item(teller, Msg("Open"), Msg("{step}: {why}", step=named, why=words), [])
        for words in sign["why"]
    ]
    anew = sign.get("anew")
    if anew is not None:
        who = _line(teller, Msg("Decided by"), common.who_when(teller, event_like(anew)))
        why = _line(teller, Msg("Why"), anew["words"], typed=True)
        words = Msg("{step}: the office judged its sign-off anew", step=named)
        out.append(_item(teller, Msg("Judged anew"), words, [who, why]))
    return out


def _not_asked(teller: Teller, depth: Json) -> list[Json]:
    """Return in one item what the depth left out; [] where all was asked."""
    counts = first_page.left_out_counts(depth)
    if depth["depth"] == FULL or counts is None:
        return []
    words = Msg("The door was measured at short depth, which leaves out {counts}.", counts=counts)
    return [_item(teller, Msg("Not asked"), words, [])]
