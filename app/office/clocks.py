"""What the review says of times: clocks in doubt, and entries that came later than they should."""

from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Request
from app.core.quantity.messages import Msg, Qty
from app.core.quantity.moments import moment_of
from app.core.record import judge
from app.core.record.state import State
from app.homeowner.receipts import Receipts


def clock_notes(request: Request, state: State, receipts: Receipts) -> list[Json]:
    """Return what is to be said of clocks, and of entries that came later than they should."""
    doubtful = [event for event in state.ledger.events if receipts.in_doubt(event)]
    out = []
    if doubtful:
        out.append(
            Msg(
                "Clock in doubt: the times that entries claim cannot be right. Entries: {count}, "
                "by {who}. Each reading among them is marked where it stands.",
                count=len(doubtful),
                who=_person_names(request, doubtful),
            )
        )
    late = [event for event in state.ledger.events if event["id"] in request.late]
    if late:
        out.append(
            Msg(
                "Entries that came in after the opening was withdrawn, or the pairing of their "
                "phone was ended: {count}, by {who}.",
                count=len(late),
                who=_person_names(request, late),
            )
        )
    return [{"text": request.say(words), "words": ""} for words in out]


def timed_notes(request: Request, state: State) -> list[Json]:
    """Return the clocks of steps that came to something else by when the office received them.

    Nothing is done later than the office has it. Where a phone's clock claims so, the time of
    receipt is nearer to the truth.
    """
    found = [result for step in state.steps for result in judge.results_of(state, step)]
    notes = [_timed_note(request, result) for result in found if result.clock is not None]
    return [common.remark_of(request.say(words)) for words in notes if words is not None]


def _timed_note(request: Request, result: judge.Result) -> Msg | None:
    clock = result.clock
    if clock is None or clock.start is None or clock.end is None or clock.lasts is None:
        return None
    start = _not_after_receipt(request, clock.start, clock.started)
    end = _not_after_receipt(request, clock.end, clock.ended)
    if start is None or end is None or clock.started is None or clock.ended is None:
        return None
    claimed, received = clock.ended - clock.started, end - start
    if clock.holds(claimed) == clock.holds(received):
        return None
    return Msg(
        "{check}: {claimed} by the phones’ clocks, {received} by when the office received it.",
        check=Msg(result.check["title"]),
        claimed=Qty("duration", claimed),
        received=Qty("duration", received),
    )


def _not_after_receipt(request: Request, event: Json, claimed: int | None) -> int | None:
    received = moment_of(request.received.get(event["id"], ""))
    if claimed is None or received is None:
        return claimed
    return min(claimed, received)


def _person_names(request: Request, events: list[Json]) -> str:
    return ", ".join(sorted({request.name(event["person"]) for event in events}))
