"""A small procedure with finer points, for the tests of depth.

Step A: "sill" at two places (short) or five (full), judged by "sill-level". "sill-fine" opens when
that is out; "sill-finest" when "fine-alike", made of it, is out. "seal" is asked at full depth
only. Step B, per panel: "stile" opens when the panel's own "reveal-alike" is out.
"""

from app.core.kinds import Json
from app.core.record.state import State
from tests.core.sample import DRAWING, PROCEDURE, Site, _check, _point, changed, inches

QUARTER: Json = {"most": {"value": inches(1, 4)}}
LEFT = {"id": "left", "title": "left", "side": "left"}
RIGHT = {"id": "right", "title": "right", "side": "right"}


def _listed(*names: str) -> Json:
    """Return places by name; those at the ends have their sides."""
    sides = {"left": "left", "right": "right"}
    items = [{"id": name, "title": name, "side": sides.get(name, "")} for name in names]
    return {"kind": "listed", "items": items}


def _finer(id: str, asked: "Json | str") -> Json:
    """Return a point that is not always asked."""
    return changed(_point(id, id), {"asked": asked})


STEP_A: Json = changed(
    PROCEDURE["steps"][0],
    {
        "tasks": [], "decisions": [],
        "points": [
            changed(_point("sill", "Sill"), {
                "where": _listed("left", "a", "middle", "b", "right"),
                "short": _listed("left", "right")}),
            _finer("sill-fine", {"when": ["sill-level"]}),
            _finer("sill-finest", {"when": ["fine-alike"]}),
            _finer("seal", "full"),
        ],
        "checks": [
            _check("sill-level", "each-within", "sill", QUARTER),
            _check("fine-alike", "each-within", "sill-fine", QUARTER),
            _check("finest-alike", "each-within", "sill-finest", QUARTER),
            _check("seal-thick", "each-within", "seal", QUARTER),
        ],
        "adjustments": [{"id": "moved", "text": "It was moved", "stale": ["sill"]}],
    },
)  # fmt: skip
STEP_B: Json = changed(
    PROCEDURE["steps"][1],
    {
        "points": [_point("reveal", "Reveal"), _finer("stile", {"when": ["reveal-alike"]})],
        "checks": PROCEDURE["steps"][1]["checks"]
        + [_check("stile-alike", "alike", "stile", {"most": {"value": inches(1, 16)}})],
    },
)
FINER: Json = changed(PROCEDURE, {"id": "finer", "steps": [STEP_A, STEP_B]})
# the finer check stands for the rough one once all its places are read
_STANDING = [changed(one, {"finer": "fine-alike"} if one["id"] == "sill-level" else {})
             for one in STEP_A["checks"]]  # fmt: skip
STANDING: Json = changed(
    FINER, {"version": 2, "steps": [changed(STEP_A, {"checks": _STANDING}), STEP_B]}
)
# the sill is a rough look at short depth
_ROUGH = [changed(one, {"asked": "short"} if one["id"] == "sill" else {})
          for one in STEP_A["points"]]  # fmt: skip
ROUGH: Json = changed(
    STANDING, {"version": 3, "steps": [changed(STANDING["steps"][0], {"points": _ROUGH}), STEP_B]}
)
PROCEDURES = {"finer@1": FINER, "finer@2": STANDING, "finer@3": ROUGH}


class FinerSite(Site):
    """Devices at an opening of that procedure."""

    def __init__(self, depth: str = "short") -> None:
        self.books = {}
        self.count = 0
        body: Json = {"procedure": "finer", "version": 1, "drawing": DRAWING}
        if depth:
            body["depth"] = depth
        self.issue = self.write("office-1", "opening.issued", body)

    def state(self, device: str = "") -> State:
        """Return the state of what a device holds; of everything for ""."""
        return State(self.book(device) if device else self.all(), PROCEDURES)

    def sill(self, left: int, right: int, device: str = "phone-a") -> None:
        """Read both ends of the sill, in sixteenths of an inch: more than 4 is out."""
        for place, number in (("left", left), ("right", right)):
            self.take(device, "sill", place, number)

    def take(self, device: str, point: str, place: str, number: int, panel: str = "") -> Json:
        """Read a place, in sixteenths of an inch."""
        return self.read(device, point, place, "x", inches(number, 16), panel)
