"""The drawing's form and its preview, as templates are given them."""

from collections.abc import Callable, Iterable

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.pictures import drawings
from app.core.quantity.messages import Msg, Plural
from app.core.quantity.speaker import Speaker
from app.core.record.state import setting_letters
from app.core.trade import bed
from app.core.trade.door_systems import DOOR_SYSTEMS
from app.core.trade.drawing import AMOUNTS, COUNTS, LENGTHS, Drawing
from app.core.trade.panels import LETTERS
from app.office.issue import alike
from app.office.issue.fields import CHOICES, MOST_PANELS, Limit, panel_field
from app.office.issue.reading import DrawingRead, Terms
from app.office.pages import field_id, form_field, summary_of
from app.store.door_templates import CHOSEN

_PLAIN = (
    ("number", Msg("Number of the drawing"), ""),
    ("revision", Msg("Revision"), ""),
    ("author", Msg("Author"), ""),
    ("date", Msg("Date"), "2026-03-02"),
)
_SELECTS = (
    ("door", Msg("Kind of door")),
    ("lock", Msg("Lock, seen from outside")),
    ("set_from", Msg("Set from")),
    ("rule", Msg("How a reading is compared with its limit")),
)
_CHOICES = {
    **dict(DOOR_SYSTEMS),
    "left": Msg("left"),
    "right": Msg("right"),
    "outside": Msg("outside"),
    "room": Msg("the room side"),
    "simple": Msg("on the limit is within (simple acceptance)"),
    "guarded": Msg("with guard bands, where the contract asks for them"),
}
_TOGETHER = (
    ("panels_kinds", Msg("Panels from the left: X slides, O fixed, P pocket"), Msg("like XXO")),
    ("panels_tracks", Msg("Track of each; 1 is nearest the room"), Msg("like 1 2 3")),
    ("panels_leads", Msg("Which panel leads; A is at the left"), Msg("like A")),
    ("panels_width", Msg("Width of a panel"), None),
    ("panels_height", Msg("Height of a panel"), None),
    ("panels_mass", Msg("Weight of a panel"), None),
)
_SIZES = {"width": Msg("Width"), "height": Msg("Height"), "mass": Msg("Weight")}
# without these nobody can say whether the panels fit the frame
_ADD_UP = ("jamb_face", "interlock_overlap", "tracks")
_LISTS = (
    ("weeps", Msg("Weeps, from the LEFT end of the frame"), Msg("one a line")),
    ("shims", Msg("Shims in the box"), Msg("one a line")),
    ("locks", Msg("Locks, from the foot of the frame up the jamb"), Msg("one a line")),
    ("parts", Msg("Parts list"), Msg("one a line: mark; what; count; step")),
)


def door_form(
    speaker: Speaker, texts: dict[str, str], terms: Terms, drawn: DrawingRead | None = None
) -> Json:
    """Return the fields of a drawing with what was typed, and the errors of what was read."""
    texts = alike.gathered_from_rows(texts)
    made = _Form(speaker, texts, drawn)
    adding_up = [name for name in _ADD_UP if name not in terms.needed]
    groups = {
        "plain": [made.plain(*row) for row in _PLAIN[:1]],
        "selects": [made.select(name, label, CHOICES[name]) for name, label in _SELECTS[:2]],
        "about": [
            *(made.plain(*row) for row in _PLAIN[1:]),
            *(made.select(name, label, CHOICES[name]) for name, label in _SELECTS[2:]),
        ],
        "together": [
            made.plain(name, label, made.say(hint) if hint else "")
            for name, label, hint in _TOGETHER
        ],
        "panels": [made.panel(row) for row in range(1, _panel_rows(texts) + 1)],
        "needed": [
            *(made.length(*row, needed=True) for row in LENGTHS if row[0] in terms.needed),
            *(made.length(*row, needed=False) for row in LENGTHS if row[0] in adding_up),
            *(made.plain(name, Msg(words)) for name, words in COUNTS if name in adding_up),
        ],
        "lengths": [
            made.length(*row, needed=False)
            for row in LENGTHS
            if row[0] not in (*terms.needed, *_ADD_UP)
        ],
        "counts": [made.plain(name, Msg(words)) for name, words in COUNTS if name not in _ADD_UP],
        "amounts": [made.plain(name, Msg(words)) for name, _, words in AMOUNTS],
        "lists": [made.area(*row) for row in _LISTS],
        "limits": [made.limit(limit) for limit in terms.limits],
    }
    panels = [one for panel in groups["panels"] for one in panel["fields"]]
    listed = [*groups["plain"], *groups["selects"], *groups["together"], *panels]
    for name in ("needed", "about", "lengths", "counts", "amounts", "lists", "limits"):
        listed.extend(groups[name])
    given = sum(any(one["value"] for one in panel["fields"]) for panel in groups["panels"])
    words = Plural("{count} panel has a size of its own", "{count} panels have sizes of their own")
    differ = {
        "open": any(one["error"] for one in panels) or bool(texts.get("rows")),
        "text": made.say(words.of(given) if given else Msg("Panels of another size or weight")),
    }
    folds = {"panels": differ, **{name: _fold(made, name, groups[name]) for name in _FOLDED}}
    return {**groups, "errors": summary_of(listed), "folds": folds}


