"""What the compiler refuses: every problem with its file, its line and a reason."""

import pytest
import yaml

from app.procedures import ProcedureError, compile_text, source

GOOD = """\
id: short
version: 1
title: A short procedure
doors: [stacking]
steps:
  - id: A
    title: First
    hold: true
    cautions: ["Glass cuts."]
    tasks:
      - {id: look, text: "Look at it"}
    decisions:
      - id: go
        text: Go on?
        choices:
          - {id: go-on, text: "Go on", opens: true}
          - {id: stop, text: "Stop"}
    points:
      - {id: widths, title: W, quantity: length, tool: tape, where: {kind: heights, margin: 6 in}}
      - {id: wet, title: Moisture, quantity: fraction, tool: moisture meter, where: {kind: one}}
      - {id: weeps, title: Weeps, quantity: count, tool: eye, where: {kind: one}}
      - {id: wait, title: Wait, quantity: duration, tool: eye, where: {kind: one}}
    checks:
      - id: widths-alike
        title: Widths alike
        calc: alike
        points: {readings: widths}
        limits: {most: 1/16 in}
        basis: practice
        reason: Panels are straight.
        rank: supervisor
      - id: weeps-open
        title: Weeps open
        calc: all-counted
        points: {readings: weeps}
        settings: {field: weep_count}
        basis: drawing
        rank: never
    adjustments:
      - {id: moved, text: "Shims moved", stale: [widths]}
    clocks:
      - id: flood
        title: Flood
        start: {point: wet}
        end: {task: look}
        least: 15 min
        typed: wait
        basis: practice
        reason: Water takes its time.
        rank: supervisor
      - id: skin
        title: Skin
        start: {task: look}
        end: {task: look}
        most: {drawing: skin_time}
        basis: drawing
        rank: author
      - id: cure
        title: Cure
        start: {adjustment: moved}
        end: {task: look}
        least: {point: wait}
        basis: product
        rank: author
  - id: E
    title: Each panel
    per: panel
    points:
      - {id: depth, title: Depth, quantity: length, tool: rule, where: {kind: stiles}}
    checks:
      - id: deep
        title: Deep enough
        calc: each-within
        points: {readings: depth}
        limits: {least: {drawing: head_engagement}}
        basis: drawing
        rank: author
"""


def line_of(text: str, part: str) -> int:
    """Return the line (from 1) on which a part stands."""
    for number, line in enumerate(text.splitlines(), 1):
        if part in line:
            return number
    raise AssertionError("not in the text: " + part)


def problems(text: str) -> list[tuple[int, str]]:
    with pytest.raises(ProcedureError) as caught:
        compile_text(text, "short.yaml")
    assert caught.value.code == "procedure-refused"
    assert all(str(problem).startswith("short.yaml:") for problem in caught.value.problems)
    return [(problem.line, problem.reason) for problem in caught.value.problems]


def test_the_good_one_compiles() -> None:
    made = compile_text(GOOD, "short.yaml")
    check = made["steps"][0]["checks"][0]
    # 1/16 in = 1.5875 mm, exact
    assert check["limits"] == {"most": {"value": "1587500"}}
    assert check["settings"] == {"quantity": "length"}
    assert check["basis"] == {"kind": "practice", "text": "company limit, no published standard"}
    assert made["steps"][1]["checks"][0]["limits"] == {"least": {"drawing": "head_engagement"}}
    assert made["steps"][0]["points"][0]["where"] == {"kind": "heights", "margin": "152400000"}


