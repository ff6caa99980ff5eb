"""Forms for what names other parts: what offers a task, a point's purpose, what a move spoils.

Of the whole procedure too: its doors and language, and what is measured again after a night.
"""

from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record import matters, nights
from app.core.record.purposes import PURPOSES
from app.core.trade.door_systems import DOOR_SYSTEMS
from app.core.where.places import CHOICES
from app.office.procedures.draft.fields import (
    BASIS,
    RANK,
    TITLE,
    WITH_UNIT,
    Choice,
    DraftField,
    DraftGroup,
    DraftPlace,
    Errors,
    Put,
    choices_of_words,
    drawn_choices,
    fresh_id,
    put_basis,
    read_basis,
)

MOST_SETTLED = 3
NEW_CHOICES = ("+1", "+2")  # empty rows for choices to come
Typed = dict[str, str]


def parts_to_name(steps: list[Json], what: str, quantity: str = "") -> tuple[Choice, ...]:
    """Return the parts of a kind in these steps, for a list to choose from."""
    return tuple(
        (one["id"], f"{step['id']} {one.get('title') or one.get('text', '')}")
        for step in steps
        for one in step.get(what, [])
        if quantity in ("", one.get("quantity", ""))
    )


def _one_line(text: str) -> str:
    return " ".join(text.split())


# ---- tasks: the checks that offer one


def _settled_fields(place: DraftPlace, _: Typed) -> list[DraftField]:
    checks = parts_to_name([place.step_written], "checks")
    label = Msg("Offered once this check does not bar")
    return [
        DraftField(f"settled.{n}", label, ("-", "settled"), "select", choices=checks)
        for n in range(1, MOST_SETTLED + 1)
    ]


def _read_settled(place: DraftPlace) -> Typed:
    return {f"settled.{n}": id for n, id in enumerate(place.part.get("settled", []), 1)}


def _put_settled(place: DraftPlace, typed: Typed, _: Errors) -> list[Put]:
    chosen = [typed.get(f"settled.{n}", "") for n in range(1, MOST_SETTLED + 1)]
    more = place.part.get("settled", [])[MOST_SETTLED:]
    return [(("settled",), [*(id for id in chosen if id), *more])]


SETTLED = DraftGroup(Msg("When it is offered"), _settled_fields, _read_settled, _put_settled)


# ---- decisions: their choices


def decision_choice_fields(place: DraftPlace) -> list[DraftField]:
    """Return the fields of a decision's choices, and of two more; an empty one is taken away."""
    ids = [one["id"] for one in place.part.get("choices", [])]
    return [
        one
        for id_ in (*ids, *NEW_CHOICES)
        for one in (
            DraftField(f"choice.{id_}", Msg("Choice"), ("-", "choices", id_, "text")),
            DraftField(
                f"opens.{id_}", Msg("opens the way"), ("-", "choices", id_, "opens"), "check"
            ),
            DraftField(
                f"within.{id_}",
                Msg("only while no check is out or too close"),
                ("-", "choices", id_, "within"),
                "check",
            ),
        )
    ]


def read_decision_choices(place: DraftPlace) -> Typed:
    """Return a decision's choices as they would be typed."""
    out: Typed = {}
    for one in place.part.get("choices", []):
        out[f"choice.{one['id']}"] = one.get("text", "")
        for flag in ("opens", "within"):
            out[f"{flag}.{one['id']}"] = "yes" if one.get(flag) == "true" else ""
    return out


def put_decision_choices(place: DraftPlace, typed: Typed, _: Errors) -> list[Put]:
    """Return what goes where for a decision's choices."""
    out: list[Put] = []
    ids = [one["id"] for one in place.part.get("choices", [])]
    for name in (*ids, *NEW_CHOICES):
        text = _one_line(typed.get(f"choice.{name}", ""))
        id_ = name
        if name in NEW_CHOICES:
            id_ = f"{fresh_id(place.written, place.step, text)}{name[1:]}" if text else ""
        if id_:
            out.append((("choices", id_, "text"), text))
        if id_ and text:
            flags = [(flag, typed.get(f"{flag}.{name}", "")) for flag in ("opens", "within")]
            out += [(("choices", id_, flag), "true" if given else "") for flag, given in flags]
    return out


# ---- points: what the record makes of them


def _record_fields(place: DraftPlace, _: Typed) -> list[DraftField]:
    quantity = place.part.get("quantity", "")
    points = tuple(
        one
        for one in parts_to_name(place.written["steps"], "points", quantity)
        if one[0] != place.id
    )
    purpose = DraftField(
        "purpose",
        Msg("Purpose in record or door model"),
        ("purpose",),
        "select",
        choices=choices_of_words(PURPOSES),
    )
    stand_in = DraftField(
        "instead",
        Msg("Where it is not asked, the record shows this point"),
        ("instead",),
        "select",
        choices=points,
    )
    counted = DraftField(
        "from",
        Msg("Counted from this height, which is not read"),
        ("from",),
        "select",
        choices=choices_of_words(CHOICES["levels"]),
    )
    options = DraftField(
        "choices", Msg("Choices, a line each: name | words"), ("-", "choices"), "area"
    )
    return [purpose, stand_in, counted, *([options] if quantity == "choice" else [])]