_FOLDED = {
    "about": Msg("More of the drawing"),
    "lengths": Msg("Sizes"),
    "counts": Msg("Counts"),
    "amounts": Msg("Forces, temperatures, times"),
    "lists": Msg("Lists"),
    "limits": Msg("Limits that this drawing sets for itself"),
}


_GIVEN = Msg("{title}: {given} of {count} given")
_FROM_TEMPLATE = Msg("{title}: {given} of {count} given, begun with the template")


def _fold(made: "_Form", name: str, fields: list[Json]) -> Json:
    """Return how a group of fields is folded: open where something in it is wrong."""
    given = sum(bool(one["value"]) for one in fields)
    words = _FROM_TEMPLATE if made.texts.get("copy", "").startswith(CHOSEN) else _GIVEN
    words = Msg(words.template, title=_FOLDED[name], given=given, count=len(fields))
    return {"open": any(one["error"] for one in fields), "text": made.say(words)}


def _panel_rows(texts: dict[str, str]) -> int:
    """Return how many rows of panels to show: as many as there are panels, four at least."""
    used = [row for row in range(1, MOST_PANELS + 1) if _is_used(texts, row)]
    asked = texts.get("rows", "")
    more = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 3 else 0
    panels = len(alike.kinds_in(texts.get("panels_kinds", "")))
    return min(MOST_PANELS, max(4, more, panels, used[-1] if used else 0))


def _is_used(texts: dict[str, str], row: int) -> bool:
    return any(texts.get(panel_field(row, part)) for part in alike.SIZES)


class _Form:
    def __init__(self, speaker: Speaker, texts: dict[str, str], drawn: DrawingRead | None) -> None:
        self.say = speaker.say
        self.texts = texts
        self.errors: dict[str, str] = {}
        for problem in reversed(drawn.problems if drawn else []):
            self.errors[problem.field] = self.say(problem.message)

    def plain(self, name: str, label: Msg, hint: str = "") -> Json:
        text = self.texts.get(name, "")
        error = self.errors.get(name, "")
        return form_field(name, self.say(label), text, hint=hint, error=error)

    def length(self, name: str, label: str, usual: str, needed: bool) -> Json:
        hint = [self.say(Msg("needed"))] if needed else []
        hint += [self.say(Msg("usual: {size}", size=usual))] if usual else []
        text, error = self.texts.get(name, ""), self.errors.get(name, "")
        return form_field(name, self.say(Msg(label)), text, hint=", ".join(hint), error=error)

    def area(self, name: str, label: Msg, hint: Msg) -> Json:
        text = self.texts.get(name, "")
        error = self.errors.get(name, "")
        return form_field(
            name, self.say(label), text, kind="area", hint=self.say(hint), error=error
        )

    def select(self, name: str, label: Msg, choices: tuple[str, ...]) -> Json:
        now = self.texts.get(name, "simple" if name == "rule" else "")
        listed = [
            {"value": value, "text": self.say(_CHOICES[value]), "chosen": value == now}
            for value in choices
        ]
        error = self.errors.get(name, "")
        return form_field(name, self.say(label), now, kind="select", error=error, choices=listed)

    def panel(self, row: int) -> Json:
        fields = [self.plain(panel_field(row, part), words) for part, words in _SIZES.items()]
        title = self.say(Msg("Panel {letter}", letter=LETTERS[row - 1]))
        return {"id": f"panel-{row}", "title": title, "fields": fields}

    def limit(self, limit: Limit) -> Json:
        name = limit.name.partition(".")[2]
        label = Msg("{check}: {limit}", check=Msg(limit.title), limit=name.replace("_", " "))
        return self.plain("limit." + limit.name, label)


def drawing_preview(speaker: Speaker, drawn: DrawingRead, others: Iterable[str] = ()) -> Json:
    """Return the door as drawn so far: pictures, what cannot be built, what is left open.

    others: fields beside the drawing's own that are wrong still.
    """
    drawing = Drawing(drawn.drawing)
    words = Plural(
        "{count} panel, {letters} seen from outside", "{count} panels, {letters} seen from outside"
    ).of(len(drawing.panels), letters=drawing.configuration)
    return {
        "door": speaker.say(words) if drawing.panels else "",
        "pictures": drawing_pictures(speaker, drawing) if drawing.panels else [],
        "problems": [
            {"field": field_id(one.field), "text": speaker.say(one.message)}
            for one in drawn.problems
        ],
        "missing": [speaker.say(message) for message in drawn.missing],
        "breaks": [],
        "stops": {"title": "", "lines": []},
        "wrong": " ".join(map(field_id, [*(one.field for one in drawn.problems), *others])),
    }


def drawing_pictures(speaker: Speaker, drawing: Drawing) -> list[Json]:
    """Return the pictures that the drawing gives enough for: elevation, plan, sill."""
    wanted: tuple[tuple[Msg, Callable[[], Json]], ...] = (
        (Msg("From outside"), lambda: drawings.elevation_picture(drawing, speaker)),
        (
            Msg("From above"),
            lambda: drawings.plan_picture(drawing, speaker, setting_letters(drawing)),
        ),
        (Msg("Sill from above"), lambda: drawings.sill_layout(bed.of_drawing(drawing), speaker)),
    )
    out = []
    for title, draw in wanted:
        try:
            out.append({"title": speaker.say(title), "picture": draw()})
        except AppError:  # what is missing for it is listed beside
            continue
    return out