# what is read again after a night: its point, and which of its places
NIGHT = (
    "nights:\n  - {{point: {}, at: {}, most: 1/16 in, basis: practice, reason: It tells.}}\n"
    "steps:\n"
)
# (what is replaced, by what, the part on whose line the problem is told, words of the reason)
CHANGES = [
    (
        'text: "Look at it"}',
        'text: "Look at it", settled: [widths-alike, deep]}',
        "settled: [widths-alike, deep]",
        "there is no check “deep” in this step",
    ),
    (
        "where: {kind: heights, margin: 6 in}",
        "where: {kind: heights, margin: 6 in}, from: low",
        "from: low",
        "“low” is one of the places that are read",
    ),
    (
        "quantity: length, tool: rule, where: {kind: stiles}",
        "quantity: length, tool: rule, where: {kind: stiles}, from: low",
        "from: low",
        "“from” is for a length with places of the kind “heights”",
    ),
    (
        "quantity: count, tool: eye",
        "quantity: count, purpose: weeps, tool: eye",
        "purpose: weeps",
        "unknown purpose “weeps”",
    ),
    (
        "quantity: count, tool: eye",
        "quantity: count, purpose: panel-label, tool: eye",
        "purpose: panel-label",
        "“panel-label” needs quantity: text",
    ),
    (
        "quantity: count, tool: eye, where: {kind: one}",
        "quantity: count, purpose: weep-count, tool: eye, where: {kind: panels}",
        "purpose: weep-count",
        "“weep-count” needs where: one",
    ),
    ("calc: alike", "calc: like", "calc: like", "unknown calculation “like”"),
    ("{readings: widths}", "{reading: widths}", "{reading: widths}", "has no input “reading”"),
    ("{readings: widths}", "{readings: width}", "{readings: width}", "unknown point “width”"),
    ("{readings: weeps}", "{readings: wet}", "{readings: wet}", "takes a count, but point “wet”"),
    ("{most: 1/16 in}", "{most: 3 lbf}", "{most: 3 lbf}", "is not a length"),
    ("{most: 1/16 in}", "{most: 1/16}", "{most: 1/16}", "has no unit"),
    ("{most: 1/16 in}", "{most: -1/16 in}", "{most: -1/16 in}", "“-1/16 in” is below zero"),
    ("{most: 1/16 in}", "{least: 1/16 in}", "{least: 1/16 in}", "has no limit “least”"),
    ("        limits: {most: 1/16 in}\n", "", "- id: widths-alike", "needs most"),
    (
        "calc: alike\n        points: {readings: widths}",
        "calc: level-local\n        points: {line: widths}\n        settings: {side: room}",
        "settings: {side: room}",
        "needs over",
    ),
    ("{drawing: head_engagement}", "{drawing: moon}", "{drawing: moon}", "no field “moon”"),
    (
        "{drawing: head_engagement}",
        "{drawing: force_move}",
        "{drawing: force_move}",
        "“force_move” is a force, the limit is a length",
    ),
    (
        "{field: weep_count}",
        "{field: weeps_count}",
        "{field: weeps_count}",
        "the drawing has no field",
    ),
    ("{field: weep_count}", "{field: setback}", "{field: setback}", "“setback” is a length"),
    (
        "{field: weep_count}",
        "{field: weep_count, remedy: 'Mend {it}'}",
        "Mend",
        "nothing else in braces",
    ),
    ("        basis: practice\n", "", "- id: widths-alike", "needs “basis”"),
    ("        reason: Panels are straight.\n", "", "- id: widths-alike", "needs “reason”"),
    ("basis: practice", "basis: gut", "basis: gut", "unknown basis “gut”"),
    (
        "{least: {drawing: head_engagement}}",
        "{least: 5/8 in}",
        "{least: 5/8 in}",
        "basis is the drawing",
    ),
    ("basis: practice", "basis: {standard: Some Paper, clause: 3}", "Some Paper", "has no number"),
    ("basis: practice", "basis: {standard: EN 123}", "{standard: EN 123}", "needs “clause”"),
    ("rank: supervisor", "rank: boss", "rank: boss", "unknown rank “boss”"),
    ("        rank: supervisor\n", "", "- id: widths-alike", "needs “rank”"),
    ("        title: Widths alike\n", "", "- id: widths-alike", "needs “title”"),
    ("id: weeps-open", "id: widths-alike", "title: Weeps open", "is already on line"),
    ("id: wet,", "id: widths,", "{id: widths, title: Moisture", "is already on line"),
    ("  - id: E\n", "  - id: A\n", "title: Each panel", "step “A” is already on line"),
    ("id: look", "id: Look At", "id: Look At", "small letters and digits"),
    (
        "stale: [widths]",
        "stale: [breadths]",
        "stale: [breadths]",
        "unknown point or clock “breadths”",
    ),
    ("quantity: fraction", "quantity: dampness", "quantity: dampness", "unknown quantity"),
    ("tool: tape", "tool: banana", "tool: banana", "unknown tool"),
    (
        'text: "Look at it"}',
        'text: "Look at it", on: {kind: panel}}',
        "on: {kind: panel}",
        "unknown kind “panel”",
    ),
    (
        'text: "Look at it"}',
        'text: "Look at it", on: {kind: panels, which: fix}}',
        "which: fix",
        "unknown which “fix”",
    ),
    (
        "{kind: heights, margin: 6 in}",
        "{kind: heights, margin: 6 in, levels: [lower]}",
        "levels: [lower]",
        "unknown levels “lower”",
    ),
    ("kind: heights", "kind: hights", "kind: hights", "unknown kind “hights”"),
    (
        "{kind: one}}\n      - {id: weeps",
        "{kind: one, margin: 1 in}}\n      - {id: weeps",
        "Moisture",
        "take no “margin”",
    ),
    ("{kind: heights, margin: 6 in}", "{kind: heights}", "id: widths, title", "needs “margin”"),
    ("margin: 6 in", "margin: 6 lb", "margin: 6 lb", "is not a length"),
    ("doors: [stacking]", "doors: [barn]", "doors: [barn]", "unknown door “barn”"),
    ("version: 1", "version: one", "version: one", "whole number"),
    ("opens: true", "opens: false", "- id: go\n", "no choice that opens"),
    ("opens: true", "opens: true, within: true", "- id: go\n", "only by “within”"),
    ("opens: true", "opens: maybe", "opens: maybe", "unknown opens"),
    ("start: {task: look}", "start: {task: lock}", "{task: lock}", "unknown task “lock”"),
    ('text: "Look at it"', "kind: photo, text: Look", "{task: look}", "is a photo, or has “on”"),
    ("start: {point: wet}", "start: {point: wed}", "{point: wed}", "unknown point “wed”"),
    (
        "start: {point: wet}",
        "start: {point: wet, place: low}",
        "{point: wet, place: low}",
        "has no place “low”; it has 1",
    ),
    ("start: {point: wet}", "start: {point: widths}", "{point: widths}", "none by name"),
    (
        "start: {point: wet}",
        "start: {point: wet, task: look}",
        "{point: wet, task: look}",
        "needs one of: task, point, adjustment",
    ),
    ("start: {point: wet}", "begin: {point: wet}", "begin:", "a clock has no field “begin”"),
    (
        "start: {adjustment: moved}",
        "start: {adjustment: mowed}",
        "{adjustment: mowed}",
        "unknown adjustment “mowed”",
    ),
    ("end: {task: look}", "end: {adjustment: moved}", "{adjustment: moved}", "ends no clock"),
    ("least: 15 min", "least: 15 lb", "least: 15 lb", "is not a duration"),
    ("least: 15 min", "most: 15 min\n        least: 5 min", "- id: flood", "one of them"),
    ("        least: 15 min\n", "", "- id: flood", "“least” or “most”"),
    ("least: {point: wait}", "least: {point: wet}", "least: {point: wet}", "must be one duration"),
    ("typed: wait", "typed: wet", "typed: wet", "must be one duration"),
    ("typed: wait", "typed: weight", "typed: weight", "unknown point “weight”"),
    ("least: {point: wait}", "most: {point: wait}", "{adjustment: moved}", "cannot be counted"),
    ("{drawing: skin_time}", "{drawing: setback}", "{drawing: setback}", "is a length"),
    ("basis: product", "basis: produce", "basis: produce", "unknown basis"),
    ("id: flood\n", "id: wet\n", "- id: wet\n", "the name of a point already"),
    ("id: flood\n", "id: widths-alike\n", "title: Flood", "is already on line"),
    ("    hold: true", "    held: true", "held: true", "a step has no field “held”"),
    ("per: panel", "per: pane", "per: pane", "unknown per"),
    ("tool: eye, where", "tool: eye, asked: often, where", "asked: often", "unknown asked “often”"),
    (
        "tool: eye, where",
        "tool: eye, asked: {when: no-such}, where",
        "when: no-such",
        "unknown check “no-such”",
    ),
    (
        "tool: moisture meter, where",
        "tool: moisture meter, asked: full, where",
        "start: {point: wet}",
        "none by name",
    ),
    (
        "tool: eye, where",
        "tool: eye, asked: {if: widths-alike}, where",
        "if: widths-alike",
        "asked has no field “if”",
    ),
    (
        "tool: eye, where",
        "tool: eye, asked: {when: deep}, where",
        "when: deep",
        "comes in a later step",
    ),
    (
        "tool: eye, where",
        "tool: eye, asked: {when: weeps-open}, where",
        "when: weeps-open",
        "and that needs the point",
    ),
    (
        "title: W,",
        "title: W, instead: wet,",
        "instead: wet",
        "for a point that is not always asked",
    ),
    (
        "title: Moisture,",
        "title: Moisture, asked: full, instead: widths,",
        "instead: widths",
        "point “widths” is a length",
    ),
    (
        "        rank: supervisor\n      - id: weeps-open",
        "        rank: supervisor\n        finer: deep\n      - id: weeps-open",
        "finer: deep",
        "no check “deep” in this step",
    ),
    (
        "        rank: supervisor\n      - id: weeps-open",
        "        rank: supervisor\n        finer: widths-alike\n      - id: weeps-open",
        "finer: widths-alike",
        "has a finer one itself",
    ),
    ("steps:\n", NIGHT.format("wet", "first"), "point: wet, at", "only a length is read again"),
    ("steps:\n", NIGHT.format("depth", "first"), "point: depth, at", "only a length is read"),
    ("steps:\n", NIGHT.format("width", "first"), "point: width, at", "unknown point “width”"),
    ("steps:\n", NIGHT.format("widths", "second"), "at: second", "unknown at “second”"),
    (
        "steps:\n",
        NIGHT.format("widths", "last").replace("1/16 in", "{drawing: setback}"),
        "point: widths, at",
        "“most” is a length",
    ),
    (
        "tool: eye, where",
        "tool: eye, short: {kind: onee}, where",
        "short: {kind: onee}",
        "unknown kind “onee”",
    ),
]


