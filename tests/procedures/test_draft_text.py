"""The text of a draft: what a change leaves alone stays to the byte, comments and all.

The shipped files are the samples. What a change must come to is worked out on the plain data that
PyYAML reads, by other code than the editor's.
"""

import copy
import random
from pathlib import Path

import pytest
import yaml
from ruamel.yaml.comments import CommentedMap

from app.core.kinds import Json
from app.procedures import compile_text, draft_text
from app.procedures.draft_text import UnevenTextError

FOLDER = Path(__file__).parents[2] / "seed_data" / "procedures"
TEXTS = [path.read_text("utf-8") for path in sorted(FOLDER.glob("*.yaml"))]
SMALL = """\
# head
id: try-out   # its name
version: 1
title: A try-out
doors: [sliding]

steps:
  # the first
  - id: A
    title: One
    about: >-
      Said in
      two lines.
    tasks:
      - {id: a-look, text: "Look: twice"}   # kept
      # between
      - id: a-walk
        text: Walk
  # the second
  - id: B
    title: Two

# tail
lang: en
"""


@pytest.mark.parametrize("text", [*TEXTS, SMALL])
def test_parts_of_a_text_are_the_text(text: str) -> None:
    cut = draft_text.cut_text(text)
    assert cut.joined() == text
    assert list(cut.ids) == [step["id"] for step in yaml.safe_load(text)["steps"]]
    for step in cut.ids:
        assert draft_text.change_step(text, step, lambda _: None) == text
    assert draft_text.change_rest(text, lambda _: None) == text


def test_comments_go_with_their_step() -> None:
    moved = draft_text.move_step(SMALL, "B", -1)
    assert moved.index("# the second") < moved.index("id: B") < moved.index("# the first")
    assert moved.endswith("\n# tail\nlang: en\n")
    without = draft_text.take_step_away(SMALL, "A")
    assert "# the first" not in without
    assert "# the second" in without
    added = draft_text.add_step(SMALL, "C", "Three", "A")
    assert [step["id"] for step in yaml.safe_load(added)["steps"]] == ["A", "C", "B"]


def test_changed_text_is_written_as_the_old_one_was() -> None:
    long = "Said in more words than one line has room for, so that it is folded like the one "
    long += "that was here before it."

    def change(step: CommentedMap) -> None:
        draft_text.put_value(step, ("about",), long)
        draft_text.put_value(step["tasks"][0], ("text",), "Look: once")
        draft_text.put_value(step["tasks"][1], ("kind",), "photo")
        draft_text.put_value(step, ("hold",), "true")

    text = draft_text.change_step(SMALL, "A", change)
    assert '{id: a-look, text: "Look: once"}' in text
    assert "# kept\n" in text
    assert "      # between\n" in text
    assert "    about: >-\n      Said in more words" in text
    assert max(len(line) for line in text.splitlines()) < 110
    step = compile_text(text, "x")["steps"][0]
    assert (step["about"], step["hold"]) == (long, True)
    assert [task["kind"] for task in step["tasks"]] == ["tick", "photo"]
    gone = draft_text.change_step(text, "A", lambda step: draft_text.put_value(step, ("hold",), ""))
    assert "hold" not in gone


@pytest.mark.parametrize(
    "text",
    [
        SMALL[: SMALL.index("steps:")] + "steps: [{id: A, title: One}]\n",
        SMALL.replace("- id: B", "-\n    id: B"),
    ],
)
def test_text_of_another_form_is_refused(text: str) -> None:
    compile_text(text, "x")
    with pytest.raises(UnevenTextError):
        draft_text.cut_text(text)


def test_repeated_parts_are_refused_once_they_are_changed() -> None:
    text = SMALL.replace("text: Walk", "text: &walk Walk").replace("title: Two", "title: *walk")
    compile_text(text, "x")
    with pytest.raises(UnevenTextError):
        draft_text.change_step(
            text, "B", lambda step: draft_text.put_value(step, ("hold",), "true")
        )


def test_what_looks_like_no_text_stays_as_it_is_written() -> None:
    """Dates, yes and numbers are texts to the compiler: it reads what is written."""
    text = SMALL.replace("text: Walk", "text: 2026-01-02").replace("title: One", "title: 0o17")

    def change(step: CommentedMap) -> None:
        draft_text.put_value(step["tasks"][0], ("text",), "yes")

    step = compile_text(draft_text.change_step(text, "A", change), "x")["steps"][0]
    assert step["title"] == "0o17"
    assert [task["text"] for task in step["tasks"]] == ["yes", "2026-01-02"]


@pytest.mark.parametrize("text", TEXTS)
def test_mark_leads_back_to_its_field(text: str) -> None:
    lines = text.splitlines()
    for n, line in enumerate(lines, 1):
        at = line.find("limits: {most: ")
        if at >= 0:
            path = draft_text.path_of_mark(text, n, at + len("limits: {most: "))
            assert path[0] == "steps"
            assert path[2] in ("checks", "clocks")
            assert path[-2:] == ["limits", "most"]


WORDS = (
    "Plain words",
    "Colon: and # sign",
    "it's “quoted”",
    "é ñ ü",
    "- a dash",
    "1/16 in",
    "true",
)


def _random_change(chance: random.Random, data: Json) -> tuple[str, tuple[object, ...]]:
    """Change the plain data by chance; returns the step and what was done."""
    step = chance.choice([one for one in data["steps"] if one["points"] and one["checks"]])
    what = chance.choice(("tasks", "points", "checks"))
    parts = step.get(what) or step["points"]
    at = chance.randrange(len(parts))
    field = {"tasks": "text", "points": "hint", "checks": "reason"}[what]
    words = chance.choice(WORDS) + chance.choice(("", " and " + "more words " * 12 + "end"))
    kind = chance.choice(("put", "move", "put"))
    if not step.get(what):
        what, field = "points", "hint"
    if kind == "put":
        parts[at][field] = words
        return step["id"], ("put", what, parts[at]["id"], field, words)
    to = min(at + 1, len(parts) - 1)
    parts[at], parts[to] = parts[to], parts[at]
    return step["id"], ("move", what, at, to)


@pytest.mark.parametrize(
    "seed", [0, 1, 2, *[pytest.param(seed, marks=pytest.mark.long) for seed in range(3, 24)]]
)
def test_random_changes_load_to_what_plain_data_come_to(seed: int) -> None:
    chance = random.Random(seed)
    text = chance.choice(TEXTS)
    data = yaml.load(text, yaml.BaseLoader)  # noqa: S506  (all values as texts)
    for _ in range(6):
        before = copy.deepcopy(data)
        step, done = _random_change(chance, data)
        try:
            compile_text(yaml.safe_dump(data, allow_unicode=True), "plain")
        except Exception:  # noqa: BLE001  (what the loader refuses is no change to compare)
            data = before
            continue
        text = draft_text.change_step(text, step, lambda one, done=done: _do(one, done))
    told = compile_text(text, "draft")
    assert told == compile_text(yaml.safe_dump(data, allow_unicode=True), "plain")
    assert text.count("#") >= TEXTS[0].count("# ---")


def _do(step: CommentedMap, done: tuple[object, ...]) -> None:
    parts = step[done[1]]
    if done[0] == "put":
        part = next(one for one in parts if one["id"] == done[2])
        draft_text.put_value(part, (str(done[3]),), done[4])
    else:
        a, b = done[2], done[3]
        parts[a], parts[b] = parts[b], parts[a]
