"""How the limits of two versions differ: laxer, stricter, or not to be compared. Laxer comes first.

A change of what a check goes by counts as one of its limit: a setting, the calculation, the basis,
who may concede it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from app.core.checks.index import spec_of
from app.core.checks.limit_words import LIMIT_WORDS, limit_words
from app.core.kinds import Json
from app.core.pages.request import Request, amount_text
from app.core.quantity.messages import Len, Msg, Qty

LAXER, STRICTER, OTHER = "laxer", "stricter", "other"
LEANINGS = {LAXER: Msg("laxer"), OTHER: Msg("differs"), STRICTER: Msg("stricter")}
# By the names of their words: limits that are a least or an exact figure. All others are a most.
LEAST_FIGURES = ("least", "gap_least", "clearance_least", "surface_least", "margin", "free")
EXACT_FIGURES = ("count", "target")
_RANKS = ("supervisor", "author", "never")
RANK_WORDS = {
    "supervisor": Msg("a supervisor may concede it"),
    "author": Msg("conceded only with the written answer of the drawing's author"),
    "never": Msg("never conceded"),
}
_BASES = {"drawing": Msg("the shop drawing"), "product": Msg("the product's data sheet")}


@dataclass(frozen=True)
class LimitChange:
    """One change. where: step and check; basis: where the limit comes from now; reason: why."""

    leaning: str
    where: str
    words: Msg
    basis: Msg | str
    reason: str


def limit_changes(asked: Request, old: Json, new: Json) -> list[LimitChange]:
    """Return every change of a limit, the laxer ones first."""
    before, after = _checks_of(old), _checks_of(new)
    ids = [*after, *(id for id in before if id not in after)]
    rows = [
        one for id in ids for one in _check_rows(asked, (old, new), before.get(id), after.get(id))
    ]
    rows += _night_rows(old, new)
    return [row for leaning in LEANINGS for row in rows if row.leaning == leaning]


def shown_changes(asked: Request, rows: list[LimitChange]) -> list[Json]:
    """Return the changes for a template."""
    return [
        {
            "leaning": row.leaning,
            "word": asked.say(LEANINGS[row.leaning]),
            "where": row.where,
            "text": asked.say(row.words),
            "basis": row.basis if isinstance(row.basis, str) else asked.say(row.basis),
            "reason": row.reason,
        }
        for row in rows
    ]


def count_limits(procedure: Json) -> int:
    """Return how many limits a procedure has, those of its nights too."""
    checks = _checks_of(procedure).values()
    return sum(len(check["limits"]) for _, check in checks) + len(procedure.get("nights", []))


def _checks_of(procedure: Json) -> dict[str, tuple[Json, Json]]:
    return {check["id"]: (step, check) for step in procedure["steps"] for check in step["checks"]}


def _check_rows(
    asked: Request,
    both: tuple[Json, Json],
    old: tuple[Json, Json] | None,
    new: tuple[Json, Json] | None,
) -> list[LimitChange]:
    shown = new or old
    if shown is None:
        return []
    step, check = shown
    where = f"{step['id']} {step['title']} · {check['title']}"
    if old is None or new is None:
        procedure = both[0] if new is None else both[1]
        limits = "; ".join(
            limit_text(asked, procedure, check, name) for name in sorted(check["limits"])
        )
        if new is None:
            gone = Msg("the check is taken away: {limits}", limits=limits)
            pairs = [(LAXER, gone if limits else Msg("the check is taken away"))]
        else:
            added = Msg("a new check: {limits}", limits=limits)
            pairs = [(STRICTER, added if limits else Msg("a new check"))]
    else:
        pairs = list(_differences(asked, both, old[1], check))
    basis = basis_words(check["basis"])
    return [LimitChange(leaning, where, words, basis, check["reason"]) for leaning, words in pairs]


def basis_words(basis: Json) -> Msg | str:
    """Return where a limit comes from, in words."""
    if basis["kind"] in _BASES:
        return _BASES[basis["kind"]]
    return Msg(basis["text"]) if basis["kind"] == "practice" else str(basis["text"])


def _differences(
    asked: Request, both: tuple[Json, Json], old: Json, new: Json
) -> Iterator[tuple[str, Msg]]:
    for name in sorted(set(old["limits"]) | set(new["limits"])):
        words = [
            limit_text(asked, procedure, check, name)
            for procedure, check in zip(both, (old, new), strict=True)
        ]
        if words[0] == words[1] and old["limits"].get(name) == new["limits"].get(name):
            continue
        if not words[0]:
            yield STRICTER, Msg("a new limit: {limit}", limit=words[1])
        elif not words[1]:
            yield LAXER, Msg("a limit is taken away: {limit}", limit=words[0])
        else:
            leaning = limit_leaning(old, new, name)
            if words[0] == words[1]:  # both are rounded to the same
                words = [
                    f"{text} ({_in_full(one, name)})"
                    for text, one in zip(words, (old, new), strict=True)
                ]
            yield leaning, Msg("limit: {before} → {after}", before=words[0], after=words[1])
    yield from _setting_differences(old, new)
    if old["calc"] != new["calc"]:
        yield OTHER, Msg("calculation: {before} → {after}", before=old["calc"], after=new["calc"])
    if old["basis"] != new["basis"]:
        sides = [basis_words(one["basis"]) for one in (old, new)]
        yield OTHER, Msg("basis of its limit: {before} → {after}", before=sides[0], after=sides[1])
    if old["rank"] != new["rank"]:
        ranks = [_RANKS.index(one["rank"]) for one in (old, new)]
        leaning = LAXER if ranks[1] < ranks[0] else STRICTER
        sides = [RANK_WORDS[one["rank"]] for one in (old, new)]
        yield leaning, Msg("concession: {before} → {after}", before=sides[0], after=sides[1])


def _in_full(check: Json, name: str) -> str:
    """Return a limit's figure with every digit: lengths in mm, others in the base unit."""
    value = check["limits"][name].get("value")
    if value is None:
        return "\u2013"
    is_length = spec_of(check["calc"]).limits.get(name, "length") in ("length", "any")
    return f"{Decimal(value).scaleb(-6):f} mm" if is_length else str(value)