@pytest.mark.parametrize(("old", "new", "at", "reason"), CHANGES)
def test_one_fault(old: str, new: str, at: str, reason: str) -> None:
    assert old in GOOD
    text = GOOD.replace(old, new, 1)
    found = problems(text)
    line = line_of(text, at.rstrip("\n"))
    near = [why for number, why in found if abs(number - line) <= 1]
    assert any(reason in why for why in near), found


def test_a_point_measured_panel_by_panel_is_not_for_another_step() -> None:
    text = GOOD + GOOD[GOOD.index("  - id: E\n") :].replace("id: E", "id: F").replace(
        "    per: panel\n", ""
    ).replace("id: depth", "id: other").replace("id: deep", "id: deeper")
    reasons = [why for _, why in problems(text)]
    assert any("measured panel by panel in step E" in why for why in reasons)


def test_a_clock_stands_in_the_step_of_its_end_and_in_no_step_done_panel_by_panel() -> None:
    clock = (
        "    clocks:\n      - {id: late, title: L, start: {task: look}, end: {task: look}, "
        "least: 1 min, basis: practice, reason: x, rank: never}\n"
    )
    reasons = [why for _, why in problems(GOOD + clock)]
    assert "a clock stands in the step of the act that ends it" in reasons
    assert any("no clock in a step signed panel by panel" in why for why in reasons)


