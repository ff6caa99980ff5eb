"""Two versions of a procedure, side by side: what was added, removed, changed, in words."""

from collections.abc import Callable, Iterable

from app.core.kinds import Json
from app.core.pages.request import Request
from app.core.quantity.messages import Len, Msg, Plural
from app.core.record.clocks import act_title
from app.core.where.places import KINDS

Words = list[tuple[str, Msg]]  # kind of change: added, removed, changed; and what it is
KIND_WORDS = {"added": Msg("added"), "removed": Msg("removed"), "changed": Msg("changed")}


def procedure_changes(asked: Request, old: Json, new: Json) -> list[Json]:
    """Return what differs, a group a step: {"title", "rows": [{"kind", "word", "text"}]}.

    What differs in limits is told by limit_changes().
    """
    groups = [("", _about_changes(old, new))]
    before = {step["id"]: step for step in old["steps"]}
    for step in new["steps"]:
        rows = _step_changes((old, new), before.get(step["id"]), step)
        groups.append((_step_title(step), rows))
    now = [step["id"] for step in new["steps"]]
    whole: Words = [("removed", Msg("The whole step"))]
    groups += [(_step_title(step), whole) for step in old["steps"] if step["id"] not in now]
    return [
        {"title": title, "rows": [_change_row(asked, *one) for one in rows]}
        for title, rows in groups
        if rows
    ]


def _step_title(step: Json) -> str:
    return f"{step['id']} {step['title']}"


def _change_row(asked: Request, kind: str, text: Msg) -> Json:
    return {"kind": kind, "word": asked.say(KIND_WORDS[kind]), "text": asked.say(text)}


def _about_changes(old: Json, new: Json) -> Words:
    rows = _text_changes(old, new, (("title", Msg("Title of the procedure")),))
    if old["doors"] != new["doors"]:
        rows.append(_was_and_is(Msg("Doors"), ", ".join(old["doors"]), ", ".join(new["doors"])))
    if old.get("lang", "en") != new.get("lang", "en"):
        rows.append(
            _was_and_is(
                Msg("Language of the procedure"), old.get("lang", "en"), new.get("lang", "en")
            )
        )
    order = [[step["id"] for step in one["steps"]] for one in (old, new)]
    same = [[id for id in ids if id in order[1 - k]] for k, ids in enumerate(order)]
    if same[0] != same[1]:
        rows.append(_was_and_is(Msg("Order of the steps"), " ".join(order[0]), " ".join(order[1])))
    told = [_named_nights(one) or "\u2013" for one in (old, new)]
    if told[0] != told[1]:
        rows.append(_was_and_is(Msg("Measured again after a night"), *told))
    return rows


AT_WORDS = {
    "first": Msg("first place"),
    "middle": Msg("middle place"),
    "last": Msg("last place"),
}


def night_words(procedure: Json) -> list[Msg]:
    """Return what is measured again after a night, and how far each may have moved."""
    sizes = [Len(int(one["most"]["value"])) for one in procedure.get("nights", [])]
    return [
        Msg("{place}, {size}", place=place, size=size)
        for place, size in zip(_named_nights(procedure), sizes, strict=True)
    ]


def _named_nights(procedure: Json) -> list[Msg]:
    """Return the places that are measured again; limit_changes() tells how far each may move."""
    return [
        Msg("{point}, {at}", point=_point_title(procedure, one["point"]), at=AT_WORDS[one["at"]])
        for one in procedure.get("nights", [])
    ]


def _was_and_is(what: Msg, before: object, after: object) -> tuple[str, Msg]:
    words = Msg("{what}: was “{before}”, is “{after}”", what=what, before=before, after=after)
    return "changed", words


def _text_changes(
    old: Json, new: Json, fields: Iterable[tuple[str, Msg]], of: Msg | None = None
) -> Words:
    rows = []
    for name, label in fields:
        before, after = old.get(name), new.get(name)
        if before != after:
            what = label if of is None else Msg("{thing}, {field}", thing=of, field=label)
            rows.append(_was_and_is(what, _plain_value(before), _plain_value(after)))
    return rows


