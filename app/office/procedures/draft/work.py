"""A draft of a procedure: begun from a version's file, changed form by form, always loadable.

Whatever a form asks is tried on the text first. What the loader refuses is refused, and said at
the field where it can be mended.
"""

import hashlib
import json
from collections.abc import Callable, Sequence
from functools import lru_cache
from pathlib import Path

from ruamel.yaml.comments import CommentedMap, CommentedSeq
from sqlmodel import Session

from app.core.errors import MissingError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.office.procedures.draft.fields import (
    WHOLE_STEP,
    DraftField,
    DraftPlace,
    Put,
    night_id,
)
from app.procedures import ProcedureError, SourceProblem, compile_text
from app.procedures.draft_text import (
    Change,
    change_rest,
    change_step,
    path_of_mark,
    put_value,
    written_procedure,
)
from app.store.procedure_tables import ProcedureDraft, ProcedureFile

SHIPPED = Path(__file__).resolve().parents[4] / "seed_data" / "procedures"
KINDS = ("tasks", "decisions", "points", "checks", "clocks", "adjustments", "nights")
KIND_WORDS = {
    "steps": Msg("Step"),
    "tasks": Msg("Task"),
    "decisions": Msg("Decision"),
    "points": Msg("Point"),
    "checks": Msg("Check"),
    "clocks": Msg("Clock"),
    "adjustments": Msg("Adjustment"),
    "nights": Msg("After a night"),
}


class NoDraftError(MissingError):
    """A draft that is not there: it was put in force, dropped, or never begun."""

    def __init__(self) -> None:
        super().__init__("draft-unknown", Msg("There is no draft of this procedure."))


class RefusedChangeError(Exception):
    """A change that the loader refuses: by field, and what is wrong elsewhere."""

    def __init__(self, errors: dict[str, Msg | str], elsewhere: list[str]) -> None:
        super().__init__()
        self.errors, self.elsewhere = errors, elsewhere


@lru_cache(maxsize=16)
def compiled_draft(text: str) -> Json:
    """Return the compiled draft; it is shared, so nobody may change it. Raises ProcedureError."""
    return compile_text(text, "draft")


@lru_cache(maxsize=16)
def written_draft(text: str) -> Json:
    """Return the draft as it is written; it is shared, so nobody may change it."""
    return written_procedure(text)


def draft_of(session: Session, name: str) -> ProcedureDraft:
    """Return the draft of a procedure; raises NoDraftError."""
    row = session.get(ProcedureDraft, name)
    if row is None:
        raise NoDraftError
    return row


def file_of(session: Session, compiled: Json) -> str:
    """Return the file that a version was compiled from, "" where it is not here.

    What we ship is known by its digest.
    """
    row = session.get(ProcedureFile, (compiled["id"], compiled["version"]))
    return row.text if row is not None else _shipped_files().get(compiled["digest"], "")


@lru_cache(maxsize=1)
def _shipped_files() -> dict[str, str]:
    texts = [path.read_text(encoding="utf-8") for path in sorted(SHIPPED.glob("*.yaml"))]
    return {compile_text(text, "shipped")["digest"]: text for text in texts}


def stamp_of(values: dict[str, str]) -> str:
    """Return a digest of a form's values: what a person saw when the form was made."""
    return hashlib.sha256(json.dumps(values, sort_keys=True).encode()).hexdigest()[:16]


def changed_text(text: str, place: DraftPlace, puts: Sequence[Put]) -> str:
    """Return the draft with values put into a part."""

    def change(step: CommentedMap) -> None:
        part = _part_in(step, place)
        for path, value in puts:
            _put_at(part, path, value)

    return _text_changed_at(text, place, change)


def _text_changed_at(text: str, place: DraftPlace, change: Change) -> str:
    """Return the draft with its step changed, or what stands in no step."""
    if place.step == WHOLE_STEP:
        return change_rest(text, change)
    return change_step(text, place.step, change)


def _part_in(step: CommentedMap, place: DraftPlace) -> CommentedMap:
    if place.what in ("steps", "procedure"):
        return step
    part: CommentedMap = step[place.what][_index_in(step, place)]
    return part


def _index_in(step: CommentedMap, place: DraftPlace) -> int:
    """Return which one of its kind a part is."""
    ids = [one.get("id") or night_id(one) for one in step[place.what]]
    return ids.index(place.id)


