"""What the review says of times: clocks in doubt, and entries that came later than they should."""

from app.core.kinds import Json
from app.core.pages.request import Request
from app.core.quantity.messages import Msg
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


def _person_names(request: Request, events: list[Json]) -> str:
    return ", ".join(sorted({request.name(event["person"]) for event in events}))