def _plain_value(value: object) -> object:
    """Return a field's value in words: yes and no for flags, a dash for nothing."""
    if isinstance(value, bool):
        return Msg("yes") if value else Msg("no")
    return str(value) if value else "\u2013"


STEP = (
    ("title", Msg("title")),
    ("about", Msg("what it says of itself")),
    ("per", Msg("signed for each")),
    ("hold", Msg("hold point")),
    ("parts", Msg("goes through the parts list")),
)
TASK = (
    ("text", Msg("text")),
    ("kind", Msg("kind")),
    ("rank", Msg("ticked by itself, never at once")),
    ("none", Msg("what one tap says where there is nothing to show")),
)
DECISION = (
    ("text", Msg("text")),
    ("name", Msg("asks for a name")),
    ("words", Msg("asks for words")),
)
POINT = (
    ("title", Msg("title")),
    ("quantity", Msg("quantity")),
    ("how", Msg("how it is read")),
    ("tool", Msg("tool")),
    ("hint", Msg("hint")),
    ("info", Msg("for information only")),
    ("closing", Msg("closed on the first place")),
    ("purpose", Msg("its purpose")),
    ("signed", Msg("may be below zero")),
    ("near", Msg("asked back when far off")),
)
CHECK = (
    ("title", Msg("title")),
    ("matters", Msg("row of the record's first sheet")),
    ("reason", Msg("reason")),
)


def _step_changes(both: tuple[Json, Json], old: Json | None, new: Json) -> Words:
    if old is None:
        words = Msg(
            "The whole step: {tasks}, {points}, {checks}",
            tasks=Plural("{count} task", "{count} tasks").of(len(new["tasks"])),
            points=Plural("{count} point", "{count} points").of(len(new["points"])),
            checks=Plural("{count} check", "{count} checks").of(len(new["checks"])),
        )
        return [("added", words)]
    rows = _text_changes(old, new, STEP)
    rows += _line_changes(Msg("Caution: {text}"), old["cautions"], new["cautions"])
    rows += _line_changes(Msg("Reminder: {text}"), old["reminders"], new["reminders"])
    for what, shape, name, compared in PIECES:
        rows += _each_changed(what, shape, name, both, (old, new), compared)
    return rows


def _line_changes(shape: Msg, old: list[str], new: list[str]) -> Words:
    if old != new and sorted(old) == sorted(new):
        return [
            ("changed", Msg("{thing}: in another order", thing=Msg(shape.template, text=new[0])))
        ]
    gone = [("removed", Msg(shape.template, text=text)) for text in old if text not in new]
    return gone + [("added", Msg(shape.template, text=text)) for text in new if text not in old]


def _each_changed(
    what: str,
    shape: Msg,
    name: str,
    both: tuple[Json, Json],
    steps: tuple[Json, Json],
    compared: Callable[[tuple[Json, Json], Json, Json, Msg], Words],
) -> Words:
    before = {one["id"]: one for one in steps[0][what]}
    order = [[one["id"] for one in step[what]] for step in steps]
    same = [[id for id in ids if id in order[1 - k]] for k, ids in enumerate(order)]
    rows: Words = []
    for one in steps[1][what]:
        titled = Msg(shape.template, name=one[name])
        known = before.pop(one["id"], None)
        rows += [("added", titled)] if known is None else compared(both, known, one, titled)
    if same[0] != same[1]:
        rows += [
            ("changed", Msg("{thing}: moved", thing=Msg(shape.template, name=one[name])))
            for one in steps[1][what]
            if one["id"] in _out_of_order(*same)
        ]
    return rows + [("removed", Msg(shape.template, name=one[name])) for one in before.values()]


def _out_of_order(before: list[str], after: list[str]) -> list[str]:
    """Return those to move, as few as will do: the others keep their order among themselves."""
    rank = {id: number for number, id in enumerate(before)}
    runs: list[list[str]] = []  # the longest rising run that ends at each
    for id in after:
        shorter = [run for run in runs if rank[run[-1]] < rank[id]]
        runs.append([*max(shorter, key=len, default=[]), id])
    stays = max(runs, key=len)
    return [id for id in after if id not in stays]


