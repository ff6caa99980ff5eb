"""What the shop drawing gives for an opening, and what follows from it.

Everything is SEEN FROM OUTSIDE: left, right, the order of the panels, and
every position along the sill, counted from the LEFT end of the frame.

As JSON (in events and the database) lengths are decimal text of whole
nanometres, so that nothing is lost on the way:

    {"number": "S-101", "revision": "B", "author": "...", "date": "2026-03-02",
     "door": "stacking", "lock": "left", "set_from": "outside", "rule": "simple",
     "panels": [{"letter": "A", "kind": "X", "track": 1, "width": "…", "height": "…",
                 "lead": true, "mass": ""}],         left to right; see KINDS
     "lengths": {"frame_width": "4851400000", …},    see LENGTHS
     "counts": {"fixed_screws": "3", …},             see COUNTS
     "amounts": {"force_start": "…", …},             see AMOUNTS, in base units of measure.py
     "weeps": ["304800000", …],                      from the left end of the frame
     "shims": ["1587500", …],                        sizes that are in the box
     "locks": ["914400000", …],                      up a jamb, from the foot of the frame
     "parts": [{"mark": "P-A", "what": "panel A", "count": 1, "step": "E"}],
     "limits": {"sill-total-room.most": "3175000"}}  a limit that the drawing sets

Track 1 is the innermost, nearest the room. A field that the drawing leaves
empty is absent or ""; nothing is ever filled in for it.
"""

from app.core.errors import InputError
from app.core.kinds import Any, Json
from app.core.quantity.messages import Msg
from app.core.trade.door_systems import system_uses

# X slides, O is fixed, P slides into a pocket in the wall at the end that it opens to
KINDS = ("X", "O", "P")
# field, words for a person, a common value as a hint (never filled in)
LENGTHS = (
    ("opening_width", "Rough opening, width", ""),
    ("opening_height", "Rough opening, height", ""),
    ("frame_width", "Frame, outside width", ""),
    ("frame_height", "Frame, outside height", ""),
    ("sill_length", "Sill member, length as cut", ""),
    ("head_length", "Head member, length as cut", ""),
    ("jamb_length", "Jamb members, length as cut", ""),
    ("jamb_face", "Frame jamb, face width", ""),
    ("sill_depth", "Sill, depth from room side to weather side", ""),
    ("pan_thickness", "Sill pan, thickness", ""),
    ("bed_thickness", "Sealant bed under the sill, thickness when set", ""),
    ("bead_width", "Sealant bead in the bed, width", '1/2"'),
    ("bead_height", "Sealant bead in the bed, height", '1/2"'),
    ("bead_turn_up", "Sealant turned up each jamb", '6"'),
    ("cross_line_spacing", "Cross lines in the bed, spacing", '6"'),
    ("bead_weep_clear", "Bed kept clear of a weep, each side", ""),
    ("cross_fall", "Fall of the substrate toward the weather side, over the sill depth", ""),
    ("sill_fall_least", "Fall of the set sill toward the weather side, least", ""),
    ("sill_fall_most", "Fall of the set sill toward the weather side, most", ""),
    ("side_gap_least", "Gap beside the frame, least", '1/4"'),
    ("side_gap_most", "Gap beside the frame, most", '1/2"'),
    ("head_gap_least", "Gap over the frame, least: live-load deflection and tolerance", ""),
    ("interlock_overlap", "Overlap of two panels at an interlock", ""),
    ("stile_clearance", "Bottom of a stile over the sill, panels set", '3/8"'),
    ("stile_clearance_least", "Bottom of a stile over the sill, least", ""),
    ("stile_clearance_most", "Bottom of a stile over the sill, most", ""),
    ("head_engagement", "Panel in the head track, least", ""),
    ("head_pocket", "Head track, depth of its pocket", ""),
    ("lift_play_least", "Panel can be lifted, least", ""),
    ("lift_play", "Panel can be lifted, most", ""),
    ("panel_lift_least", "Handle lifts a panel, least", ""),
    ("panel_lift_most", "Handle lifts a panel, most", ""),
    ("foot_gasket", "Gasket under a panel, height when nothing presses it", ""),
    ("axle_distance", "Distance between the two roller axles of a panel", ""),
    ("gap_distance", "Distance between the highest and the lowest gap measured", ""),
    ("anchor_end", "First anchor from the corner", '6"'),
    ("anchor_spacing", "Anchors, greatest spacing", '16"'),
    ("anchor_clear", "Anchors kept clear of a weep, each side", '3"'),
    ("lock_clear", "Anchors kept clear of a lock, each side", ""),
    ("interlock_clear", "Anchors kept clear of an interlock or meeting stile, each side", ""),
    ("pocket_depth", "Pocket in the wall, depth from the jamb", ""),
    ("hook_depth", "Lock hook in the strike, least", ""),
    ("joint_width_least", "Sealant joint, least width", '1/4"'),
    ("joint_width_most", "Sealant joint, greatest width", ""),
    ("floor_below_sill", "Finished floor below the sill's room edge", ""),
    ("setback", "Sill set back from the room-side line", ""),
)
OF_PANEL = ("panel_width", "panel_height")  # each panel's own, named like a length
COUNTS = (
    ("tracks", "Tracks"),
    ("weep_count", "Weeps in the sill"),
    ("frame_anchors", "Anchors in jambs and head"),
    ("sill_screws", "Screws through the sill (0: none drawn)"),
    ("fixed_screws", "Screws that hold a fixed panel"),
)
AMOUNTS = (
    ("force_start", "force", "Force to start a panel, most"),
    ("force_move", "force", "Force to keep a panel moving, most"),
    ("handle_force", "force", "Force at the end of the handle to lift a panel, most"),
    ("surface_least", "temperature", "Surface when sealant goes on, coldest"),
    ("surface_most", "temperature", "Surface when sealant goes on, warmest"),
    ("skin_time", "duration", "Sealant skins over after"),
    ("primer_time", "duration", "Primer dries before the bead, least (0: no primer)"),
    ("mortar_time", "duration", "Mortar or leveling compound hardens, least"),
)


