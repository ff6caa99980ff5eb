"""Figures against limits, one row for each place: what the plain checks have in common."""

from app.core.checks.base import Ask, Outcome, Silent
from app.core.checks.compare import verdict_reached, worst_verdict
from app.core.checks.decide import amount_beyond, closer_look, verdict_of
from app.core.kinds import Any, Callable
from app.core.quantity.messages import Len, Msg, Qty
from app.core.trade.drawing import title_of
from app.core.trade.verdicts import CLOSE, MISSING, OUT, UNREACHABLE
from app.core.where.place import Place

INPUT = "readings"
ANY = "any"
MOST_NAMED = 6


class FigureRow:
    """One figure: where, the value, and its limits (None: open on that side), base units.

    about: what else the words of this check need.
    """

    def __init__(
        self, place: Place, value: int, least: "int | None", most: "int | None", **about: Any
    ) -> None:
        self.place = place
        self.value = value
        self.least = least
        self.most = most
        self.about = about

    def over(self) -> int:
        """Return by how much it is beyond its limit, 0 where it is not."""
        return amount_beyond(self.value, self.least, self.most)

    def excess(self) -> int:
        """Return the same, negative inside the limits: the nearer the line, the greater."""
        out = []
        if self.least is not None:
            out.append(self.least - self.value)
        if self.most is not None:
            out.append(self.value - self.most)
        return max(out)


def quantity_of(ask: Ask) -> str:
    """Return the quantity that the check's points are read in."""
    return str(ask.settings.get("quantity", "length"))


def amount_part(ask: Ask, value: int) -> Any:
    """Return a value as a parameter of a Msg."""
    quantity = quantity_of(ask)
    return Len(value) if quantity == "length" else Qty(quantity, value)


def grouped_readings(
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


def difference_part(ask: Ask, value: int) -> Any:
    """Return a difference of two values as a parameter: 2 °F over is not 34 °F over."""
    if quantity_of(ask) == "temperature":
        return Qty("temperature-difference", value)
    return amount_part(ask, value)


def given_limits(ask: Ask) -> "tuple[int | None, int | None]":
    """Return least and most, None where the check has none; raises Silent."""
    least = ask.limit("least") if "least" in ask.limits else None
    most = ask.limit("most") if "most" in ask.limits else None
    if least is None and most is None:
        raise Silent("most")
    return least, most


def drawn_value(ask: Ask, field: str) -> int:
    """Return what the drawing gives for a field; raises Silent.

    The weeps, where their number is not given, are counted on the drawing.
    """
    value = ask.drawing.value(field)
    if value is None and field == "weep_count" and ask.drawing.weeps:
        value = len(ask.drawing.weeps)
    if value is None:
        silent = Silent(field)
        silent.message = Msg(
            "The drawing does not give “{what}”. Ask the office.", what=Msg(title_of(field))
        )
        raise silent
    return value


def drawn_at(ask: Ask, letter: str) -> int:
    """Return what the drawing gives for the setting "field", of a panel where it is a panel's."""
    field = str(ask.settings["field"])
    if field == "panel_width":
        return ask.drawing.panel(letter).width
    if field == "panel_height":
        return ask.drawing.panel(letter).height
    return drawn_value(ask, field)


def error_of(ask: Ask) -> int:
    """Return U of one reading, 0 under simple acceptance."""
    return ask.errors.get(INPUT, 0)


def error_of_difference(ask: Ask) -> int:
    """Return U of the difference of two readings: given, else twice that of one (the safe side)."""
    return ask.errors.get(INPUT + ".difference", 2 * error_of(ask))


def judge_rows(
    ask: Ask,
    rows: "list[FigureRow]",
    words: "Callable[[FigureRow], Msg]",
    fine: Any,
    remedy: Any,
    error: int = 0,
    quantity: str = "",
) -> Outcome:
    """Return the outcome over all rows: the worst one in words, the others named.

    words, fine: what is said of the worst row when it is out, when it is within.
    remedy: what to do about it, unless the procedure says so itself (settings, "remedy").
    fine and remedy are a Msg, or make one from the row. error: U of a row's value.
    """
    if not rows:
        return no_figure(ask)
    row = _first_worst(rows)
    found = worst_verdict([row_verdict(one, error) for one in rows])
    outcome = Outcome(
        verdict_reached(found, ask, *list(ask.places)),
        [_row_words(fine, row)],
        value=row.value,
        low=row.least,
        high=row.most,
        quantity=quantity or quantity_of(ask),
    )
    if found == OUT:
        outcome.over = row.over()
        outcome.says = [words(row)] + _other_rows(rows, row, error)
        outcome.remedies = [_own_remedy(ask, row) or _row_words(remedy, row)]
    elif found == CLOSE:
        outcome.says = [Msg("{place}: too near its limit to call this way.", place=row.place.title)]
        outcome.remedies = closer_look(outcome.quantity)
    return outcome


def no_figure(ask: Ask) -> Outcome:
    """Return the outcome where there is no figure at all: never within."""
    if any(ask.unreachable.get(input) for input in list(ask.places)):
        return Outcome(UNREACHABLE, [Msg("No place could be reached.")])
    return Outcome(MISSING, [Msg("There is nothing here to judge by.")])


def row_verdict(row: FigureRow, error: int) -> str:
    """Return the verdict of one row."""
    return verdict_of(row.value, row.least, row.most, error)


def _row_words(what: Any, row: FigureRow) -> Msg:
    return what if isinstance(what, Msg) else what(row)


def _first_worst(rows: "list[FigureRow]") -> FigureRow:
    found = rows[0]
    for row in rows[1:]:
        if row.excess() > found.excess():
            found = row
    return found


def _other_rows(rows: "list[FigureRow]", row: FigureRow, error: int) -> "list[Msg]":
    """Return a sentence that names the other rows that are out."""
    titles = [one.place.title for one in rows if one is not row and row_verdict(one, error) == OUT]
    if not titles:
        return []
    if len(titles) > MOST_NAMED:
        return [
            Msg(
                "Out as well: {places} and {count} more.",
                places=titles[:MOST_NAMED],
                count=len(titles) - MOST_NAMED,
            )
        ]
    return [Msg("Out as well: {places}.", places=titles)]


def _own_remedy(ask: Ask, row: FigureRow) -> "Msg | None":
    """Return the procedure's own remedy; it may hold {place} and {over}."""
    text = ask.settings.get("remedy")
    if not text:
        return None
    return Msg(text, place=row.place.title, over=difference_part(ask, row.over()))