def _put_at(part: CommentedMap, path: Sequence[str], value: object) -> None:
    if path[0] != "choices" or len(path) < 3:
        put_value(part, path, value)
        return
    listed = part.get("choices", [])
    one = next((choice for choice in listed if choice["id"] == path[1]), None)
    if value == "" and path[2] == "text":
        if one is not None:
            listed.remove(one)
    elif one is None:
        made = CommentedMap({"id": path[1], path[2]: value})
        made.fa.set_flow_style()
        put_value(part, ("choices",), [*listed, made]) if not listed else listed.append(made)
    else:
        put_value(one, path[2:], value)


def text_with_part(text: str, place: DraftPlace, puts: Sequence[Put]) -> str:
    """Return the draft with a new part at the end of its list."""

    def change(step: CommentedMap) -> None:
        part = CommentedMap() if place.what == "nights" else CommentedMap(id=place.id)
        for path, value in puts:
            _put_at(part, path, value)
        if not step.get(place.what):
            put_value(step, (place.what,), [{"id": place.id}])
            step[place.what].clear()
        parts = step[place.what]
        if parts.fa.flow_style():
            part.fa.set_flow_style()
        parts.append(part)

    return _text_changed_at(text, place, change)


def text_with_part_moved(text: str, place: DraftPlace, by: int) -> str:
    """Return the draft with a part one place up (-1) or down (1); at an end it stays."""

    def change(step: CommentedMap) -> None:
        parts: CommentedSeq = step[place.what]
        at = _index_in(step, place)
        if 0 <= at + by < len(parts):
            parts[at], parts[at + by] = parts[at + by], parts[at]

    return _text_changed_at(text, place, change)


def text_without_part(text: str, place: DraftPlace) -> str:
    """Return the draft without a part."""

    def change(step: CommentedMap) -> None:
        parts: CommentedSeq = step[place.what]
        del parts[_index_in(step, place)]
        if not parts:
            del step[place.what]

    return _text_changed_at(text, place, change)


def tried_text(change: Callable[[], str], place: DraftPlace, fields: Sequence[DraftField]) -> str:
    """Return the changed text, if it loads. Errors: RefusedChangeError, with where to mend it."""
    text = change()
    try:
        compiled_draft(text)
    except ProcedureError as error:
        raise _refused_change(text, place, fields, error.problems) from error
    return text


def _refused_change(
    text: str, place: DraftPlace, fields: Sequence[DraftField], problems: Sequence[SourceProblem]
) -> RefusedChangeError:
    errors: dict[str, Msg | str] = {}
    elsewhere: list[str] = []
    own = _path_of_place(written_draft(text), place)
    for one in problems:
        path = path_of_mark(text, one.line, one.column)
        inside = path[: len(own)] == own
        name = _field_at(fields, path[len(own) :]) if inside else ""
        if name:
            errors.setdefault(name, one.reason)
        elif inside:
            elsewhere.append(one.reason)
        else:
            elsewhere.append(f"{part_title(written_draft(text), path)}: {one.reason}")
    return RefusedChangeError(errors, elsewhere)


def _path_of_place(written: Json, place: DraftPlace) -> list[str]:
    """Return the way to a part, as path_of_mark() gives it."""
    if place.step == WHOLE_STEP:
        ids = [night_id(one) for one in written.get("nights", [])]
        return ["nights", str(ids.index(place.id))] if place.id in ids else []
    return ["steps", place.step] + ([] if place.what == "steps" else [place.what, place.id])


def _field_at(fields: Sequence[DraftField], path: list[str]) -> str:
    """Return the field that stands at a path, or nearest above or below it; "" where none does."""
    best, length = "", 0
    for one in fields:
        own = [name for name in one.path if name != "-"]
        same = 0
        while same < min(len(own), len(path)) and own[same] == path[same]:
            same += 1
        if same > length:
            best, length = one.name, same
    return best


def part_title(written: Json, path: Sequence[str]) -> str:
    """Return the name of the part that a path leads to: its step and its title or text."""
    if len(path) < 2 or path[0] != "steps":
        return str(path[0]) if path else ""
    step: Json = next((one for one in written["steps"] if one["id"] == path[1]), {})
    words = f"{step.get('id', '')} {step.get('title', '')}"
    if len(path) < 4:
        return words
    part: Json = next((one for one in step.get(path[2], []) if one.get("id") == path[3]), {})
    return f"{words}, “{title_of_part(part)}”"


def title_of_part(part: Json) -> str:
    """Return what a part is called: a point's title, a task's text."""
    return str(part.get("title") or part.get("text") or part.get("id", ""))
