"""Can the door that is drawn be built? Panels, tracks, leads, locks.

All as seen from OUTSIDE: letters A… from the left. Track 1 is the innermost.
Two neighbours on neighbouring tracks hook at an interlock; two neighbours on
one track can only be two leading panels that meet. A single lead locks at a
jamb; ``lock`` of the drawing says which. Where two leads meet, ``lock`` says
which of them is the active one, which carries the lock. A pocketed panel (P)
slides into the wall at the end that it opens to: the pocket must be deep
enough, and nothing of another kind may stand before it on its track.

What does not fit is a question on the drawing, never mended here.
"""

from app.core.errors import AppError, InputError
from app.core.quantity.messages import Len, Msg
from app.core.trade import moving
from app.core.trade.drawing import KINDS, Drawing, Panel

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def panel_questions(drawing: Drawing) -> "list[AppError]":
    """Return everything about the panels that cannot be built or does not add up.

    Each is an InputError whose message says what to ask. Empty: it can be built as drawn.
    Codes: 'panels-none', 'panel-letters', 'panel-kind', 'panel-size', 'panel-track',
    'panels-sum', 'panels-collide', 'panels-not-hooked', 'panels-same-track',
    'lead-none', 'leads-many', 'lead-fixed', 'lead-place', 'lead-cannot-move', 'lock-side',
    'panel-cannot-move', 'pocket-shallow', 'pocket-blocked', and 'drawing-silent' for what the
    drawing leaves open.

    Example: panel_questions(DOOR) -> []
    """
    if not drawing.panels:
        return [_question("panels-none", Msg("The drawing has no panels. Ask the office."))]
    return (
        _each_panel(drawing)
        + _track_questions(drawing)
        + _width_questions(drawing)
        + _pair_questions(drawing)
        + _lead_questions(drawing)
    )


def must_build(drawing: Drawing) -> None:
    """Raise the first of panel_questions(); return when the door can be built as drawn.

    Example: must_build(DOOR) -> None
    """
    found = panel_questions(drawing)
    if found:
        raise found[0]


def _each_panel(drawing: Drawing) -> "list[AppError]":
    out: list[AppError] = []
    for k, panel in enumerate(drawing.panels):
        if k >= len(LETTERS) or panel.letter != LETTERS[k]:
            due = LETTERS[k] if k < len(LETTERS) else "-"
            out.append(
                _question(
                    "panel-letters",
                    Msg(
                        "Panel {count} from the LEFT, seen from outside, is lettered {letter}; "
                        "{due} was due. Ask the office.",
                        count=k + 1,
                        letter=panel.letter,
                        due=due,
                    ),
                )
            )
        if panel.kind not in KINDS:
            out.append(
                _question(
                    "panel-kind",
                    Msg("Panel {letter} is none of X, O, P. Ask the office.", letter=panel.letter),
                )
            )
        if panel.width <= 0 or panel.height <= 0:
            out.append(
                _question(
                    "panel-size",
                    Msg("Panel {letter} has no size. Ask the office.", letter=panel.letter),
                )
            )
    return out


def _track_questions(drawing: Drawing) -> "list[AppError]":
    tracks = drawing.count("tracks")
    if tracks is None:
        return [
            _question(
                "drawing-silent",
                Msg("The drawing does not give “{what}”. Ask the office.", what=Msg("Tracks")),
            )
        ]
    return [
        _question(
            "panel-track",
            Msg(
                "Panel {letter} runs on track {track}, and the drawing has {tracks}. "
                "Ask the office.",
                letter=panel.letter,
                track=panel.track,
                tracks=tracks,
            ),
        )
        for panel in drawing.panels
        if not 1 <= panel.track <= tracks
    ]


