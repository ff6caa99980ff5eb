"""What the readings of an opening tell about material: shims by thickness, compound."""

from app.core.checks.base import Ask
from app.core.errors import AppError
from app.core.kinds import Any, Json
from app.core.layout.book import Surveyed
from app.core.record import judge
from app.core.record.state import State
from app.core.trade import packing
from app.core.words import Msg

UNDER = ("level-range", "level-local")  # checks of one line of the substrate's survey
BESIDE = "fit"


def surveyed(state: State) -> Surveyed:
    """Return what survey and fit tell so far, and what is still to be measured.

    A line of the survey counts once, though several checks look at it; one that is level
    enough takes no shims.
    """
    out = Surveyed()
    out.missing = []
    counted: list[str] = []
    for step in state.steps:
        for check in step.data["checks"]:
            if _tells(check) and check["points"].get("line") not in counted:
                _take(state, check, step.unit, out, counted)
    return out


def _tells(check: Json) -> bool:
    """Return whether shims follow from a check: the sill that is set already takes none."""
    return check["calc"] == BESIDE or (
        check["calc"] in UNDER and check["settings"].get("fall") != "set"
    )


def _take(state: State, check: Json, unit: str, out: Surveyed, counted: "list[str]") -> None:
    into = out.jambs if check["calc"] == BESIDE else out.shims
    try:
        ask = judge.ask_for_check(state, check, unit)
        shims = _beside(ask, out) if check["calc"] == BESIDE else _under(ask, out)
    except AppError:
        shims = None  # the check's own words say what the drawing leaves open
    if shims is None and check["calc"] != "level-local":  # its line's range says the same
        words = Msg("Shims: finish “{check}”.", check=Msg(check["title"]))
        if words not in out.missing:
            out.missing.append(words)
    if shims:
        counted.append(check["points"].get("line", ""))
    for size in shims or []:
        into[size] = into.get(size, 0) + 1


def _beside(ask: Ask, out: Surveyed) -> "list[int] | None":
    from app.core.checks.opening import placed, shims_of

    out.beside = placed(ask)
    out.pieces = ask.settings.get("pieces", packing.PIECES)
    return shims_of(ask)


def _under(ask: Ask, out: Surveyed) -> "list[int] | None":
    """Return the shims under one surveyed line by the way that is advised; adds compound."""
    from app.core.checks.sill import line_work

    found = line_work(ask)
    if found is None:
        return None
    plan, i = found
    if plan.sound:
        return []
    way = plan.advised
    if way is None:
        return None
    out.compound += _compound(ask, plan, i)
    return [piece for pack in way.works[i].packs for piece in way.ladder.pieces(pack or 0)]


def _compound(ask: Ask, plan: Any, i: int) -> int:
    """Return what filling one line takes, nm³; each of two lines stands for half the sill."""
    depth = ask.drawing.length("sill_depth")
    fills = [way for way in plan.ways if way.kind == "fill"]
    if depth is None or not fills:
        return 0
    depths = [pack or 0 for pack in fills[0].works[i].packs]
    num, den = packing.fill_volume(plan.surveys[i].xs, depths, depth)
    lines: int = den * len(plan.surveys)
    return -(-num // lines)
