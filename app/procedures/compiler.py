"""The compiler: a procedure's YAML to the JSON that the core works with.

Every problem of a file is gathered and told at once, with file, line and reason.
Whole texts stay as they are written; lengths and other amounts become decimal text
of whole base units. `digest` is the SHA-256 of the canonical JSON of all the rest.
"""

from pathlib import Path

from yaml.nodes import Node

from app.core.kinds import Json
from app.core.record.canonical import digest
from app.core.trade.door_systems import SYSTEM_IDS
from app.procedures.clocks import read_clock
from app.procedures.ids import Ids
from app.procedures.nights import read_night
from app.procedures.parts import read_adjustment, read_check, read_decision, read_point, read_task
from app.procedures.source import Fields, Source, scalar_text

LANGUAGES = ("en", "es")  # that a procedure may be written in: those of the program
_PER = ("panel", "fixed-panel")
_TOP = ("id", "version", "title", "lang", "doors", "steps", "nights")
_STEP = (
    "id",
    "title",
    "about",
    "per",
    "hold",
    "parts",
    "cautions",
    "reminders",
    "tasks",
    "decisions",
    "points",
    "checks",
    "adjustments",
    "clocks",
)


def compile_file(path: Path | str) -> Json:
    """Return the compiled procedure of a file; raises ProcedureError with every problem."""
    path = Path(path)
    return compile_text(path.read_text(encoding="utf-8"), path.name)


def compile_text(text: str, name: str) -> Json:
    """Return the compiled procedure of a YAML text; `name` is the file in what is reported."""
    source = Source(name)
    top = Fields(source, source.read(text), _TOP, "a procedure")
    ids = Ids(source)
    made: Json = {
        "id": ids.named(top),
        "version": top.whole("version"),
        "title": top.text("title"),
        "doors": _door_kinds(source, top),
        "steps": [_compiled_step(source, node, ids) for node in top.items("steps")],
    }
    if not made["steps"]:
        top.missing("steps")
    if top.has("nights"):
        points = {point["id"]: point for step in made["steps"] for point in step["points"]}
        made["nights"] = [read_night(source, item, ids, points) for item in top.items("nights")]
    if top.has("lang"):
        made["lang"] = top.one_of("lang", LANGUAGES)
    ids.finish()
    source.finish()
    made["digest"] = digest(made)
    return made


def _door_kinds(source: Source, top: Fields) -> list[str]:
    doors = [(scalar_text(source, node, "doors"), node) for node in top.items("doors")]
    if not doors:
        top.missing("doors")
    for door, node in doors:
        if door not in SYSTEM_IDS:
            source.wrong(node, f"unknown door “{door}”; it is one of: {', '.join(SYSTEM_IDS)}")
    return [door for door, _ in doors]


def _compiled_step(source: Source, node: Node, ids: Ids) -> Json:
    fields = Fields(source, node, _STEP, "a step")
    id_ = ids.step(fields)
    per = fields.one_of("per", _PER, "")
    ids.enter(id_, per)
    made: Json = {
        "id": id_,
        "title": fields.text("title"),
        "about": fields.text("about", needed=False),
        "per": per,
        "hold": fields.flag("hold"),
        "parts": fields.flag("parts"),
        "cautions": [scalar_text(source, line, "cautions") for line in fields.items("cautions")],
        "reminders": [scalar_text(source, line, "reminders") for line in fields.items("reminders")],
        "tasks": [read_task(source, item, ids) for item in fields.items("tasks")],
        "decisions": [read_decision(source, item, ids) for item in fields.items("decisions")],
        "points": [read_point(source, item, ids) for item in fields.items("points")],
        "checks": [read_check(source, item, ids) for item in fields.items("checks")],
        "adjustments": [read_adjustment(source, item, ids) for item in fields.items("adjustments")],
    }
    # last: a clock names the others
    made["checks"] += [read_clock(source, item, ids) for item in fields.items("clocks")]
    return made