def _width_questions(drawing: Drawing) -> "list[AppError]":
    """Compare the row of panels, less its overlaps, with what is clear between the jambs."""
    try:
        clear = drawing.need("frame_width") - 2 * drawing.need("jamb_face")
        if drawing.interlocks:
            drawing.need("interlock_overlap")
    except AppError as error:
        return [error]
    row = drawing.panels[-1].right - drawing.panels[0].left
    if row == clear:
        return []
    template = Msg(
        "The panels, less their overlaps, make {row}; between the jambs are {clear}: {off} short. "
        "Ask the office.",
        row=Len(row, "place"),
        clear=Len(clear, "place"),
        off=Len(clear - row),
    )
    if row > clear:
        template = Msg(
            "The panels, less their overlaps, make {row}; between the jambs are {clear}: {off} "
            "too much. Ask the office.",
            row=Len(row, "place"),
            clear=Len(clear, "place"),
            off=Len(row - clear),
        )
    return [_question("panels-sum", template, row=row, clear=clear)]


def implied_length(drawing: Drawing) -> "tuple[str, int] | None":
    """Return the one length that is open and what it must be for the panels to add up.

    (field, nanometres) for the jamb's face or the overlap; None where neither, or more, is open.
    Below zero the panels cannot add up, whatever it is.

    Example: implied_length(DOOR) -> None
    """
    width, jamb = drawing.length("frame_width"), drawing.length("jamb_face")
    overlap, hooked = drawing.length("interlock_overlap"), len(drawing.interlocks)
    if width is None or not drawing.panels:
        return None
    panels = sum([panel.width for panel in drawing.panels])
    if jamb is None and (overlap is not None or not hooked):
        return "jamb_face", (width - panels + (overlap or 0) * hooked) // 2
    if jamb is not None and overlap is None and hooked:
        return "interlock_overlap", (panels - width + 2 * jamb) // hooked
    return None


def _pair_questions(drawing: Drawing) -> "list[AppError]":
    out: list[AppError] = []
    panels = drawing.panels
    for left, right in zip(panels, panels[1:]):
        apart = abs(left.track - right.track)
        if apart > 1:
            out.append(
                _question(
                    "panels-not-hooked",
                    Msg(
                        "Panels {left} and {right} are neighbours but {apart} tracks apart: "
                        "they cannot hook. Ask the office.",
                        left=left.letter,
                        right=right.letter,
                        apart=apart,
                    ),
                )
            )
        elif apart == 0 and not (left.lead and right.lead):
            out.append(
                _question(
                    "panels-same-track",
                    Msg(
                        "Panels {left} and {right} are neighbours on one track and are not two "
                        "leading panels that meet: nothing joins them. Ask the office.",
                        left=left.letter,
                        right=right.letter,
                    ),
                )
            )
    return out + _collision_questions(panels)


def _collision_questions(panels: "list[Panel]") -> "list[AppError]":
    return [
        _question(
            "panels-collide",
            Msg(
                "Closed, panels {left} and {right} would be in one place on track {track}. "
                "Ask the office.",
                left=left.letter,
                right=right.letter,
                track=left.track,
            ),
        )
        for k, left in enumerate(panels)
        for right in panels[k + 1 :]
        if left.track == right.track and right.left < left.right and left.left < right.right
    ]


def _lead_questions(drawing: Drawing) -> "list[AppError]":
    found = moving.leading_panels(drawing)
    if not found:
        return [_question("lead-none", Msg("No panel is the leading one. Ask the office."))]
    if len(found) > 2:
        return [_question("leads-many", Msg("More than two panels lead. Ask the office."))]
    out: list[AppError] = [
        _question(
            "lead-fixed",
            Msg("Panel {letter} leads but is fixed. Ask the office.", letter=panel.letter),
        )
        for panel in found
        if not panel.slides
    ]
    if out:
        return out
    placed = _lead_places(drawing, found) + _move_questions(drawing) + _pocket_questions(drawing)
    return placed + _lock_questions(drawing, found)


