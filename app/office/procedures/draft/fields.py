"""The fields of each small form of a draft: what they are called, where they stand in the file.

A form is a group of a part: the words of a point, the places of a point, the limits of a check.
"""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from app.core.checks.base import Spec
from app.core.checks.index import CALCS, CLOCK, load
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.trade.drawing import LENGTHS, OF_PANEL, title_of
from app.core.where.places import CHOICES, KINDS
from app.office.procedures.limit_changes import RANK_WORDS
from app.procedures.amounts import QUANTITIES, AmountError, read_asked
from app.procedures.limits import PANEL_FIELDS, drawing_fields
from app.procedures.parts import ASKED, HOWS, OTHER_QUANTITIES, TOOLS

MOST_TEXT = 2000
Errors = dict[str, Msg]
Put = tuple[Sequence[str], object]  # a path in the part, and the value that goes there
Choice = tuple[str, Msg | str]


WHOLE_STEP = "rest"  # in an address in the place of a step's letter: what stands in no step


def night_id(night: Json) -> str:
    """Return what tells one thing that is read after a night from the others."""
    return f"{night.get('point', '')}.{night.get('at', '')}"


@dataclass(frozen=True)
class DraftPlace:
    """Where a form stands: the draft as it is written, the step, the kind of part, its id."""

    written: Json
    step: str
    what: str
    id: str

    @property
    def step_written(self) -> Json:
        """Return the step as it is written; at WHOLE_STEP the procedure, with its nights by id."""
        if self.step == WHOLE_STEP:
            nights = [self._night_written(one) for one in self.written.get("nights", [])]
            return {**self.written, "nights": nights}
        steps: list[Json] = self.written["steps"]
        return next((one for one in steps if one["id"] == self.step), {})

    @property
    def part(self) -> Json:
        """Return the part as it is written; {} for a new one, or one that is gone."""
        if self.what in ("steps", "procedure"):
            return self.step_written
        parts: list[Json] = self.step_written.get(self.what, [])
        return next((one for one in parts if one["id"] == self.id), {})

    def _night_written(self, night: Json) -> Json:
        points = [one for step in self.written["steps"] for one in step.get("points", [])]
        title = next((one.get("title", "") for one in points if one["id"] == night["point"]), "")
        return {**night, "id": night_id(night), "title": f"{title}: {night.get('at', '')}"}

    @property
    def earlier(self) -> list[Json]:
        """Return the steps up to this one: what a check of this step may look at."""
        ids = [one["id"] for one in self.written["steps"]]
        if self.step not in ids:
            return []
        out: list[Json] = self.written["steps"][: ids.index(self.step) + 1]
        return out


@dataclass(frozen=True)
class DraftField:
    """A field of a form. path: in the part, to which the loader's problems are brought back.

    label: a text where the file itself says it.
    """

    name: str
    label: Msg | str
    path: tuple[str, ...]
    kind: str = "text"  # text, area, select, check, lines, paragraphs
    needed: bool = False
    quantity: str = ""
    choices: tuple[Choice, ...] = ()
    hint: Msg | None = None


def _read_field(one: DraftField, part: Json) -> str:
    value: object = part
    for name in one.path:
        value = value.get(name, "") if isinstance(value, dict) else ""
    if one.kind == "check":
        return "yes" if value in ("true", "never") else ""
    if isinstance(value, list):
        return ("\n\n" if one.kind == "paragraphs" else "\n").join(value)
    return value if isinstance(value, str) else ""


def _put_field(one: DraftField, typed: dict[str, str], errors: Errors) -> Put:
    """Return what a field puts where; what is wrong with it goes into errors."""
    given = typed.get(one.name, "").strip()
    if one.kind == "check":
        return one.path, ("never" if one.path == ("rank",) else "true") if given else ""
    if one.kind == "paragraphs":
        parts = [" ".join(text.split()) for text in re.split(r"\r?\n\s*\r?\n", given)]
        return one.path, [text for text in parts if text]
    if one.kind == "lines":
        return one.path, [" ".join(text.split()) for text in given.splitlines() if text.strip()]
    text = " ".join(given.split())
    if not text and one.needed:
        errors[one.name] = Msg("Choose one.") if one.kind == "select" else Msg("Fill this in.")
    if len(text) > MOST_TEXT:
        errors[one.name] = Msg("At most {count} characters fit here.", count=MOST_TEXT)
    if one.kind == "select" and text and text not in [value for value, _ in one.choices]:
        errors[one.name] = Msg("Choose one.")
    if one.quantity and text:
        try:
            read_asked(text, one.quantity)
        except AmountError as error:
            errors[one.name] = error.message
    return one.path, text