def _read_options(place: DraftPlace) -> Typed:
    listed = place.part.get("choices", [])
    return {"choices": "\n".join(f"{one['id']} | {one.get('text', '')}" for one in listed)}


def _put_options(place: DraftPlace, typed: Typed, errors: Errors) -> list[Put]:
    if place.part.get("quantity", "") != "choice":
        return []
    out = []
    for line in typed.get("choices", "").splitlines():
        name, words = (_one_line(cell) for cell in line.partition("|")[::2])
        if not line.strip():
            continue
        if not name or not words:
            errors["choices"] = Msg("Each line needs a name and a title, with | between them.")
        out.append({"id": name, "text": words})
    return [(("choices",), out)]


RECORD_OF_POINT = DraftGroup(Msg("In the record"), _record_fields, _read_options, _put_options)


# ---- checks: what the record makes of them


def _matters_fields(place: DraftPlace, _: Typed) -> list[DraftField]:
    others = tuple(
        one for one in parts_to_name([place.step_written], "checks") if one[0] != place.id
    )
    row = Msg("Row of the record's first sheet that it decides")
    finer = Msg("Once this check is read, it stands for this one")
    return [
        DraftField("matters", row, ("matters",), "select", choices=tuple(matters.MATTERS)),
        DraftField("finer", finer, ("finer",), "select", choices=others),
    ]


RECORD_OF_CHECK = DraftGroup(Msg("In the record"), _matters_fields)


# ---- adjustments: what must be measured again

ASKS = DraftField(
    "asks",
    Msg("It asks which"),
    ("asks",),
    "select",
    choices=(
        ("panel", Msg("panel")),
        ("frame", Msg("jamb or head")),
        ("jamb", Msg("jamb")),
        ("lock", Msg("lock")),
    ),
)
MOVED = DraftField("text", Msg("What was moved"), ("text",), needed=True)


def _stale_fields(place: DraftPlace, _: Typed) -> list[DraftField]:
    """Return a box for each point; those that are named already stand first."""
    named = place.part.get("stale", [])
    points = sorted(
        parts_to_name(place.written["steps"], "points"), key=lambda one: one[0] not in named
    )
    return [DraftField(f"stale.{id}", words, ("-", "stale"), "check") for id, words in points]


def _read_stale(place: DraftPlace) -> Typed:
    return {f"stale.{id}": "yes" for id in place.part.get("stale", [])}


def _put_stale(place: DraftPlace, typed: Typed, errors: Errors) -> list[Put]:
    """Return the points to measure again; those that were named already keep their order."""
    ticked = [one.name for one in _stale_fields(place, {}) if typed.get(one.name)]
    ids = [name.removeprefix("stale.") for name in ticked]
    before = [id for id in place.part.get("stale", []) if id in ids]
    if ticked:
        return [(("stale",), [*before, *(id for id in ids if id not in before)])]
    first = next(iter(_stale_fields(place, {})), None)
    errors[first.name if first else "text"] = Msg("Choose what is measured again.")
    return []


STALE = DraftGroup(Msg("Measured again after it"), _stale_fields, _read_stale, _put_stale)
NEW_ADJUSTMENT = DraftGroup(
    Msg("Add something that can be moved"),
    lambda place, typed: [MOVED, ASKS, *_stale_fields(place, typed)],
    put_more=_put_stale,
)


# ---- clocks: the acts between which they run

_ACTS = {"task": "tasks", "point": "points", "adjustment": "adjustments"}


def clock_points(place: DraftPlace) -> tuple[Choice, ...]:
    """Return the points at which a crew may type how long something took."""
    return parts_to_name(place.earlier, "points", "duration")


def _act_fields(place: DraftPlace, _: Typed) -> list[DraftField]:
    out = []
    for name, label, kinds in (
        ("start", Msg("It starts with"), ("task", "point", "adjustment")),
        ("end", Msg("It ends with"), ("task", "point")),
    ):
        choices = tuple(
            (f"{kind}:{id}", words)
            for kind in kinds
            for id, words in parts_to_name(place.earlier, _ACTS[kind])
        )
        out.append(DraftField(name, label, ("-", name), "select", needed=True, choices=choices))
        where = Msg("At which place of that point, by its name")
        hint = Msg("empty: the only one")
        out.append(DraftField(f"{name}.place", where, ("-", name, "place"), hint=hint))
    typed = Msg("The crew types this time as well, at")
    listed = clock_points(place)
    return [*out, DraftField("typed", typed, ("typed",), "select", choices=listed)]


