"""Doors by chance: drawings as a supervisor types them, of every configuration.

From 1 to 8 panels, sliding or stacking, to one side or from the middle, with fixed ends and
pockets, and with any of the fields left open that a drawing may leave open; or lift-and-slide,
of at most 4 panels. All invented.
"""

from itertools import pairwise
from random import Random

from app.core.kinds import Json
from app.office.issue import reading

LEAST = ("frame_width", "frame_height", "anchor_end", "anchor_spacing")
OPTIONAL = {
    "sill_depth": "7", "pan_thickness": "1/16", "bed_thickness": "1/4", "bead_width": "1/2",
    "bead_height": "1/2", "bead_turn_up": "6", "cross_line_spacing": "6", "bead_weep_clear": "1",
    "cross_fall": "1/4", "sill_fall_least": "0", "sill_fall_most": "1/16",
    "side_gap_least": "1/4", "side_gap_most": "1/2", "head_gap_least": "1/4",
    "stile_clearance": "3/8", "stile_clearance_least": "1/8", "stile_clearance_most": "5/8",
    "head_engagement": "5/8", "head_pocket": "13/16", "lift_play_least": "1/16",
    "lift_play": "3/16",
    "axle_distance": "30", "gap_distance": "83", "anchor_clear": "3", "interlock_clear": "1",
    "lock_clear": "3", "hook_depth": "1/2", "joint_width_least": "1/4",
    "joint_width_most": "5/8", "floor_below_sill": "3/4", "setback": "1/2",
    "weep_count": "4", "frame_anchors": "24", "sill_screws": "0", "fixed_screws": "3",
    "force_start": "12 lbf", "force_move": "8 lbf", "surface_least": "40 F",
    "surface_most": "110 F", "skin_time": "20 min", "primer_time": "0 min",
    "mortar_time": "24 h", "tracks": "", "jamb_face": "",
    "interlock_overlap": "", "weeps": "12\n30", "shims": "1/16 in\n1/8 in\n1/4 in", "locks": "40",
    "opening_width": "", "opening_height": "", "sill_length": "", "head_length": "",
    "jamb_length": "", "pocket_depth": "", "mass": "300 lb",
    "parts": "P-1; frame; 1; \nP-2; panels; 3; ",
}  # fmt: skip
LIFTED = {
    "panel_lift_least": "1/4 in", "panel_lift_most": "5/16 in", "foot_gasket": "1/2 in",
    "handle_force": "25 lbf", "locks": "10 in\n44 in\n70 in",
}  # fmt: skip


def door_texts(
    chance: Random, terms: reading.Terms, most_panels: int = 8, lifting: bool = False
) -> tuple[dict[str, str], dict[str, str]]:
    """Return the fields of a drawing that can be built, and of the same with nothing left open.

    Chance says how much the first leaves open. lifting: a lift-and-slide door.
    """
    optional = [*OPTIONAL, *(LIFTED if lifting else ())]
    for _ in range(60):
        whole = whole_door(chance, most_panels)
        if lifting:
            whole |= {"door": "lift-and-slide", **LIFTED}
        if not reading.read_drawing(whole, terms).problems:
            break
    else:
        raise AssertionError("chance draws no door")
    how_many = chance.choice((0.0, 0.5, 0.9, 1.0))
    told = {name for name in optional if chance.random() < how_many}
    out = {name: text for name, text in whole.items() if name not in optional or name in told}
    if "mass" not in told:
        out = {name: text for name, text in out.items() if not name.endswith("_mass")}
    return out, whole


def whole_door(chance: Random, most: int) -> dict[str, str]:
    """Return the fields of a drawing with nothing left open, of at most so many panels."""
    count = chance.randint(1, most)
    kinds, tracks, leads, lock = _arrangement(chance, count)
    wide, high = chance.choice((24, 36, 48, 60)), chance.choice((80, 92, 104))
    jamb, overlap = 2, 2
    width = 2 * jamb + wide * count
    width -= overlap * sum(a != b for a, b in pairwise(tracks))
    texts = {name: text for name, text in OPTIONAL.items() if name != "mass"}
    texts |= {
        "number": f"S-{chance.randint(1, 99)}", "revision": chance.choice("ABC"),
        "author": "Drawing office", "date": "2026-02-09",
        "door": chance.choice(("stacking", "sliding")), "lock": lock,
        "set_from": chance.choice(("outside", "room")),
        "rule": chance.choice(("simple", "simple", "simple", "guarded")),
        "frame_width": f"{width} in", "frame_height": f"{high + 4} in",
        "anchor_end": "6 in", "anchor_spacing": chance.choice(("16 in", "24 in", "40 in")),
        "tracks": str(max(tracks)), "jamb_face": f"{jamb} in", "interlock_overlap": f"{overlap} in",
        "opening_width": f"{width} 3/4 in", "opening_height": f"{high + 5} in",
        "sill_length": f"{width} in", "head_length": f"{width} in", "jamb_length": f"{high} in",
        "pocket_depth": f"{wide * count + 20} in", "axle_distance": f"{wide - 8} in",
        "weeps": f"12 in\n{width - 12} in", "weep_count": "2", "gap_distance": f"{high - 12} in",
        "locks": "40 in",
    }  # fmt: skip
    for at in range(count):
        row = f"panel_{at + 1}_"
        texts |= {
            row + "kind": kinds[at], row + "track": str(tracks[at]), row + "width": f"{wide} in",
            row + "height": f"{high} in", row + "lead": "yes" if at in leads else "",
            row + "mass": "300 lb",
        }  # fmt: skip
    return {name: text + " in" if _is_bare(name, text) else text for name, text in texts.items()}


def _is_bare(name: str, text: str) -> bool:
    """Return whether a text is a bare number of inches."""
    counts = ("tracks", "weep_count", "frame_anchors", "sill_screws", "fixed_screws")
    plain = bool(text) and all(sign in "0123456789/ " for sign in text)
    return plain and name not in counts and not name.endswith("_track")


def _arrangement(chance: Random, count: int) -> tuple[str, list[int], set[int], str]:
    """Return kinds, tracks, leads (by their number) and the side of the lock."""
    lock = chance.choice(("left", "right"))
    if count >= 2 and count % 2 == 0 and chance.random() < 0.5:  # opens from the middle
        half = count // 2
        inward = list(range(1, half + 1))
        tracks = inward[::-1] + inward
        end = chance.choice("OX") if half > 1 else "X"
        if chance.random() < 0.2:
            kinds = "P" * count
        else:
            kinds = end + "X" * (count - 2) + end if count > 2 else "XX"
        return kinds, tracks, {half - 1, half}, lock
    tracks = list(range(1, count + 1))
    last = chance.choice("OOX") if count > 1 else "X"
    kinds = "X" * (count - 1) + last
    if chance.random() < 0.15:
        kinds = "P" * count
    if lock == "left":
        return kinds, tracks, {0}, lock
    return kinds[::-1], tracks[::-1], {count - 1}, lock


def described(texts: Json) -> str:
    """Return a door in a few letters, for the trail of a story."""
    rows = [str(texts[f"panel_{n}_kind"]) for n in range(1, 13) if texts.get(f"panel_{n}_kind")]
    return f"{texts['door']} {''.join(rows)} lock {texts['lock']} {texts['rule']}"