@dataclass(frozen=True)
class DraftGroup:
    """A small form. listed: its fields for a part, given what was typed so far."""

    title: Msg
    listed: Callable[[DraftPlace, dict[str, str]], list[DraftField]]
    # what must not go by its fields one by one; each may be left out
    read_more: Callable[[DraftPlace], dict[str, str]] = field(default=lambda _: {})
    put_more: Callable[[DraftPlace, dict[str, str], Errors], list[Put]] = field(
        default=lambda _, __, ___: []
    )

    def read(self, place: DraftPlace) -> dict[str, str]:
        """Return what stands in the draft, as it would be typed."""
        more = self.read_more(place)
        return {
            one.name: more.get(one.name, _read_field(one, place.part) if one.path else "")
            for one in self.listed(place, more)
        }

    def put(self, place: DraftPlace, typed: dict[str, str], errors: Errors) -> list[Put]:
        """Return what goes where; what is wrong goes into errors, by the names of fields."""
        listed = self.listed(place, typed)
        own = [_put_field(one, typed, errors) for one in listed]
        return [put for put in own if put[0] and put[0][0] != "-"] + self.put_more(
            place, typed, errors
        )


def always_fields(*fields: DraftField) -> Callable[[DraftPlace, dict[str, str]], list[DraftField]]:
    return lambda _, __: list(fields)


def choices_of_words(values: Iterable[str]) -> tuple[Choice, ...]:
    return tuple((value, Msg(value.replace("_", " "))) for value in values)


WITH_UNIT = Msg("with its unit, such as 1/16 in or 1.5 mm")
TITLE = DraftField("title", Msg("Title"), ("title",), needed=True)
_REASON = DraftField("reason", Msg("Why the company keeps it"), ("reason",), "area")
ID_LETTER = DraftField(
    "id",
    Msg("Letter of the step"),
    ("id",),
    needed=True,
    hint=Msg("a capital letter, perhaps with a digit"),
)


def after_field(place: DraftPlace, _: dict[str, str]) -> list[DraftField]:
    points = tuple(
        (one["id"], one.get("title", "")) for one in place.step_written.get("points", [])
    )
    label = Msg("Comes after the point")
    return [DraftField("after", label, ("after",), "select", choices=points)]


TASK = (
    DraftField("text", Msg("What is to be done"), ("text",), "area", needed=True),
    DraftField(
        "kind",
        Msg("How it is answered"),
        ("kind",),
        "select",
        choices=(("tick", Msg("ticked")), ("photo", Msg("by a photo"))),
    ),
    DraftField(
        "rank", Msg("Keeps people safe: ticked by itself, never at once"), ("rank",), "check"
    ),
    DraftField(
        "none", Msg("For a photo: what one tap says where there is nothing to show"), ("none",)
    ),
)


_QUANTITY = DraftField(
    "quantity",
    Msg("What is read"),
    ("quantity",),
    "select",
    needed=True,
    choices=choices_of_words((*QUANTITIES, *OTHER_QUANTITIES)),
)
_TOOL = DraftField(
    "tool", Msg("With what"), ("tool",), "select", needed=True, choices=choices_of_words(TOOLS)
)
HINT = DraftField("hint", Msg("How to read it, in a sentence"), ("hint",), "area")
_NEAR = tuple((name, Msg(title_of(name).strip())) for name, *_ in LENGTHS)
READING = (
    _QUANTITY,
    _TOOL,
    DraftField(
        "how", Msg("From what it is read"), ("how",), "select", choices=choices_of_words(HOWS)
    ),
    DraftField("info", Msg("for information only"), ("info",), "check"),
    DraftField("closing", Msg("closed on the first place"), ("closing",), "check"),
    DraftField("signed", Msg("may be below zero"), ("signed",), "check"),
    DraftField(
        "straightedge",
        Msg("Under a straightedge of this length, swept along the floor"),
        ("straightedge",),
        quantity="length",
        hint=WITH_UNIT,
    ),
    DraftField(
        "near",
        Msg("Asked back when far off this length of the drawing"),
        ("near",),
        "select",
        choices=(*((name, Msg(name.replace("_", " "))) for name in OF_PANEL), *_NEAR),
    ),
)
_OPTIONS = {
    "spacing": Msg("How far apart"),
    "merge": Msg("Places nearer than this are one"),
    "apart": Msg("How far the places of a stack are apart"),
    "margin": Msg("How far low and high are from the ends"),
    "jamb": Msg("Which jamb"),
    "levels": Msg("At which heights"),
    "member": Msg("Of which member"),
    "which": Msg("At which panels"),
    "at": Msg("Where at the panel"),
    "tries": Msg("How often"),
    "only": Msg("Only at"),
    "items": Msg("Places, a line each: name | title | side"),
}


