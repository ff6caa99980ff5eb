"""Checks of readings against each other: alike, straight, unchanged, the middle of three.

Roles and settings as in plain.py. Differences are said as sizes, never signed.
"""

from app.core.checks.base import MISSING, Ask, Outcome, Place, Spec, not_measured
from app.core.checks.rows import (
    ANY,
    ROLE,
    Row,
    amount,
    drawn_value,
    error_of,
    error_of_difference,
    judge,
)
from app.core.decide import middle_of
from app.core.kinds import Any, Callable
from app.core.measure import half_up
from app.core.words import Msg

_TOLD = {"quantity": "text", "remedy": "text"}
ALIKE_SPEC = Spec(
    {ROLE: ANY},
    {"most": ANY, "most_large": ANY},
    {"by": "text", "large": "length", "of": "text", "quantity": "text", "remedy": "text"},
    optional=("most_large", "by", "of", "quantity", "remedy"),
)
MIDDLE_OF_ENDS_SPEC = Spec({ROLE: ANY}, {"most": ANY}, _TOLD, optional=("quantity", "remedy"))
UNCHANGED_SPEC = Spec(
    {ROLE: ANY, "after": ANY}, {"most": ANY}, _TOLD, optional=("after", "quantity", "remedy")
)
MIDDLE_OF_THREE_SPEC = Spec({ROLE: ANY}, {"most": ANY}, _TOLD, optional=("quantity", "remedy"))


def grouped(
    series: "list[tuple[Place, int]]", key: "Callable[[Place], Any]"
) -> "list[list[tuple[Place, int]]]":
    """Return the readings in groups of one key, in the order in which the keys first come."""
    keys: list[Any] = []
    groups: list[list[tuple[Place, int]]] = []
    for place, value in series:
        name = key(place)
        if name not in keys:
            keys.append(name)
            groups.append([])
        groups[keys.index(name)].append((place, value))
    return groups


def alike(ask: Ask) -> Outcome:
    """Judge that greatest less least is at most "most", over all places or within groups.

    settings "by": "panel", "side" or "position" (one upright line) judges each one's
    readings apart. Limit "most_large" counts where the drawing's length "of" is over
    the length "large".
    """
    most = _most(ask)
    by = str(ask.settings.get("by", ""))
    groups = grouped(ask.series(ROLE), lambda place: _named(place, by))
    rows = [_spread(group, most) for group in groups if len(group) > 1]
    return not_measured(ask, ROLE) or judge(
        ask,
        rows,
        lambda row: _apart(ask, row),
        lambda row: _nearly(ask, row),
        lambda row: Msg(
            "Find which of the two is wrong, bring them together by {over}, and measure again.",
            over=amount(ask, row.over()),
        ),
        error_of_difference(ask),
    )


def _most(ask: Ask) -> int:
    if "most_large" not in ask.limits:
        return ask.limit("most")
    large = drawn_value(ask, str(ask.settings["of"])) > int(ask.settings["large"])
    return ask.limit("most_large" if large else "most")


def _named(place: Place, by: str) -> Any:
    if by == "panel":
        return place.panel
    if by == "position":
        return (place.panel, place.x)
    return place.side if by == "side" else ""


def _spread(group: "list[tuple[Place, int]]", most: int) -> Row:
    small = group[0]
    great = group[0]
    for pair in group:
        small = pair if pair[1] < small[1] else small
        great = pair if pair[1] > great[1] else great
    return Row(great[0], great[1] - small[1], None, most, small=small[0])


def _apart(ask: Ask, row: Row) -> Msg:
    return Msg(
        "Greatest: {great}. Least: {small}. They differ by {difference}; at most {most}.",
        great=row.place.title,
        small=row.about["small"].title,
        difference=amount(ask, row.value),
        most=amount(ask, row.most or 0),
    )


def _nearly(ask: Ask, row: Row) -> Msg:
    if row.value == 0:
        return Msg("All the same.")
    return _apart(ask, row)


def middle_of_ends(ask: Ask) -> Outcome:
    """Judge that each middle reading is within "most" of the mean of its two ends.

    A middle and its ends belong together by panel, and by position (low, middle,
    high) or height (left, middle, right). Compared doubled, so that the mean is exact.
    """
    most = ask.limit("most")
    left = not_measured(ask, ROLE) or _not_a_line(ask)
    if left:
        return left
    rows = [_bow(line, most) for line in _lines(ask, ask.series(ROLE)) if len(line) == 3]
    outcome = judge(
        ask,
        rows,
        lambda row: _bowed(ask, row),
        lambda row: _straight(ask, row),
        Msg("The ends cannot mend the middle: straighten it, and measure again."),
        2 * error_of_difference(ask),
    )
    return _halved(outcome, most)


_LINE = ("low", "middle", "high", "left", "right")


def _lines(ask: Ask, pairs: "list[tuple[Place, int]]") -> "list[list[tuple[Place, int]]]":
    """Return the readings by line: upright ones share an x, level ones a y."""
    upright = any(place.side in ("low", "high") for place in ask.places[ROLE])
    known = [pair for pair in pairs if pair[0].side in _LINE]
    return grouped(known, lambda place: (place.panel, place.x if upright else place.y))


