"""The flat texts of fields.py to a drawing's JSON, with every problem at its field."""

import re
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache

from app.core.errors import InputError
from app.core.kinds import Json
from app.core.quantity.measure import parse_amount
from app.core.quantity.messages import Len, Msg
from app.core.trade import anchored
from app.core.trade.drawing import KINDS, Drawing, title_of
from app.core.trade.panels import LETTERS, implied_length, panel_questions
from app.core.where.places import lengths_needed
from app.office.issue import alike
from app.office.issue.fields import (
    CHOICES,
    LISTS,
    MOST_PANELS,
    PANEL,
    PLAIN,
    VALUES,
    Limit,
    limits_of,
    panel_field,
    steps_of,
)
from app.office.issue.writing import texts_of

MOST_TEXT = 200
MOST_LIST = 4000
_LINES = re.compile(r"[\r\n|]+")
_NEEDED = {
    "number": Msg("Give the number of the drawing."),
    "door": Msg("Choose the kind of door."),
    "lock": Msg("Choose the side of the lock, seen from outside."),
    "rule": Msg("Choose how a reading is compared with its limit."),
}
LENGTH_NEEDED = Msg("Give this as drawn. The places where the crew measures are counted from it.")
# codes of trade/panels.questions -> the field that a person would look at first
_FIELD_OF = {
    "lock-side": "lock",
    "panels-sum": "frame_width",
    "panel-track": "tracks",
    "panels-collide": panel_field(1, "track"),
    "panels-same-track": panel_field(1, "track"),
    "panels-not-hooked": panel_field(1, "track"),
    "lead-none": panel_field(1, "lead"),
    "leads-many": panel_field(1, "lead"),
    "lead-fixed": panel_field(1, "lead"),
    "lead-place": panel_field(1, "lead"),
    "lead-cannot-move": panel_field(1, "lead"),
    "pocket-shallow": "pocket_depth",
    "anchor-length": "frame_height",
    "anchor-spacing": "anchor_spacing",
}


@dataclass(frozen=True)
class FieldProblem:
    """Something that cannot be taken: at which field, and the words for a person."""

    field: str
    message: Msg


@dataclass
class DrawingRead:
    """What was read: the drawing, its problems, and what it leaves open."""

    drawing: Json
    problems: list[FieldProblem] = field(default_factory=list)
    missing: list[Msg] = field(default_factory=list)


@dataclass(frozen=True)
class Terms:
    """What a drawing is read under: units of a bare number, limits and steps of the procedure.

    needed: lengths that the procedure cannot do without.
    before: the drawing that is being changed: where a text was left as it was shown, its
    value stays to the last nanometre, and so does what no field shows.
    """

    units: str
    limits: list[Limit]
    steps: list[str]
    before: Json = field(default_factory=dict)
    needed: tuple[str, ...] = ()


def terms_of(units: str, procedure: Json | None, before: Json | None = None) -> Terms:
    """Return the terms under a procedure; without one no limits can be set yet."""
    if procedure is None:
        return Terms(units, [], [], before or {})
    needed = tuple(lengths_needed(procedure))
    return Terms(units, limits_of(procedure), steps_of(procedure), before or {}, needed)


def read_drawing(texts: dict[str, str], terms: Terms) -> DrawingRead:
    """Return the drawing that these texts describe, with all that is wrong or missing."""
    reader = _Reader(texts, terms)
    drawing = dict(terms.before)
    drawing.update({name: reader.plain(name) for name in PLAIN})
    drawing["panels"] = reader.panels()
    for group in ("lengths", "counts", "amounts"):
        drawing[group] = reader.group(group)
    for name in LISTS:
        drawing[name] = reader.amounts(name)
    if not drawing["locks"]:  # a drawing from before there were locks stays what it was
        del drawing["locks"]
    drawing["parts"] = reader.parts()
    drawing["limits"] = reader.limits()
    reader.lengths_given(drawing["lengths"])
    drawn = DrawingRead(drawing, reader.problems)
    if not any(problem.field.startswith("panel") for problem in drawn.problems):
        _ask_what_is_missing(drawn)
    if not drawn.problems and {"anchor_end", "anchor_spacing"} <= set(terms.needed):
        _plan_anchors(drawn)
    told = [title_of(name) for name in terms.needed]
    drawn.missing.extend(words for words in _left_open(drawing) if words.template not in told)
    if reader.together:
        drawn.problems = [_at_the_field_of_all(texts, problem) for problem in drawn.problems]
    return drawn