def where_group(root: str, title: Msg, needed: bool) -> DraftGroup:
    """Return the form of a point's places. root: where, or short (left empty: the same places)."""

    def listed(_: DraftPlace, typed: dict[str, str]) -> list[DraftField]:
        kind = typed.get("kind", "")
        first = DraftField(
            "kind",
            Msg("Kind of places"),
            (root, "kind"),
            "select",
            needed,
            choices=choices_of_words(KINDS),
        )
        options = KINDS[kind][2] if kind in KINDS else {}
        return [first, *(_option_field(root, name, holds) for name, holds in options.items())]

    def read_more(place: DraftPlace) -> dict[str, str]:
        raw = place.part.get(root, {})
        out = {"kind": raw.get("kind", "")}
        for name in raw:
            value = raw[name]
            if isinstance(value, list):
                lines = [_item_line(one) if isinstance(one, dict) else str(one) for one in value]
                value = "\n".join(lines) if name == "items" else ", ".join(lines)
            out[name] = value
        return out

    def put_more(_: DraftPlace, typed: dict[str, str], errors: Errors) -> list[Put]:
        kind = typed.get("kind", "")
        if kind not in KINDS:
            return [((root,), "")]
        where: Json = {"kind": kind}
        for name, holds in KINDS[kind][2].items():
            plain = name.rstrip("?")
            given = typed.get(plain, "").strip()
            if given:
                where[plain] = _option_value(plain, holds, given, errors)
        return [((root,), where)]

    return DraftGroup(title, _without_paths(listed), read_more, put_more)


def _without_paths(
    listed: Callable[[DraftPlace, dict[str, str]], list[DraftField]],
) -> Callable[[DraftPlace, dict[str, str]], list[DraftField]]:
    """Return fields that are put all together by put_more; their paths bring problems back."""
    return lambda place, typed: [
        DraftField(
            one.name,
            one.label,
            ("-", *one.path),
            one.kind,
            one.needed,
            one.quantity,
            one.choices,
            one.hint,
        )
        for one in listed(place, typed)
    ]


def _option_field(root: str, name: str, holds: str) -> DraftField:
    plain, path = name.rstrip("?"), (root, name.rstrip("?"))
    needed = not name.endswith("?")
    if holds == "length":
        return DraftField(plain, _OPTIONS[plain], path, "text", needed, "length", hint=WITH_UNIT)
    if holds == "words":
        choices = choices_of_words(CHOICES[plain])
        return DraftField(plain, _OPTIONS[plain], path, "select", needed, choices=choices)
    if holds == "items":
        return DraftField(plain, _OPTIONS[plain], path, "area", needed)
    hint = Msg("of these, with commas: {words}", words=", ".join(CHOICES[plain]))
    return DraftField(plain, _OPTIONS[plain], path, "text", needed, hint=hint)


def _item_line(one: Json) -> str:
    return " | ".join(one[name] for name in ("id", "title", "side") if one.get(name))


def _option_value(name: str, holds: str, given: str, errors: Errors) -> object:
    if holds == "items":
        out = []
        for line in given.splitlines():
            cells = [cell.strip() for cell in line.split("|")]
            if not line.strip():
                continue
            if len(cells) not in (2, 3) or not all(cells):
                errors[name] = Msg("Each line needs a name and a title, with | between them.")
            out.append(dict(zip(("id", "title", "side"), cells, strict=False)))
        return out
    if holds != "list":
        return given
    words = [word.strip() for word in given.split(",") if word.strip()]
    if any(word not in CHOICES[name] for word in words):
        errors[name] = Msg("of these, with commas: {words}", words=", ".join(CHOICES[name]))
    return words