class Panel:
    """One panel; left and right are the positions of its edges in nanometres."""

    def __init__(self, data: Json, left: int, right: int) -> None:
        self.letter: str = data["letter"]
        self.kind: str = data["kind"]
        self.track: int = data["track"]
        self.width = int(data["width"])
        self.height = int(data["height"])
        self.lead: bool = data["lead"]
        self.mass: int | None = int(data["mass"]) if data.get("mass") else None
        self.left = left
        self.right = right

    @property
    def slides(self) -> bool:
        """Return whether the panel moves (X, P); a fixed panel (O) does not."""
        return self.kind in ("X", "P")

    @property
    def pocketed(self) -> bool:
        """Return whether the panel slides into a pocket in the wall (P)."""
        return self.kind == "P"


class Drawing:
    """Reads a drawing's JSON; whole nanometres out, None where it says nothing."""

    def __init__(self, data: Json) -> None:
        self.data = data
        self.panels = _laid_out(data, self.length("jamb_face"), self.length("interlock_overlap"))

    def length(self, field: str) -> "int | None":
        """Return a length of LENGTHS in nanometres, or None where the drawing leaves it open."""
        return _whole_or_none(self.data.get("lengths", {}).get(field))

    def count(self, field: str) -> "int | None":
        """Return a count of COUNTS, or None where the drawing leaves it open."""
        return _whole_or_none(self.data.get("counts", {}).get(field))

    def amount(self, field: str) -> "int | None":
        """Return an amount of AMOUNTS in the base unit of its quantity, or None."""
        return _whole_or_none(self.data.get("amounts", {}).get(field))

    def value(self, field: str) -> "int | None":
        """Return whichever of length, count or amount has this name, or None."""
        for group in ("lengths", "counts", "amounts"):
            found = _whole_or_none(self.data.get(group, {}).get(field))
            if found is not None:
                return found
        return None

    def need(self, field: str) -> int:
        """Return a length; raises InputError 'drawing-silent' where the drawing leaves it open."""
        found = self.length(field)
        if found is None:
            raise InputError(
                "drawing-silent",
                Msg(
                    "The drawing does not give “{what}”. Ask the office.",
                    what=Msg(title_of(field)),
                ),
                field=field,
            )
        return found

    def limit(self, name: str) -> "int | None":
        """Return the limit that the drawing sets for 'check-id.limit-name', or None."""
        return _whole_or_none(self.data.get("limits", {}).get(name))

    @property
    def weeps(self) -> "list[int]":
        """Return the weeps' positions from the left end of the frame, nanometres."""
        return [int(text) for text in self.data.get("weeps", [])]

    @property
    def shims(self) -> "list[int]":
        """Return the shim thicknesses in the box, nanometres, as the drawing lists them."""
        return [int(text) for text in self.data.get("shims", [])]

    @property
    def locks(self) -> "list[int]":
        """Return how high up a jamb the locks are, from the foot of the frame, nanometres."""
        return [int(text) for text in self.data.get("locks", [])]

    def asks(self, field: str) -> bool:
        """Return whether a door of this system, with these panels, has any use for a field."""
        if not system_uses(self.data.get("door", ""), field):
            return False
        if field == "pocket_depth":
            return any(panel.pocketed for panel in self.panels)
        if field == "fixed_screws":
            return any(not panel.slides for panel in self.panels)
        if field in ("lock_clear", "locks"):
            return self._locks_at_a_jamb()
        return True

    def _locks_at_a_jamb(self) -> bool:
        """Return whether a lead closes at a jamb, and not against another lead."""
        pairs = list(zip(self.panels, self.panels[1:]))
        meets = any(a.lead and b.lead and a.track == b.track for a, b in pairs)
        return not meets and any(panel.lead for panel in self.panels)

    @property
    def interlocks(self) -> "list[int]":
        """Return where two neighbours on different tracks overlap: middles, nanometres."""
        out = []
        for left, right in zip(self.panels, self.panels[1:]):
            if left.track != right.track:
                out.append((left.right + right.left) // 2)
        return out

    @property
    def meetings(self) -> "list[int]":
        """Return where two panels on one track meet: positions, nanometres."""
        out = []
        for left, right in zip(self.panels, self.panels[1:]):
            if left.track == right.track:
                out.append((left.right + right.left) // 2)
        return out

    @property
    def configuration(self) -> str:
        """Return the letters X, O and P, left to right as seen from outside."""
        return "".join([panel.kind for panel in self.panels])

    def panel(self, letter: str) -> Panel:
        """Return a panel by its letter; raises InputError 'panel-unknown'."""
        for panel in self.panels:
            if panel.letter == letter:
                return panel
        raise InputError(
            "panel-unknown", Msg("There is no panel {letter}.", letter=letter), letter=letter
        )


def title_of(field: str) -> str:
    """Return the English words for a field of the drawing (a key for translation)."""
    for entry in LENGTHS + COUNTS:
        if entry[0] == field:
            return entry[1]
    for entry in AMOUNTS:
        if entry[0] == field:
            return entry[2]
    return field


def _whole_or_none(text: Any) -> "int | None":
    if text is None or text == "":
        return None
    return int(text)


def _laid_out(data: Json, jamb: "int | None", overlap: "int | None") -> "list[Panel]":
    """Return the panels, each from where its left neighbour ends, less the overlap."""
    at = jamb or 0
    out = []
    before = None
    for panel in data.get("panels", []):
        if before is not None and before["track"] != panel["track"]:
            at -= overlap or 0
        right = at + int(panel["width"])
        out.append(Panel(panel, at, right))
        at = right
        before = panel
    return out