def _at_the_field_of_all(texts: dict[str, str], problem: FieldProblem) -> FieldProblem:
    """Return a problem of a panel at the field that gave it for all, unless its own row did."""
    row, _, part = problem.field.removeprefix("panel_").partition("_")
    if not row.isdigit() or part not in alike.FIELD_OF:
        return problem
    if part in alike.SIZES and texts.get(problem.field, "").strip():
        return problem
    return FieldProblem(alike.FIELD_OF[part], problem.message)


def _plan_anchors(drawn: DrawingRead) -> None:
    """Add what is wrong with the spacing of the anchors to the problems."""
    drawing = Drawing(drawn.drawing)
    try:
        plans = [anchored.jamb_anchors(drawing, "left"), anchored.jamb_anchors(drawing, "right")]
        plans.append(anchored.head_anchors(drawing))
    except InputError as error:
        drawn.problems.append(FieldProblem(_FIELD_OF[error.code], error.message))
        return
    if not all(plan.points for plan in plans):
        words = Msg("So far from the corners there is no place for an anchor.")
        drawn.problems.append(FieldProblem("anchor_end", words))


def _ask_what_is_missing(drawn: DrawingRead) -> None:
    """Add what cannot be built to the problems, and what it hangs on to what is missing."""
    drawing = Drawing(drawn.drawing)
    typed = {problem.field for problem in drawn.problems}
    for question in panel_questions(drawing):
        where = _FIELD_OF.get(question.code, panel_field(1, "kind"))
        if question.code != "drawing-silent" and where not in typed:
            drawn.problems.append(FieldProblem(where, question.message))
    _say_what_is_implied(drawn, drawing)
    width = drawing.length("frame_width")
    beyond = [at for at in drawing.weeps if width is not None and not 0 <= at <= width]
    if beyond:
        words = Msg("A weep at {at} is beyond the frame.", at=Len(beyond[0], "place"))
        drawn.problems.append(FieldProblem("weeps", words))


def _say_what_is_implied(drawn: DrawingRead, drawing: Drawing) -> None:
    """Say what an open jamb face or overlap must be; a problem where no such one can be."""
    implied = implied_length(drawing)
    if implied is None:
        return
    field, size = implied
    what = Msg(title_of(field))
    if size < 0:
        words = Msg(
            "The panels do not fit this frame, whatever “{what}” is. Ask the office.", what=what
        )
        drawn.problems.append(FieldProblem("frame_width", words))
        return
    drawn.missing.append(
        Msg("“{what}”: for the panels to add up it is {size}", what=what, size=Len(size))
    )


_LISTED = (
    ("weeps", Msg("Weeps")),
    ("shims", Msg("Shims")),
    ("locks", Msg("Locks")),
    ("parts", Msg("Parts")),
)


def _left_open(drawing: Json) -> list[Msg]:
    asks = Drawing(drawing).asks
    open_ones = [name for group, name, _ in VALUES if name not in drawing[group] and asks(name)]
    out = [Msg(title_of(name)) for name in open_ones]
    out.extend(words for name, words in _LISTED if not drawing.get(name) and asks(name))
    if not drawing["set_from"]:
        out.append(Msg("Set from"))
    unweighed = [panel["letter"] for panel in drawing["panels"] if not panel["mass"]]
    return [*out, *(Msg("Weight of panel {letter}", letter=letter) for letter in unweighed)]


