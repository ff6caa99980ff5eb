"""What the readings of an opening tell about material: shims by thickness, compound."""

from app.core.checks.base import Shims, Spec
from app.core.checks.index import spec_of
from app.core.errors import AppError
from app.core.kinds import Json
from app.core.layout.book import Surveyed
from app.core.quantity.messages import Msg
from app.core.record import judge
from app.core.record.state import State


def survey_so_far(state: State) -> Surveyed:
    """Return what survey and fit tell so far, and what is still to be measured.

    A line of the survey counts once, though several checks look at it; one that is level
    enough takes no shims.
    """
    out = Surveyed()
    out.missing = []
    counted: list[str] = []
    for step in state.steps:
        for check in step.data["checks"]:
            spec = spec_of(check["calc"])
            if spec.shims is None or check["points"].get("line") in counted:
                continue
            if judge.are_points_asked(state, step, check):
                _take_check(state, check, step.panel, spec, out, counted)
    return out


def _take_check(
    state: State, check: Json, panel: str, spec: Spec, out: Surveyed, counted: "list[str]"
) -> None:
    shims = _shims_of(state, check, panel, spec)
    if shims is not None and shims.pieces is not None:
        out.beside, out.pieces = shims.beside, shims.pieces
    if (shims is None or shims.sizes is None) and spec.asks_shims:
        words = Msg("Shims: finish “{check}”.", check=Msg(check["title"]))
        if words not in out.missing:
            out.missing.append(words)
    if shims is None or not shims.sizes:
        return
    counted.append(check["points"].get("line", ""))
    out.compound += shims.compound
    into = out.jambs if shims.of == "jambs" else out.shims
    for size in shims.sizes:
        into[size] = into.get(size, 0) + 1


def _shims_of(state: State, check: Json, panel: str, spec: Spec) -> "Shims | None":
    """Return what a check's readings take; None where the drawing leaves open what it needs."""
    if spec.shims is None:
        return None
    try:
        return spec.shims(judge.ask_for_check(state, check, panel))
    except AppError:  # the check's own words say what is open
        return None