def test_an_adjustment_may_start_a_clock_again() -> None:
    compile_text(GOOD.replace("stale: [widths]", "stale: [widths, flood]"), "a.yaml")


def test_a_point_of_a_later_step_cannot_be_checked() -> None:
    text = GOOD.replace("{readings: widths}", "{readings: depth}")
    assert any("of this step or an earlier one" in why for _, why in problems(text))


def test_all_problems_are_told_at_once_in_the_order_of_lines() -> None:
    text = GOOD.replace("calc: alike", "calc: like").replace("rank: never", "rank: boss")
    text = text.replace("doors: [stacking]", "doors: [barn]")
    found = problems(text)
    assert len(found) == 3
    assert [line for line, _ in found] == sorted(line for line, _ in found)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "the file is empty"),
        ("a: [1", "not readable as YAML"),
        ("a: b: c", "not readable as YAML"),
        ("- 1\n- 2\n", "must be a list of fields"),
        ("steps: 3\n", "must be a list"),
        ("id: x\nid: y\n", "stands twice"),
        ("just words", "must be a list of fields"),
    ],
)
def test_what_is_no_procedure_at_all(text: str, reason: str) -> None:
    assert any(reason in why for _, why in problems(text))


def test_the_digest_follows_the_content() -> None:
    one = compile_text(GOOD, "a.yaml")["digest"]
    assert compile_text("# a remark\n" + GOOD, "b.yaml")["digest"] == one
    assert compile_text(GOOD.replace("1/16 in", "2/32 in"), "a.yaml")["digest"] == one
    assert compile_text(GOOD.replace("1/16 in", "1/8 in"), "a.yaml")["digest"] != one


