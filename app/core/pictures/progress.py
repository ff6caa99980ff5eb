"""The door as its own progress: what is signed is lit, what is out is red, the rest is thin.

The frame fills with the steps that are done once a door, round from the low left corner: those
before the first panel outside, those after the last one inside. Each panel fills with its step.
"""

from app.core.kinds import Json
from app.core.order import sort_by
from app.core.pictures.canvas import Canvas
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker

WIDE, HIGH = 160, 92
OUTSIDE, INSIDE = 6, 16  # from the edge of the picture to the two lines of the frame
LEAVES = 24  # to the panels
LIT = {"signed": "lit", "broken": "bad", "disputed": "bad", "out": "bad"}
LOOKS = ("left", "lit", "bad")  # what is alike is one shape: a list has many doors


def draw_progress(steps: "list[Json]", words: str, speaker: Speaker, letters: bool = True) -> Json:
    """Return the door with each step in its place.

    steps: {"key": "B1", or "E:A" for a panel's, "state"}, in their order; words: the same in words.
    letters: whether the panels have theirs.
    """
    canvas = Canvas(speaker, WIDE)
    panels = [step for step in steps if ":" in step["key"]]
    first = steps.index(panels[0]) if panels else (len(steps) + 1) // 2
    once: list[list[str]] = [[], []]
    for at, step in enumerate(steps):
        if ":" not in step["key"]:
            once[0 if at < first else 1].append(step["state"])
    lines = [
        (LIT.get(state, "left"), _part_of_frame(inset, at, len(states)))
        for inset, states in zip((OUTSIDE, INSIDE), once)
        for at, state in enumerate(states)
    ]
    for look in LOOKS:
        canvas.paths([line for own, line in lines if own == look], "p-step p-step-" + look)
    wide = WIDE - 2 * LEAVES
    leaves = []
    for at, step in enumerate(sort_by(panels, lambda step: step["key"])):  # from the LEFT
        x, end = LEAVES + wide * at // len(panels), LEAVES + wide * (at + 1) // len(panels)
        leaves.append((step, x + 1, end - 1))
    for look in LOOKS:
        own = [_leaf(x, end) for step, x, end in leaves if LIT.get(step["state"], "left") == look]
        canvas.paths(own, "p-panel p-panel-" + look, True)
    for step, x, end in leaves if letters else []:
        canvas.text((x + end) // 2, HIGH // 2 + 5, step["key"].partition(":")[2], "p-strong")
    return canvas.picture(HIGH, Msg("The door so far"), words)


def _leaf(x: int, end: int) -> "list[tuple[int, int]]":
    foot = HIGH - LEAVES
    return [(x, LEAVES), (end, LEAVES), (end, foot), (x, foot)]


def _part_of_frame(inset: int, at: int, of: int) -> "list[tuple[int, int]]":
    """Return the points of one of so many equal parts of a frame, from the low left corner on."""
    if (inset, at, of) not in _PARTS:
        if len(_PARTS) >= MOST_PARTS:
            _PARTS.clear()
        _PARTS[(inset, at, of)] = _part_worked_out(inset, at, of)
    return _PARTS[(inset, at, of)]


MOST_PARTS = 200
_PARTS: "dict[tuple[int, int, int], list[tuple[int, int]]]" = {}  # alike in the doors of a list


def _part_worked_out(inset: int, at: int, of: int) -> "list[tuple[int, int]]":
    right, foot = WIDE - inset, HIGH - inset
    corners = [(inset, foot), (right, foot), (right, inset), (inset, inset), (inset, foot)]
    lengths = [right - inset, foot - inset, right - inset, foot - inset]
    whole = sum(lengths)
    start, end = whole * at // of + 3, whole * (at + 1) // of - 3  # parts stand apart
    out: list[tuple[int, tuple[int, int]]] = []
    passed = 0
    for side, length in enumerate(lengths):
        here = [point for point in (start, end) if passed <= point < passed + length]
        out += [(at, _along(corners[side], corners[side + 1], at - passed)) for at in here]
        passed += length
        if start < passed < end:
            out.append((passed, corners[side + 1]))
    return [point for _, point in sort_by(out, lambda pair: pair[0])]


def _along(start: "tuple[int, int]", end: "tuple[int, int]", length: int) -> "tuple[int, int]":
    """Return the point so far along a level or an upright line."""
    x, y = end[0] - start[0], end[1] - start[1]
    whole = abs(x) + abs(y)
    return start[0] + x * length // whole, start[1] + y * length // whole