MOST_CHECKS = 4
_ASKED_WORDS = {
    "always": Msg("always"),
    "full": Msg("only at full depth"),
    "short": Msg("only at short depth"),
    "when": Msg("at full depth, and as soon as one of these is out"),
    "until": Msg("at short depth, until one of these is out"),
}


def asking_fields(place: DraftPlace, _: dict[str, str]) -> list[DraftField]:
    checks = tuple(
        (one["id"], f"{step['id']} {one.get('title', '')}")
        for step in place.earlier
        for one in step.get("checks", [])
    )
    words = tuple((value, _ASKED_WORDS[value]) for value in (*ASKED, "when", "until"))
    first = DraftField("asked", Msg("When it is asked"), ("-", "asked"), "select", choices=words)
    label = Msg("Check")
    return [
        first,
        *(
            DraftField(f"check.{n}", label, ("-", "asked"), "select", choices=checks)
            for n in range(1, MOST_CHECKS + 1)
        ),
    ]


def read_asking(place: DraftPlace) -> dict[str, str]:
    raw = place.part.get("asked", "always")
    if isinstance(raw, str):
        return {"asked": raw}
    word = "until" if "until" in raw else "when"
    checks = raw[word] if isinstance(raw[word], list) else [raw[word]]
    return {"asked": word, **{f"check.{n}": id for n, id in enumerate(checks, 1)}}


def put_asking(place: DraftPlace, typed: dict[str, str], errors: Errors) -> list[Put]:
    word = typed.get("asked", "")
    raw = place.part.get("asked", "")
    chosen = [typed.get(f"check.{n}", "") for n in range(1, MOST_CHECKS + 1)]
    checks = [id for id in chosen if id]
    if isinstance(raw, dict):  # more than the form has fields for stay
        more = raw.get("when") or raw.get("until") or []
        checks += more[MOST_CHECKS:] if isinstance(more, list) else []
    if word not in ("when", "until"):
        if checks:
            errors["asked"] = Msg("Only “as soon as” and “until” go by checks.")
        return [(("asked",), "" if word == "always" else word)]
    if not checks:
        errors["check.1"] = Msg("Choose one.")
    return [(("asked",), {word: checks[0] if len(checks) == 1 else checks} if checks else "")]


def spec_by(calc: str) -> Spec | None:
    """Return what a calculation takes, None where it is unknown."""
    return load(calc)[1] if calc in CALCS else None


def points_by_id(place: DraftPlace) -> dict[str, Json]:
    """Return the points that a check of this step may look at."""
    return {one["id"]: one for step in place.earlier for one in step.get("points", [])}


def quantity_of(place: DraftPlace, spec: Spec, wanted: str, inputs: Json) -> str:
    """Return the quantity of a limit; of one that takes any, that of the check's points."""
    if wanted != "any":
        return wanted
    points = points_by_id(place)
    for input, quantity in spec.points.items():
        point = points.get(inputs.get(input, ""))
        if quantity == "any" and point is not None:
            return str(point.get("quantity", ""))
    return ""


def limit_fields(place: DraftPlace, typed: dict[str, str]) -> list[DraftField]:
    part = place.part
    if place.what == "clocks":
        named = [name for name in ("least", "most") if name in part]
        times = tuple(
            (one["id"], f"{step['id']} {one.get('title', '')}")
            for step in place.earlier
            for one in step.get("points", [])
            if one.get("quantity") == "duration"
        )
        label = Msg("Or the crew types it, at")
        return [
            f
            for name in named
            for f in (
                *_limit_pair(name, "duration", (name,)),
                DraftField(f"typed.{name}", label, ("-", name), "select", choices=times),
            )
        ]
    calc = part.get("calc") or typed.get("calc", "")
    spec = spec_by(calc)
    if spec is None:
        return []
    inputs = part.get("points") or {input: typed.get(f"input.{input}", "") for input in spec.points}
    fields = []
    for name, wanted in spec.limits.items():
        quantity = quantity_of(place, spec, wanted, inputs)
        if quantity in QUANTITIES:
            fields += _limit_pair(name, quantity, ("limits", name))
    for name, wanted in spec.settings.items():
        if name == "quantity":
            continue
        quantity = wanted if wanted in QUANTITIES else ""
        fields.append(_setting_field(name, quantity))
    return fields