def limit_leaning(old: Json, new: Json, name: str) -> str:
    """Return whether a limit of a check became laxer or stricter, or neither can be said.

    Figures of drawings and of points are not known here. Of a figure in any stretch, a longer
    stretch is the stricter one.
    """
    word = spec_of(new["calc"]).limit_words.get(name, name)
    values = [one["limits"][name].get("value") for one in (old, new)]
    if None in values or word in EXACT_FIGURES or old["calc"] != new["calc"]:
        return OTHER
    more = int(values[1]) - int(values[0])
    votes = [-more if word in LEAST_FIGURES else more]
    setting = LIMIT_WORDS[word][0]
    stretches = [one["settings"].get(setting) for one in (old, new)]
    if stretches[0] != stretches[1]:
        if setting != "over" or None in stretches:
            return OTHER
        votes.append(int(stretches[0]) - int(stretches[1]))
    if all(vote >= 0 for vote in votes):
        return LAXER
    return STRICTER if all(vote <= 0 for vote in votes) else OTHER


def _setting_differences(old: Json, new: Json) -> Iterator[tuple[str, Msg]]:
    """Yield settings that differ, but for the remedy, and those that a limit's words have told."""
    stretches = {
        LIMIT_WORDS[spec_of(new["calc"]).limit_words.get(name, name)][0]
        for name in set(old["limits"]) & set(new["limits"])
    }
    for name in sorted(set(old["settings"]) | set(new["settings"])):
        if name == "remedy" or name in stretches:
            continue
        if old["settings"].get(name) != new["settings"].get(name):
            yield (
                OTHER,
                Msg(
                    "setting {name}: {before} → {after}",
                    name=name,
                    before=_setting_value(old, name),
                    after=_setting_value(new, name),
                ),
            )


def _setting_value(check: Json, name: str) -> object:
    value = check["settings"].get(name)
    if value is None:
        return "\u2013"
    quantity = spec_of(check["calc"]).settings.get(name, "text")
    if quantity == "length":
        return Len(int(value), "place")
    return value if quantity in ("text", "any") else Qty(quantity, int(value))


def _night_rows(old: Json, new: Json) -> list[LimitChange]:
    nights = [{(n["point"], n["at"]): n for n in one.get("nights", [])} for one in (old, new)]
    titles = {p["id"]: p["title"] for one in (old, new) for s in one["steps"] for p in s["points"]}
    rows = []
    for key in [*nights[1], *(key for key in nights[0] if key not in nights[1])]:
        sizes = [int(side[key]["most"]["value"]) if key in side else None for side in nights]
        if sizes[0] == sizes[1]:
            continue
        one = nights[1].get(key) or nights[0][key]
        laxer = sizes[1] is None or (sizes[0] is not None and sizes[1] > sizes[0])
        words = [Len(size) if size is not None else "\u2013" for size in sizes]
        rows.append(
            LimitChange(
                LAXER if laxer else STRICTER,
                titles[key[0]],
                Msg(
                    "moved in a night, at most: {before} → {after}", before=words[0], after=words[1]
                ),
                basis_words(one["basis"]),
                one["reason"],
            )
        )
    return rows


def limit_text(asked: Request, procedure: Json, check: Json, name: str) -> str:
    """Return one limit of a check in words, with the drawing's field where the drawing gives it."""
    given = check["limits"].get(name)
    if given is None:
        return ""
    if "point" in given:
        titles = {p["id"]: p["title"] for step in procedure["steps"] for p in step["points"]}
        typed = asked.say(Msg("as typed at “{point}”", point=titles[given["point"]]))
        return asked.say(limit_words(check, name, typed))
    if "drawing" in given:
        field = asked.say(Msg("the drawing’s {field}", field=given["drawing"].replace("_", " ")))
        return asked.say(limit_words(check, name, field))
    value = amount_text(asked, limit_quantity(procedure, check, name), int(given["value"]))
    return asked.say(limit_words(check, name, value))


def limit_quantity(procedure: Json, check: Json, name: str) -> str:
    """Return the quantity of a limit: a calculation that takes any has that of its points."""
    quantity: str = spec_of(check["calc"]).limits.get(name, "length")
    if quantity != "any":
        return quantity
    ids = [check["points"][input] for input in sorted(check["points"])]
    points = {point["id"]: point for step in procedure["steps"] for point in step["points"]}
    return str(points[ids[0]]["quantity"])
