"""Drawings for tests: invented doors, sizes in inches."""

from app.core.kinds import Any, Json
from app.core.trade.drawing import Drawing

INCH = 25400000
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def data(tracks: "list[int]", kinds: str, leads: str, lock: str = "left", wide: int = 48) -> Json:
    """Return a drawing that adds up: panels `wide` inches, overlaps 2, jambs 2, 2 weeps."""
    width = 4
    panels = []
    for k, kind in enumerate(kinds):
        width += wide - (2 if k and tracks[k - 1] != tracks[k] else 0)
        panels.append(
            {
                "letter": LETTERS[k],
                "kind": kind,
                "track": tracks[k],
                "width": str(wide * INCH),
                "height": str(92 * INCH),
                "lead": LETTERS[k] in leads,
                "mass": "",
            }
        )
    return {
        "door": "stacking",
        "lock": lock,
        "set_from": "outside",
        "panels": panels,
        "lengths": lengths(width),
        "counts": {
            "tracks": str(max(tracks)),
            "weep_count": "2",
            "sill_screws": "0",
            "fixed_screws": "3",
        },
        "weeps": [str(20 * INCH), str((width - 20) * INCH)],
        "locks": [str(40 * INCH)],
    }


def lengths(width: int) -> "dict[str, str]":
    """Return every length that the set-out asks for; the frame `width` inches wide, 96 high."""
    inches = {
        "frame_width": width,
        "frame_height": 96,
        "jamb_face": 2,
        "interlock_overlap": 2,
        "sill_depth": 8,
        "bead_turn_up": 6,
        "cross_line_spacing": 6,
        "bead_weep_clear": 2,
        "anchor_end": 6,
        "anchor_spacing": 16,
        "anchor_clear": 3,
        "lock_clear": 3,
        "interlock_clear": 1,
        "joint_width_most": 1,
    }
    out = {field: str(size * INCH) for field, size in inches.items()}
    out["bead_width"] = out["bead_height"] = str(INCH // 2)
    return out


def door(tracks: "list[int]", kinds: str, leads: str, lock: str = "left", **more: Any) -> Drawing:
    """Return such a drawing, with top-level fields replaced."""
    made = data(tracks, kinds, leads, lock)
    made.update(more)
    return Drawing(made)


def four() -> Drawing:
    """Return a stacking door: A leads at the left jamb, D fixed, four tracks."""
    return door([1, 2, 3, 4], "XXXO", "A")


def eight() -> Drawing:
    """Return a door whose leads D and E meet; A and H are fixed."""
    return door([4, 3, 2, 1, 1, 2, 3, 4], "OXXXXXXO", "DE")