def _setting_field(name: str, quantity: str) -> DraftField:
    path = ("settings", name)
    if name == "remedy":
        return DraftField(f"setting.{name}", Msg("What puts it right, in a sentence"), path, "area")
    if name == "field":
        choices = drawn_choices("")
        return DraftField(
            f"setting.{name}", Msg("Field of the drawing"), path, "select", choices=choices
        )
    label = Msg("Setting {name}", name=name)
    hint = WITH_UNIT if quantity and quantity != "count" else None
    return DraftField(f"setting.{name}", label, path, "text", quantity=quantity, hint=hint)


def drawn_choices(quantity: str) -> tuple[Choice, ...]:
    known = {**drawing_fields(), **PANEL_FIELDS}
    return tuple(
        (name, Msg(name.replace("_", " ")) if title_of(name) == name else Msg(title_of(name)))
        for name, of in known.items()
        if quantity in ("", of)
    )


_LIMIT_LABELS = {
    "least": Msg("At least"), "most": Msg("At most"), "target": Msg("As drawn"),
}  # fmt: skip


def _limit_pair(name: str, quantity: str, path: tuple[str, ...]) -> list[DraftField]:
    label = _LIMIT_LABELS.get(name, Msg("Limit {name}", name=name.replace("_", " ")))
    hint = None if quantity == "count" else HINTS.get(quantity, WITH_UNIT)
    return [
        DraftField(f"limit.{name}", label, ("-", *path), quantity=quantity, hint=hint),
        DraftField(
            f"drawn.{name}",
            Msg("{limit}: or the drawing gives it", limit=label),
            ("-", *path),
            "select",
            choices=drawn_choices(quantity),
        ),
    ]


HINTS = {
    "duration": Msg("with its unit, such as 15 min"),
    "force": Msg("with its unit, such as 8 lbf or 35 N"),
    "mass": Msg("with its unit, such as 90 lb or 40 kg"),
    "fraction": Msg("with its unit, such as 85 %"),
    "temperature": Msg("with its unit, such as 40 degF or 5 degC"),
    "temperature-difference": Msg("with its unit, such as 5 delta_degF"),
}


def _limit_names(fields: list[DraftField]) -> list[tuple[str, tuple[str, ...]]]:
    return [(f.name[6:], f.path[1:]) for f in fields if f.name.startswith("limit.")]


def read_limits(place: DraftPlace) -> dict[str, str]:
    out: dict[str, str] = {}
    for name, path in _limit_names(limit_fields(place, {})):
        raw: object = place.part
        for key in path:
            raw = raw.get(key, "") if isinstance(raw, dict) else ""
        if isinstance(raw, dict):
            out[f"drawn.{name}"] = raw.get("drawing", "")
            out[f"typed.{name}"] = raw.get("point", "")
        else:
            out[f"limit.{name}"] = str(raw)
    return out


def put_limits(place: DraftPlace, typed: dict[str, str], errors: Errors) -> list[Put]:
    out: list[Put] = []
    for name, path in _limit_names(limit_fields(place, typed)):
        given = " ".join(typed.get(f"limit.{name}", "").split())
        drawn = typed.get(f"drawn.{name}", "")
        point = typed.get(f"typed.{name}", "")
        if len([one for one in (given, drawn, point) if one]) > 1:
            errors[f"limit.{name}"] = Msg("A number, or the drawing's: one of them.")
        value = {"drawing": drawn} if drawn else {"point": point} if point else given
        out.append((path, value))
    return out


BASIS = (
    DraftField(
        "basis",
        Msg("Where its limit comes from"),
        ("-", "basis"),
        "select",
        needed=True,
        choices=(
            ("practice", Msg("company limit, no published standard")),
            ("drawing", Msg("the shop drawing")),
            ("product", Msg("the product's data sheet")),
            ("standard", Msg("a published standard")),
        ),
    ),
    DraftField("standard", Msg("Standard, with its number"), ("-", "basis", "standard")),
    DraftField("clause", Msg("Clause of the standard"), ("-", "basis", "clause")),
    _REASON,
)


def read_basis(place: DraftPlace) -> dict[str, str]:
    raw = place.part.get("basis", "")
    return {"basis": "standard", **raw} if isinstance(raw, dict) else {"basis": raw}