def _lead_places(drawing: Drawing, found: "list[Panel]") -> "list[AppError]":
    if moving.leads_meet(drawing):
        return []
    ends = (drawing.panels[0], drawing.panels[-1])
    out: list[AppError] = [
        _question(
            "lead-place",
            Msg(
                "Panel {letter} leads but neither stands at a jamb nor meets another leading "
                "panel. Ask the office.",
                letter=panel.letter,
            ),
        )
        for panel in found
        if panel not in ends
    ]
    if len(found) == 2 and not out and moving.first_fixed(drawing.panels) == len(drawing.panels):
        out.append(
            _question(
                "lead-place",
                Msg(
                    "Both jambs have a leading panel and no panel between them is fixed: "
                    "nothing says which way the others go. Ask the office."
                ),
            )
        )
    return out


def _move_questions(drawing: Drawing) -> "list[AppError]":
    """Every lead must be able to open; every other sliding panel must have room to move."""
    out: list[AppError] = []
    for panel, way in zip(drawing.panels, moving.opens_to(drawing)):
        left, right = moving.room_on_track(drawing, panel)
        if panel.lead and (left if way == "left" else right) <= 0:
            out.append(
                _question(
                    "lead-cannot-move",
                    Msg(
                        "Leading panel {letter} has no room on its track to open. Ask the office.",
                        letter=panel.letter,
                    ),
                )
            )
        elif panel.slides and left <= 0 and right <= 0:
            out.append(
                _question(
                    "panel-cannot-move",
                    Msg(
                        "Panel {letter} slides (X) but has no room on its track. Ask the office.",
                        letter=panel.letter,
                    ),
                )
            )
    return out


def _pocket_questions(drawing: Drawing) -> "list[AppError]":
    """Every pocket must take its panels, and each of these must get there."""
    out: list[AppError] = []
    for side in ("left", "right"):
        inside = moving.pocketed_panels(drawing, side)
        if inside:
            out.extend(
                _blocked_pocket(drawing, inside, side) + _shallow_pocket(drawing, inside, side)
            )
    return out


def _blocked_pocket(drawing: Drawing, inside: "list[Panel]", side: str) -> "list[AppError]":
    return [
        _question(
            "pocket-blocked",
            Msg(
                "Panel {other} stands between panel {letter} and its pocket, on the same track. "
                "Ask the office.",
                other=other.letter,
                letter=panel.letter,
            ),
        )
        for panel in inside
        for other in drawing.panels
        if other.track == panel.track
        and other not in inside
        and (other.left < panel.left) == (side == "left")
        and other is not panel
    ]


def _shallow_pocket(drawing: Drawing, inside: "list[Panel]", side: str) -> "list[AppError]":
    try:
        depth = drawing.need("pocket_depth")
    except AppError as error:
        return [error]
    needed = moving.stack_depth(inside)
    if depth >= needed:
        return []
    return [
        _question(
            "pocket-shallow",
            Msg(
                "The pocket at the {end} is {depth} deep; panels {letters} need {needed}. "
                "Ask the office.",
                end=Msg("LEFT") if side == "left" else Msg("RIGHT"),
                depth=Len(depth, "place"),
                letters=[panel.letter for panel in inside],
                needed=Len(needed, "place"),
            ),
        )
    ]


def _lock_questions(drawing: Drawing, found: "list[Panel]") -> "list[AppError]":
    side = drawing.data.get("lock")
    if side not in ("left", "right"):
        text = Msg("The drawing does not say on which side the lock is. Ask the office.")
        return [_question("lock-side", text)]
    if len(found) == 2:
        return []
    end = drawing.panels[0] if side == "left" else drawing.panels[-1]
    if found[0] is end:
        return []
    return [
        _question(
            "lock-side",
            Msg(
                "The lock is drawn on the {side}, and panel {letter} leads at the other end. "
                "Ask the office.",
                side=Msg("LEFT") if side == "left" else Msg("RIGHT"),
                letter=found[0].letter,
            ),
        )
    ]


def _question(code: str, message: Msg, **details: object) -> InputError:
    return InputError(code, message, **details)