def _task_changes(both: tuple[Json, Json], old: Json, new: Json, of: Msg) -> Words:
    rows = _text_changes(old, new, TASK, of) + _where_changes(old, new, TASK_PLACES, of)
    return rows + _after_changes(both, old, new, of) + _settled_changes(both, old, new, of)


def _settled_changes(both: tuple[Json, Json], old: Json, new: Json, of: Msg) -> Words:
    """Return a change of the checks that a task waits for."""
    if old.get("settled", []) == new.get("settled", []):
        return []
    label = Msg("{thing}, {field}", thing=of, field=Msg("waits until these are settled"))
    said = []
    for procedure, task in zip(both, (old, new), strict=True):
        checks = [check for step in procedure["steps"] for check in step["checks"]]
        titles = [check["title"] for check in checks if check["id"] in task.get("settled", [])]
        said.append(", ".join(titles) or "–")
    return [_was_and_is(label, *said)]


def _after_changes(both: tuple[Json, Json], old: Json, new: Json, of: Msg) -> Words:
    """Return a change of the point that a task or a decision comes after."""
    if old.get("after") == new.get("after"):
        return []
    label = Msg("{thing}, {field}", thing=of, field=Msg("comes after the point"))
    sides = zip(both, (old, new), strict=True)
    return [_was_and_is(label, *(_point_title(p, one.get("after", "")) for p, one in sides))]


def _where_changes(old: Json, new: Json, fields: tuple[tuple[str, Msg], ...], of: Msg) -> Words:
    rows: Words = []
    for name, field in fields:
        before, after = old.get(name), new.get(name)
        if before != after:
            label = Msg("{thing}, {field}", thing=of, field=field)
            rows.append(_was_and_is(label, _where_words(before), _where_words(after)))
    return rows


def _decision_changes(both: tuple[Json, Json], old: Json, new: Json, of: Msg) -> Words:
    rows = _text_changes(old, new, DECISION, of) + _after_changes(both, old, new, of)
    told = [
        "; ".join(
            f"{c['text']} ({'+' if c['opens'] else '-'}{'!' if c['within'] else ''})"
            for c in one["choices"]
        )
        for one in (old, new)
    ]
    if told[0] != told[1]:
        rows.append(_was_and_is(Msg("{thing}, {field}", thing=of, field=Msg("choices")), *told))
    return rows


def _point_changes(both: tuple[Json, Json], old: Json, new: Json, of: Msg) -> Words:
    rows = _text_changes(old, new, POINT, of)
    asked = [one.get("asked", "always") for one in (old, new)]
    if asked[0] != asked[1]:
        label = Msg("{thing}, {field}", thing=of, field=Msg("when it is asked"))
        told = [_asked_words(p, one) for p, one in zip(both, asked, strict=True)]
        rows.append(_was_and_is(label, *told))
    rows += _where_changes(old, new, PLACES, of)
    stand_ins = [one.get("instead", "") for one in (old, new)]
    if stand_ins[0] != stand_ins[1]:
        label = Msg("{thing}, {field}", thing=of, field=Msg("what stands in where it is not asked"))
        titles = [_point_title(p, id) for p, id in zip(both, stand_ins, strict=True)]
        rows.append(_was_and_is(label, *titles))
    if old.get("choices", []) != new.get("choices", []):
        choices = ["; ".join(c["text"] for c in one.get("choices", [])) for one in (old, new)]
        rows.append(_was_and_is(Msg("{thing}, {field}", thing=of, field=Msg("choices")), *choices))
    return rows


PLACES = (
    ("where", Msg("where it is measured")),
    ("short", Msg("where it is measured at short depth")),
    ("from", Msg("the place that it is read from")),
)
TASK_PLACES = (("on", Msg("what a door must have for it")),)


def _asked_words(procedure: Json, asked: str | Json) -> Msg:
    """Return when a point is asked, in words."""
    if isinstance(asked, str):
        return ASKED_WORDS.get(asked, Msg("always"))
    checks = [check for step in procedure["steps"] for check in step["checks"]]
    named = asked.get("when") or asked["until"]
    titles = ", ".join(one["title"] for one in checks if one["id"] in named)
    if "until" in asked:
        return Msg("at short depth, until one is out or too close to call: {checks}", checks=titles)
    return Msg("when one is out or too close to call: {checks}", checks=titles)