def put_basis(_: DraftPlace, typed: dict[str, str], errors: Errors) -> list[Put]:
    kind = typed.get("basis", "")
    told = {name: " ".join(typed.get(name, "").split()) for name in ("standard", "clause")}
    if kind == "standard":
        for name, text in told.items():
            if not text:
                errors[name] = Msg("Fill this in.")
        return [(("basis",), told)]
    if told["standard"] or told["clause"]:
        errors["basis"] = Msg("A standard is named below: choose “a published standard”.")
    if kind == "practice" and not typed.get("reason", "").strip():
        errors["reason"] = Msg("Say why the company keeps it: no standard stands behind it.")
    return [(("basis",), kind)]


RANK = DraftField(
    "rank",
    Msg("Who may concede it"),
    ("rank",),
    "select",
    needed=True,
    choices=tuple(RANK_WORDS.items()),
)


def input_fields(place: DraftPlace, typed: dict[str, str]) -> list[DraftField]:
    spec = spec_by(place.part.get("calc") or typed.get("calc", ""))
    if spec is None:
        return []
    points = points_by_id(place)
    return [
        DraftField(
            f"input.{input}",
            Msg("Looks at, as {input}", input=input),
            ("points", input),
            "select",
            input not in spec.optional,
            choices=tuple(
                (id, one.get("title", ""))
                for id, one in points.items()
                if wanted in ("any", one.get("quantity", ""))
            ),
        )
        for input, wanted in spec.points.items()
    ]


def new_check_fields(place: DraftPlace, typed: dict[str, str]) -> list[DraftField]:
    calc = DraftField("calc", Msg("Calculation"), ("calc",), "select", needed=True, choices=_CALCS)
    if spec_by(typed.get("calc", "")) is None:
        return [TITLE, calc]
    inputs = input_fields(place, typed)
    known = all(typed.get(one.name) for one in inputs if one.needed)
    limits = limit_fields(place, typed) if known else []
    return [TITLE, calc, *inputs, *limits, *BASIS, RANK]


def put_new_check(place: DraftPlace, typed: dict[str, str], errors: Errors) -> list[Put]:
    return put_limits(place, typed, errors) + put_basis(place, typed, errors)


_CALCS = tuple((name, Msg(name.replace("-", " "))) for name in CALCS if name != CLOCK)
NEW_WHERE = where_group("where", Msg("Where it is measured"), needed=True)


def new_point_fields(place: DraftPlace, typed: dict[str, str]) -> list[DraftField]:
    return [TITLE, _QUANTITY, _TOOL, *NEW_WHERE.listed(place, typed), HINT]


STEP_WORDS = (TITLE, DraftField("about", Msg("What it says of itself"), ("about",), "area"))
SIGNING = (
    DraftField("hold", Msg("hold point"), ("hold",), "check"),
    DraftField("parts", Msg("goes through the parts list"), ("parts",), "check"),
    DraftField(
        "per",
        Msg("Signed for each"),
        ("per",),
        "select",
        choices=(("panel", Msg("panel")), ("fixed-panel", Msg("fixed panel"))),
    ),
)
CAUTIONS = (
    DraftField(
        "cautions",
        Msg("Cautions before its first task"),
        ("cautions",),
        "paragraphs",
        hint=Msg("an empty line between two"),
    ),
    DraftField(
        "reminders",
        Msg("Reminders that stay on its page"),
        ("reminders",),
        "lines",
        hint=Msg("one a line"),
    ),
)


def fresh_id(written: Json, step: str, title: str) -> str:
    """Return an id that nothing in the procedure has yet, made of a title."""
    folded = "".join(sign if sign.isascii() and sign.isalnum() else "-" for sign in title.lower())
    words = [word for word in folded.split("-") if word][:6]
    start = "-".join(words)[:40].strip("-")
    if not start or not start[0].isalpha():
        start = f"{step.lower()}-{start}".strip("-")
    used = set(_ids_in(written))
    number = 2
    name = start
    while name in used:
        name, number = f"{start}-{number}", number + 1
    return name


def _ids_in(value: Any) -> list[str]:
    if isinstance(value, dict):
        own = [value["id"]] if isinstance(value.get("id"), str) else []
        return own + [id for one in value.values() for id in _ids_in(one)]
    if isinstance(value, list):
        return [id for one in value for id in _ids_in(one)]
    return []