class _Reader:
    """Reads one drawing's texts and gathers the problems."""

    def __init__(self, texts: dict[str, str], terms: Terms) -> None:
        self.together = alike.are_together(texts)
        self.texts = alike.spread_over_rows(texts) if self.together else texts
        self.terms = terms
        self.problems: list[FieldProblem] = []
        # what the form showed of the drawing before, and that drawing's own values
        self.shown = texts_of(terms.before, terms.units, terms.limits) if terms.before else {}

    def wrong(self, name: str, message: Msg) -> None:
        self.problems.append(FieldProblem(name, message))

    def text(self, name: str, most: int = MOST_TEXT) -> str:
        found = self.texts.get(name, "").strip()
        if len(found) > most:
            self.wrong(name, Msg("At most {count} characters fit here.", count=most))
            return found[:most]
        return found

    def plain(self, name: str) -> str:
        found = self.text(name)
        if not found and name in _NEEDED:
            self.wrong(name, _NEEDED[name])
        elif found and found not in CHOICES.get(name, (found,)):
            words = Msg("Choose one of: {choices}.", choices=", ".join(CHOICES[name]))
            self.wrong(name, words)
        elif found and name == "date" and not _is_date(found):
            self.wrong(name, Msg("Write the date as year-month-day, like 2026-03-02."))
        return found

    def amount(self, name: str, quantity: str, kept: str = "", negative: bool = False) -> str:
        """Return an amount in base units as decimal text; "" where there is none or it is wrong."""
        text = self.text(name)
        if text and kept and text == self.shown.get(name):
            return kept
        return self.said(name, text, quantity, negative) if text else ""

    def said(self, name: str, text: str, quantity: str, negative: bool = False) -> str:
        try:
            return str(_parsed_amount(quantity, text, self.terms.units, negative))
        except InputError as error:
            self.wrong(name, error.message)
            return ""

    def group(self, group: str) -> Json:
        before = self.terms.before.get(group, {})
        made = {
            name: self.amount(name, quantity, before.get(name, ""))
            for of, name, quantity in VALUES
            if of == group
        }
        return {name: value for name, value in made.items() if value}

    def lengths_given(self, lengths: Json) -> None:
        """Find a problem with every length that the procedure needs and nobody typed."""
        typed = {problem.field for problem in self.problems}
        for name in self.terms.needed:
            if name not in typed and not int(lengths.get(name, "0")):
                self.wrong(name, LENGTH_NEEDED)

    def panels(self) -> list[Json]:
        rows = [row for row in range(1, MOST_PANELS + 1) if self._is_used(row)]
        made = [self._panel(row, LETTERS[k]) for k, row in enumerate(rows)]
        if not rows:
            self.wrong(panel_field(1, "kind"), Msg("Describe the panels, from the left."))
        elif self.together:
            self._panels_together(len(rows))
        return [panel for panel in made if panel is not None]

    def _panels_together(self, panels: int) -> None:
        """Find what is said of panels that are not there."""
        kinds = alike.kinds_in(self.text("panels_kinds"))
        if len(kinds) > MOST_PANELS:
            words = Msg("No more than {count} fit here.", count=MOST_PANELS)
            self.wrong("panels_kinds", words)
        if len(alike.tracks_in(self.text("panels_tracks"), len(kinds))) > panels:
            words = Msg("There are more tracks than panels: give each panel the number of its own.")
            self.wrong("panels_tracks", words)
        for letter in alike.kinds_in(self.text("panels_leads")):
            if letter not in LETTERS[:panels]:
                words = Msg("There is no panel {letter}.", letter=letter)
                self.wrong("panels_leads", words)

    def _is_used(self, row: int) -> bool:
        return any(self.texts.get(panel_field(row, part), "").strip() for part in PANEL)

    def _panel(self, row: int, letter: str) -> Json | None:
        before = self._panel_before(row)
        count = len(self.problems)
        kind = self.text(panel_field(row, "kind")).upper()
        if kind not in KINDS:
            self.wrong(panel_field(row, "kind"), Msg("Panel {letter}: X, O or P?", letter=letter))
        made = {
            "letter": letter,
            "kind": kind,
            "track": self._needed(row, "track", "count", letter),
            "width": self._needed(row, "width", "length", letter, before),
            "height": self._needed(row, "height", "length", letter, before),
            "lead": self._lead(row, letter),
            "mass": self.amount(panel_field(row, "mass"), "mass", before.get("mass", "")),
        }
        if len(self.problems) > count:
            return None
        return {**made, "track": int(str(made["track"]))}

    def _lead(self, row: int, letter: str) -> bool:
        said = self.text(panel_field(row, "lead")).lower()
        if said not in ("", "yes", "no"):
            words = Msg(
                "Panel {letter}: does it lead? Write yes, or leave it empty.", letter=letter
            )
            self.wrong(panel_field(row, "lead"), words)
        return said == "yes"

    def _panel_before(self, row: int) -> Json:
        panels = self.terms.before.get("panels", [])
        return panels[row - 1] if row <= len(panels) else {}

    def _needed(
        self, row: int, part: str, quantity: str, letter: str, before: Json | None = None
    ) -> str:
        name = panel_field(row, part)
        if not self.text(name):
            self.wrong(name, _OF_PANEL[part](letter))
            return ""
        return self.amount(name, quantity, (before or {}).get(part, ""))

    def _lines(self, name: str) -> list[str]:
        return [line.strip() for line in _LINES.split(self.text(name, MOST_LIST)) if line.strip()]

    def amounts(self, name: str) -> list[str]:
        before = self.terms.before.get(name, [])
        if before and self._lines(name) == self.shown.get(name, "").split("\n"):
            return list(before)
        pieces = [p.strip() for line in self._lines(name) for p in line.split(";") if p.strip()]
        return [value for p in pieces if (value := self.said(name, p, "length"))]

    def parts(self) -> list[Json]:
        made = [self._part(n, line) for n, line in enumerate(self._lines("parts"), 1)]
        kept = [part for part in made if part is not None]
        marks = [part["mark"] for part in kept]
        for mark in sorted({mark for mark in marks if marks.count(mark) > 1}):
            self.wrong("parts", Msg("The mark {mark} stands twice on the parts list.", mark=mark))
        return kept

    def _part(self, n: int, line: str) -> Json | None:
        pieces = [p.strip() for p in re.split(r"[;\t]", line)]
        if len(pieces) == 3:
            pieces.append("")
        if len(pieces) != 4 or not pieces[0] or not pieces[1]:
            words = Msg("Line {n} of the parts list: write mark; what; count; step.", n=n)
            self.wrong("parts", words)
            return None
        mark, what, count, step = pieces
        if not (count.isascii() and count.isdigit() and len(count) <= 6 and int(count) > 0):
            self.wrong("parts", Msg("Line {n} of the parts list: how many?", n=n))
            return None
        if step and self.terms.steps and step not in self.terms.steps:
            words = Msg("Line {n} of the parts list: there is no step {step}.", n=n, step=step)
            self.wrong("parts", words)
        return {"mark": mark, "what": what, "count": int(count), "step": step}

    def limits(self) -> Json:
        known = {limit.name: limit for limit in self.terms.limits}
        made = {
            name: value
            for name, value in self.terms.before.get("limits", {}).items()
            if name not in known
        }
        for line in self._lines("limits"):
            name, _, text = (piece.strip() for piece in line.partition("="))
            if name not in known or not text:
                words = Msg("“{line}” is no limit: write check.limit = amount.", line=line)
                self.wrong("limits", words)
            else:
                made[name] = self.said("limits", text, known[name].quantity, negative=True)
        for name, limit in known.items():
            before = self.terms.before.get("limits", {}).get(name, "")
            value = self.amount("limit." + name, limit.quantity, before, negative=True)
            if value:
                made[name] = value
        return {name: value for name, value in made.items() if value}


_OF_PANEL = {
    "track": lambda letter: Msg("Panel {letter}: on which track?", letter=letter),
    "width": lambda letter: Msg("Panel {letter}: how wide?", letter=letter),
    "height": lambda letter: Msg("Panel {letter}: how high?", letter=letter),
}


@lru_cache(maxsize=20_000)
def _parsed_amount(quantity: str, text: str, units: str, negative: bool) -> int:
    """Read an amount; many rows of a file say the same."""
    return parse_amount(quantity, text, units, negative)


def _is_date(text: str) -> bool:
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False