ASKED_WORDS = {"full": Msg("only at full depth"), "short": Msg("only at short depth")}


def _where_words(where: Json | None) -> object:
    """Return the places of a point: their kind, and each option with its value; a dash for none."""
    if where is None:
        return "\u2013"
    options = {name.rstrip("?"): holds for name, holds in KINDS[where["kind"]][2].items()}
    said: list[object] = [where["kind"]]
    for name, value in where.items():
        if name != "kind":
            words: object = value
            if options.get(name) == "length":
                words = Len(int(value), "place")
            elif isinstance(value, list):
                told = [one["title"] if isinstance(one, dict) else str(one) for one in value]
                words = ", ".join(told)
            said.append(Msg("{name} {value}", name=name, value=words))
    return said


def _check_changes(both: tuple[Json, Json], old: Json, new: Json, of: Msg) -> Words:
    rows = _text_changes(old, new, CHECK, of)
    for input in sorted(set(old["points"]) | set(new["points"])):
        points = [one["points"].get(input, "") for one in (old, new)]
        if points[0] != points[1]:
            titles = [_point_title(p, id) for p, id in zip(both, points, strict=True)]
            rows.append(
                _was_and_is(Msg("{thing}, {field}", thing=of, field=Msg("looks at")), *titles)
            )
    if old.get("finer", "") != new.get("finer", ""):
        label = Msg("{thing}, {field}", thing=of, field=Msg("finer check that stands for it"))
        told = [
            _point_title(p, one.get("finer", "")) for p, one in zip(both, (old, new), strict=True)
        ]
        rows.append(_was_and_is(label, *told))
    rows += _clock_changes(both, old, new, of)
    remedies = [one["settings"].get("remedy", "") for one in (old, new)]
    if remedies[0] != remedies[1]:
        label = Msg("{thing}, {field}", thing=of, field=Msg("remedy"))
        rows.append(_was_and_is(label, *(text or "\u2013" for text in remedies)))
    return rows


def _point_title(procedure: Json, id: str) -> str:
    """Return the title of a point, or of a clock."""
    named = [one for step in procedure["steps"] for what in LOOKED for one in step[what]]
    return next((one["title"] for one in named if one["id"] == id), "\u2013")


LOOKED = ("points", "checks")


CLOCK_ACTS = (
    ("start", Msg("starts with")),
    ("end", Msg("ends with")),
    ("typed", Msg("typed as well")),
)


def _clock_changes(both: tuple[Json, Json], old: Json, new: Json, of: Msg) -> Words:
    rows: Words = []
    for input, label in CLOCK_ACTS:
        acts = [(one.get("clock") or {}).get(input) for one in (old, new)]
        if acts[0] != acts[1]:
            told = [
                act_title(procedure, act) if act else "\u2013"
                for procedure, act in zip(both, acts, strict=True)
            ]
            rows.append(_was_and_is(Msg("{thing}, {field}", thing=of, field=label), *told))
    return rows


def _adjustment_changes(both: tuple[Json, Json], old: Json, new: Json, of: Msg) -> Words:
    rows = _text_changes(old, new, (("text", Msg("text")), ("asks", Msg("asks where"))), of)
    titles = [", ".join(_point_title(p, id) for id in one["stale"])
              for p, one in zip(both, (old, new), strict=True)]  # fmt: skip
    if titles[0] != titles[1]:
        label = Msg("{thing}, {field}", thing=of, field=Msg("what must be measured again"))
        rows.append(_was_and_is(label, *titles))
    return rows


PIECES: tuple[tuple[str, Msg, str, Callable[[tuple[Json, Json], Json, Json, Msg], Words]], ...] = (
    ("tasks", Msg("Task “{name}”"), "text", _task_changes),
    ("decisions", Msg("Decision “{name}”"), "text", _decision_changes),
    ("points", Msg("Point “{name}”"), "title", _point_changes),
    ("checks", Msg("Check “{name}”"), "title", _check_changes),
    ("adjustments", Msg("Adjustment “{name}”"), "text", _adjustment_changes),
)