def _read_acts(place: DraftPlace) -> Typed:
    out: Typed = {}
    for name in ("start", "end"):
        raw = place.part.get(name, {})
        kind = next((one for one in _ACTS if one in raw), "")
        out[name] = f"{kind}:{raw[kind]}" if kind else ""
        out[f"{name}.place"] = raw.get("place", "")
    return out


def _put_acts(_: DraftPlace, typed: Typed, errors: Errors) -> list[Put]:
    out: list[Put] = []
    for name in ("start", "end"):
        kind, id_ = typed.get(name, "").partition(":")[::2]
        at = _one_line(typed.get(f"{name}.place", ""))
        if kind not in _ACTS:
            errors[name] = Msg("Choose one.")
            continue
        if at and kind != "point":
            errors[f"{name}.place"] = Msg("Only a reading has a place.")
        out.append(((name,), {kind: id_, **({"place": at} if at else {})}))
    return out


ACTS = DraftGroup(Msg("What starts and ends it"), _act_fields, _read_acts, _put_acts)
REMEDY = DraftField("remedy", Msg("What puts it right, in a sentence"), ("remedy",), "area")


def _new_clock_fields(place: DraftPlace, typed: Typed) -> list[DraftField]:
    sort = DraftField(
        "sort",
        Msg("It must last"),
        ("-", "least"),
        "select",
        needed=True,
        choices=(("least", Msg("at least")), ("most", Msg("at most"))),
    )
    long = DraftField("time", Msg("How long"), ("-", "most"), quantity="duration", hint=WITH_UNIT)
    drawn = Msg("{limit}: or the drawing gives it", limit=Msg("How long"))
    return [
        TITLE,
        *_act_fields(place, typed),
        sort,
        long,
        DraftField("drawn", drawn, ("-",), "select", choices=drawn_choices("duration")),
        REMEDY,
        *BASIS,
        RANK,
    ]


def _put_new_clock(place: DraftPlace, typed: Typed, errors: Errors) -> list[Put]:
    long, drawn = _one_line(typed.get("time", "")), typed.get("drawn", "")
    if bool(long) == bool(drawn):
        errors["time"] = Msg("A number, or the drawing's: one of them.")
    limit = {"drawing": drawn} if drawn else long
    acts = _put_acts(place, typed, errors)
    return [*acts, ((typed.get("sort") or "least",), limit), *put_basis(place, typed, errors)]


NEW_CLOCK = DraftGroup(Msg("Add a clock"), _new_clock_fields, put_more=_put_new_clock)


# ---- the whole procedure


def _whole_fields(_: DraftPlace, __: Typed) -> list[DraftField]:
    language = DraftField(
        "lang",
        Msg("Language it is written in"),
        ("lang",),
        "select",
        choices=(("en", Msg("English")), ("es", Msg("Spanish"))),
    )
    doors = [DraftField(f"door.{id}", words, ("-", "doors"), "check") for id, words in DOOR_SYSTEMS]
    return [TITLE, language, *doors]


def _read_doors(place: DraftPlace) -> Typed:
    return {f"door.{id}": "yes" for id in place.part.get("doors", [])}


def _put_doors(place: DraftPlace, typed: Typed, errors: Errors) -> list[Put]:
    ticked = [id for id, _ in DOOR_SYSTEMS if typed.get(f"door.{id}")]
    before = [id for id in place.part.get("doors", []) if id in ticked]
    if not ticked:
        errors[f"door.{DOOR_SYSTEMS[0][0]}"] = Msg("Choose a kind of door.")
    return [(("doors",), [*before, *(id for id in ticked if id not in before)])]


WHOLE = DraftGroup(Msg("Title, doors, language"), _whole_fields, _read_doors, _put_doors)

_AT_WORDS = {"first": Msg("the first"), "middle": Msg("the middle one"), "last": Msg("the last")}
_NIGHT = (
    DraftField(
        "at",
        Msg("At which of its places"),
        ("at",),
        "select",
        needed=True,
        choices=tuple((at, _AT_WORDS[at]) for at in nights.AT),
    ),
    DraftField(
        "most",
        Msg("It may have moved, at most"),
        ("most",),
        needed=True,
        quantity="length",
        hint=WITH_UNIT,
    ),
    *BASIS,
)


def _new_night_fields(place: DraftPlace, _: Typed) -> list[DraftField]:
    points = parts_to_name(place.written["steps"], "points", "length")
    label = Msg("Point that is measured again")
    point = DraftField("point", label, ("point",), "select", needed=True, choices=points)
    return [point, *_NIGHT]


NIGHT = DraftGroup(Msg("Its place and limit"), lambda _, __: list(_NIGHT), read_basis, put_basis)
NEW_NIGHT = DraftGroup(Msg("Add what is measured again"), _new_night_fields, put_more=put_basis)
