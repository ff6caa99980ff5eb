"""The check of the room under the head: opening height, less packing, pan and bed."""

from app.core.checks.as_drawn import opening_height
from app.core.checks.base import Ask, Outcome, Spec, not_measured, within_or_out
from app.core.checks.sill import nothing_read
from app.core.checks.sill_plan import SillPlan, line_plan
from app.core.checks.sill_survey import Survey
from app.core.checks.sill_words import sill_remedies
from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.core.trade.verdicts import MISSING, UNREACHABLE

# The frame's height, pan, bed and least gap over the frame are the drawing's.
HEIGHT_STACK_SPEC = Spec(
    {"line": "length", "heights": "length", "other": "length"},
    {},
    {"side": "text", "pieces": "count"},
    ("other", "pieces"),
    head_room=True,
    as_drawn=opening_height,
    needs=("pan_thickness", "bed_thickness", "head_gap_least"),
)


def height_stack(ask: Ask) -> Outcome:
    """Return whether the frame fits under the head with the sill packed to its high point."""
    left = not_measured(ask, "heights")
    line = Survey(ask, "line")
    if left or line.missing or not line.places:
        return left or nothing_read(line)
    if not ask.series("heights"):
        return Outcome(UNREACHABLE, [Msg("No opening height could be reached.")])
    plan = line_plan(ask, line)
    if plan is None:
        return Outcome(MISSING, [Msg("Survey the other line too: its high point lifts this one.")])
    if plan.head.why is not None:
        raise InputError("drawing-silent", plan.head.why)
    return _stack_outcome(ask, plan)


def _stack_outcome(ask: Ask, plan: SillPlan) -> Outcome:
    gap = plan.head.worst(plan.surveys[0], plan.level)[2] - plan.head.frame
    fits = gap >= plan.head.gap
    return Outcome(
        within_or_out(fits, ask, "line", "heights"),
        plan.head.sums(plan.surveys[0], plan.level, ask),
        [] if fits else sill_remedies(plan, ["line"]),
        value=gap,
        low=plan.head.gap,
        over=0 if fits else plan.head.gap - gap,
    )
