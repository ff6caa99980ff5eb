"""An opening to practise on, as the form and the columns of a CSV have it.

practice                                   "" for a door that is set, else where: table, mock-up
fault_1_kind, fault_1_at, fault_1_size …   in the form: a fault of trade/planted.py a row
faults                                     in a CSV: kind; at; size, a | between two faults
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from app.core.errors import InputError
from app.core.kinds import Json
from app.core.quantity.measure import parse_amount
from app.core.quantity.messages import Len, Msg
from app.core.record.debrief import fault_stories
from app.core.record.events import MOCK_UP, MOST_FAULTS, TABLE
from app.core.trade.drawing import Drawing
from app.core.trade.planted import ALONG, FAULTS, MOST_SIZE, NOWHERE
from app.office.issue import work
from app.office.issue.writing import text_of
from app.office.pages import form_field

ROWS = MOST_FAULTS
WAYS = {
    "": Msg("No: a door that is set"),
    TABLE: Msg("Yes, at a table: the phone shows what instruments read"),
    MOCK_UP: Msg("Yes, on a mock-up in the shop"),
}
_HINT = Msg("cannot be changed later")
_PARTS = ("kind", "at", "size")
_LABELS = {
    "kind": Msg("Fault"),
    "at": Msg("Place from the LEFT end, or panel"),
    "size": Msg("By how much"),
}


@dataclass(frozen=True)
class TypedFault:
    """A fault as typed, and the fields of its parts."""

    kind: str
    at: str
    size: str
    fields: tuple[str, str, str]


def way_field(say: Callable[[Msg], str], texts: dict[str, str], error: str) -> Json:
    """Return the field that says whether an opening is to practise on."""
    now = texts.get("practice", "")
    choices = [
        {"value": way, "text": say(words), "chosen": way == now} for way, words in WAYS.items()
    ]
    label = say(Msg("To practice on"))
    return form_field(
        "practice", label, now, kind="select", hint=say(_HINT), error=error, choices=choices
    )


def fault_fields(
    say: Callable[[Msg], str], texts: dict[str, str], errors: dict[str, str]
) -> list[Json]:
    """Return the rows of the form in which faults are planted."""
    return [_fault_row(say, texts, errors, row) for row in range(1, ROWS + 1)]


def _fault_row(
    say: Callable[[Msg], str], texts: dict[str, str], errors: dict[str, str], row: int
) -> Json:
    names = {part: f"fault_{row}_{part}" for part in _PARTS}
    chosen = texts.get(names["kind"], "")
    kinds = [
        {"value": kind, "text": say(words), "chosen": kind == chosen}
        for kind, (_, words, _) in FAULTS.items()
    ]
    fields = []
    for part, name in names.items():
        label, text, error = say(_LABELS[part]), texts.get(name, ""), errors.get(name, "")
        kind, choices = ("select", kinds) if part == "kind" else ("text", [])
        fields.append(form_field(name, label, text, kind=kind, error=error, choices=choices))
    return {"title": say(Msg("Fault {row}", row=row)), "fields": fields}


def read_practice(
    texts: dict[str, str], drawing: Json, units: str
) -> tuple[Json | None, dict[str, Msg]]:
    """Return what is said of practice, None for a door that is set; and what is wrong, by field.

    drawing: of the opening, whose panels and width the faults are at.
    """
    way = texts.get("practice", "").strip().casefold()
    if way not in WAYS:
        choices = ", ".join(name for name in WAYS if name)
        return None, {"practice": Msg("Choose one of: {choices}.", choices=choices)}
    errors: dict[str, Msg] = {}
    faults = []
    for row in _rows_typed(texts):
        wrong, fault = _read_fault(row, drawing, units)
        errors |= wrong
        faults.append(fault)
    if faults and not way:
        errors["practice"] = Msg("Faults are planted in an opening to practice on alone.")
    if len(faults) > MOST_FAULTS:
        errors["faults"] = Msg("No more than {count} fit here.", count=MOST_FAULTS)
    return ({"way": way, "faults": faults} if way else None), errors


def unseen_faults(
    texts: dict[str, str], procedure: Json, drawing: Json, depth: str, practice: Json
) -> dict[str, Msg]:
    """Return the planted faults that no point shows which is asked, at the fields of their sizes.

    A trainee could not find them with any instrument that a card asks for.
    """
    state = work.trial_state(procedure, drawing, depth, practice)
    told = Msg("No point that is asked shows this: make it bigger, or measure everything.")
    rows = zip(_rows_typed(texts), fault_stories(state), strict=True)
    return {row.fields[2]: told for row, story in rows if not story.asked}


def _rows_typed(texts: dict[str, str]) -> Iterator[TypedFault]:
    for row in range(1, ROWS + 1):
        names = (f"fault_{row}_kind", f"fault_{row}_at", f"fault_{row}_size")
        kind, at, size = (texts.get(name, "").strip() for name in names)
        if kind or at or size:
            yield TypedFault(kind, at, size, names)
    for line in texts.get("faults", "").split("|"):
        if line.strip():
            kind, at, size, *more = [*(part.strip() for part in line.split(";")), "", "", ""][:4]
            yield TypedFault(kind, at, size if not more[0] else "", ("faults", "faults", "faults"))


def _read_fault(row: TypedFault, drawing: Json, units: str) -> tuple[dict[str, Msg], Json]:
    of_kind, of_at, of_size = row.fields
    if row.kind not in FAULTS:
        choices = ", ".join(FAULTS)
        return {of_kind: Msg("Choose one of: {choices}.", choices=choices)}, {}
    errors: dict[str, Msg] = {}
    size = _length(row.size, units)
    if size is None or not 0 < size <= MOST_SIZE:
        errors[of_size] = Msg("Give a size above 0, {most} at most.", most=Len(MOST_SIZE))
    at, wrong = _read_at(row, drawing, units)
    if wrong is not None:
        errors[of_at] = wrong
    return errors, {"kind": row.kind, "at": at, "size": str(size or 0)}


def _read_at(row: TypedFault, drawing: Json, units: str) -> tuple[str, Msg | None]:
    where = FAULTS[row.kind][0]
    if where == NOWHERE:
        return "", None
    if where == ALONG:
        at, width = _length(row.at, units), Drawing(drawing).length("frame_width")
        if at is None or at < 0 or (width is not None and at > width):
            return "", Msg("Give a place from the LEFT end of the frame, inside its width.")
        return str(at), None
    letters = [panel["letter"] for panel in drawing["panels"]]
    letter = row.at.upper()
    if letter not in letters:
        return "", Msg("Give the letter of a panel: {letters}.", letters=", ".join(letters))
    return letter, None


def _length(text: str, units: str) -> int | None:
    try:
        return parse_amount("length", text, units)
    except InputError:
        return None


def column_texts(practice: Json | None) -> dict[str, str]:
    """Return what is said of practice as the columns of a CSV, read again as the same."""
    if practice is None:
        return {}
    faults = " | ".join("; ".join(_fault_texts(fault, "in")) for fault in practice["faults"])
    return {"practice": practice["way"], **({"faults": faults} if faults else {})}


def form_texts(practice: Json | None, units: str) -> dict[str, str]:
    """Return the same as the fields of the form."""
    if practice is None:
        return {}
    out = {"practice": practice["way"]}
    for row, fault in enumerate(practice["faults"], 1):
        pairs = zip(_PARTS, _fault_texts(fault, units), strict=True)
        out |= {f"fault_{row}_{part}": text for part, text in pairs}
    return out


def _fault_texts(fault: Json, units: str) -> tuple[str, str, str]:
    known = FAULTS.get(fault["kind"])
    at = fault["at"]
    if known is not None and known[0] == ALONG:
        at = text_of("length", int(at), units)
    return fault["kind"], at, text_of("length", int(fault["size"]), units)