def test_a_circle_of_finer_points_is_refused() -> None:
    """Widths open for the weeps' check, the weeps for the widths': neither would ever open."""
    text = GOOD.replace(
        "quantity: count, tool: eye", "quantity: count, asked: {when: widths-alike}, tool: eye"
    ).replace(
        "quantity: length, tool: tape", "quantity: length, asked: {when: weeps-open}, tool: tape"
    )
    assert any("and that needs the point" in why for _, why in problems(text))


def test_finer_points_compile() -> None:
    new = (
        "      - {id: dry, title: D, quantity: fraction, tool: moisture meter,"
        " where: {kind: panels}, short: {kind: one}, asked: {when: [widths-alike]}}\n"
    )
    text = GOOD.replace("    checks:\n", new + "    checks:\n", 1)
    points = compile_text(text, "short.yaml")["steps"][0]["points"]
    point = next(one for one in points if one["id"] == "dry")
    assert (point["asked"], point["short"]) == ({"when": ["widths-alike"]}, {"kind": "one"})
    assert point["where"]["kind"] == "panels"


def test_a_procedure_may_say_in_which_language_it_is_written() -> None:
    assert "lang" not in compile_text(GOOD, "short.yaml")  # nothing said: its digest stays
    spanish = compile_text(GOOD.replace("version: 1\n", "version: 1\nlang: es\n"), "short.yaml")
    assert spanish["lang"] == "es"
    with pytest.raises(ProcedureError) as refused:
        compile_text(GOOD.replace("version: 1\n", "version: 1\nlang: xx\n"), "short.yaml")
    assert "unknown lang “xx”" in str(refused.value)


READERS = [yaml.SafeLoader, source.LOADER]  # Python's own, and libyaml's where that is there


@pytest.mark.parametrize("reader", READERS)
def test_what_is_nested_without_end_is_refused(
    reader: type, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(source, "LOADER", reader)
    ((line, why),) = problems("id: " + "[" * 5000 + "]" * 5000)
    assert (line, why[:20]) == (1, "not readable as YAML")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("", ""),
        ("version: 1", "version: 1\nversion: 2"),
        ("version: 1", "version: 017"),
        ("version: 1", "version: [1"),
        ("title: First", "title: First: second"),
        ("title: First", "\ttitle: First"),
        ("title: First", "title: 2026-01-02"),
        ("hold: true", "hold: yes"),
        ("hold: true", "hold: *no"),
        ("title: First", "title: Fi\x07rst"),
    ],
)
def test_both_readers_come_to_the_same(old: str, new: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same procedure, or problems on the same lines, on machines without libyaml too."""
    text = GOOD.replace(old, new, 1)
    found = []
    for reader in READERS:
        monkeypatch.setattr(source, "LOADER", reader)
        try:
            found.append(compile_text(text, "short.yaml"))
        except ProcedureError as error:
            found.append([problem.line for problem in error.problems])
    assert found[0] == found[1]
