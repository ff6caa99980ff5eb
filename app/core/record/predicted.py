"""What the door model predicted before panels hung, beside what was measured afterwards."""

from app.core.errors import AppError
from app.core.quantity.messages import Msg
from app.core.quantity.units import half_up
from app.core.record import judge
from app.core.record.door_as_read import FRAME, HUNG
from app.core.record.state import State
from app.core.trade.door_model.outlook import outlook
from app.core.trade.door_model.words import gap_words


class PredictedGap:
    """One gap. Lengths: how much wider its high place is than its low one.

    where: words. predicted: with rollers as the model would set them. spread: how unsure that was.
    measured: on the hung panels as they stand, None before. limit: of its taper.
    """

    def __init__(
        self, where: Msg, predicted: int, spread: int, measured: "int | None", limit: int
    ) -> None:
        self.where = where
        self.predicted = predicted
        self.spread = spread
        self.measured = measured
        self.limit = limit

    @property
    def off(self) -> "int | None":
        """Return how far the model was off, None before anything was measured."""
        return None if self.measured is None else abs(self.measured - self.predicted)


def predicted_gaps(state: State) -> "list[PredictedGap]":
    """Return each gap as it was predicted from the frame; [] where nothing could be predicted."""
    frame, hung = judge.door_at(state, FRAME), judge.door_at(state, HUNG)
    if frame is None or frame.door is None or hung is None or hung.door is None:
        return []
    try:
        found = outlook(frame.door, 0.0)
    except AppError:
        return []
    out = []
    for taper, spread in zip(found.plan.tapers, found.spreads):
        gap = hung.door.gaps[taper.number]
        measured = None if gap.follows else gap.measured
        where = gap_words(taper.number, frame.door)
        predicted = half_up(taper.num, taper.den)
        out.append(PredictedGap(where, predicted, spread, measured, taper.limit))
    return out


def greatest_miss(gaps: "list[PredictedGap]") -> "int | None":
    """Return how far the model was off at most; None before anything was measured."""
    misses = [gap.off for gap in gaps if gap.off is not None]
    return max(misses) if misses else None