def _not_a_line(ask: Ask) -> "Outcome | None":
    """Return 'missing' where the procedure asks for a middle without its two ends, or more."""
    for line in _lines(ask, [(place, 0) for place in ask.places[ROLE]]):
        middles = [place for place, _ in line if place.side == "middle"]
        if len(line) != 3 or len(middles) != 1:
            titles = [place.title for place, _ in line]
            return Outcome(
                MISSING, [Msg("A middle and two ends are needed: {places}.", places=titles)]
            )
    return None


def _bow(line: "list[tuple[Place, int]]", most: int) -> Row:
    """Return how far the middle is from the mean of the ends, doubled."""
    doubled = 0
    middle = line[0][0]
    for place, value in line:
        if place.side == "middle":
            middle = place
            doubled += 2 * value
        else:
            doubled -= value
    return Row(middle, abs(doubled), None, 2 * most, more=doubled > 0, allowed=most)


def _bowed(ask: Ask, row: Row) -> Msg:
    params = {
        "place": row.place.title,
        "difference": amount(ask, half_up(row.value, 2)),
        "most": amount(ask, row.about["allowed"]),
    }
    if row.about["more"]:
        return Msg(
            "{place}: {difference} more than the mean of its ends; at most {most}.", **params
        )
    return Msg("{place}: {difference} less than the mean of its ends; at most {most}.", **params)


def _straight(ask: Ask, row: Row) -> Msg:
    return _bowed(ask, row) if row.value else Msg("The middle is the mean of its ends.")


def _halved(outcome: Outcome, most: int) -> Outcome:
    """Bring the doubled figures of an outcome back to what they were, rounded up."""
    if outcome.value is not None:
        outcome.value = -(-outcome.value // 2)
        outcome.high = most
        outcome.over = -(-outcome.over // 2)
    return outcome


def unchanged(ask: Ask) -> Outcome:
    """Judge that the end differs from the start by "most" at the most.

    The first and the last place of "readings"; or, where there is a role "after",
    each place of it against the place of "readings" with the same id.
    """
    most = ask.limit("most")
    roles = [ROLE, "after"] if "after" in ask.places else [ROLE]
    rows = [
        Row(place, abs(end - start), None, most, more=end > start)
        for place, start, end in _pairs(ask)
    ]
    return not_measured(ask, *roles) or judge(
        ask,
        rows,
        lambda row: _moved(ask, row),
        lambda row: _stayed(ask, row),
        Msg("It moved: find out why, put it right, and measure both again."),
        error_of_difference(ask),
    )


def _pairs(ask: Ask) -> "list[tuple[Place, int, int]]":
    series = ask.series(ROLE)
    if "after" not in ask.places:
        return [(series[-1][0], series[0][1], series[-1][1])] if len(series) > 1 else []
    after = ask.readings.get("after", {})
    return [(place, value, after[place.id]) for place, value in series if place.id in after]


def _moved(ask: Ask, row: Row) -> Msg:
    params = {
        "place": row.place.title,
        "difference": amount(ask, row.value),
        "most": amount(ask, row.most or 0),
    }
    if row.about["more"]:
        return Msg("{place}: {difference} more than before; at most {most}.", **params)
    return Msg("{place}: {difference} less than before; at most {most}.", **params)


def _stayed(ask: Ask, row: Row) -> Msg:
    return _moved(ask, row) if row.value else Msg("Unchanged.")


def middle_of_three(ask: Ask) -> Outcome:
    """Judge that the middle one of each three readings is at most "most".

    Three readings belong together by panel and side (for strokes: which way).
    """
    most = ask.limit("most")
    left = not_measured(ask, ROLE) or _not_three(ask)
    if left:
        return left
    groups = grouped(ask.series(ROLE), lambda place: (place.panel, place.side))
    rows = [_middle_row(group, most) for group in groups if len(group) == 3]
    return judge(
        ask,
        rows,
        lambda row: Msg(
            "{place}, the middle one of three: {over} over the most, {most}.",
            place=row.place.title,
            over=amount(ask, row.over()),
            most=amount(ask, most),
        ),
        lambda row: Msg(
            "The middle one of three is {value} at the most; allowed: {most}.",
            value=amount(ask, row.value),
            most=amount(ask, most),
        ),
        Msg("Look for what binds: track, rollers, seals, height; then try again."),
        error_of(ask),
    )


def _not_three(ask: Ask) -> "Outcome | None":
    """Return 'missing' where the procedure asks for other than three: nothing to judge by."""
    places = [(place, 0) for place in ask.places[ROLE]]
    for group in grouped(places, lambda place: (place.panel, place.side)):
        if len(group) != 3:
            titles = [place.title for place, _ in group]
            return Outcome(MISSING, [Msg("Three readings are needed: {places}.", places=titles)])
    return None


def _middle_row(group: "list[tuple[Place, int]]", most: int) -> Row:
    value = middle_of([value for _, value in group])
    place = next(place for place, read in group if read == value)
    return Row(place, value, None, most)
