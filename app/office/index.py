"""/office/index: what is not of every day, each with a sentence; the menu's "Company"."""

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from app.access.pages import speaker_of
from app.access.who import need_supervisor
from app.core.quantity.messages import Msg
from app.office.pages import office_page
from app.store.tables import Person

router = APIRouter(prefix="/office/index")
Asker = Annotated[Person, Depends(need_supervisor)]
# where, its words, what it is for
PLACES = (
    ("/office/learn", Msg("What doors teach"), Msg("How often checks are within at first.")),
    ("/office/visits", Msg("Service"), Msg("Visits to doors that were accepted.")),
    ("/office/templates", Msg("Door templates"), Msg("What new openings can begin with.")),
    ("/office/procedures", Msg("Procedures"), Msg("Steps, points and limits, by version.")),
    ("/office/instruments", Msg("Instruments"), Msg("What crews measure with, and its checks.")),
    ("/phones", Msg("Phones"), Msg("Paired phones, when each was heard of, and ending one.")),
    ("/office/take-in", Msg("Import"), Msg("Openings from a CSV, records from another Sillbook.")),
    ("/office/take-out", Msg("Export"), Msg("Openings, readings and records as files.")),
    ("/office/notices", Msg("Notices"), Msg("What you are told by e-mail, and when.")),
    ("/office/outbox", Msg("Outbox"), Msg("What was sent, and what could not be.")),
    ("/office/aside", Msg("Entries set aside"), Msg("What phones sent that could not be taken.")),
)  # fmt: skip
# for administrators alone
KEEPERS = (
    ("/office/people", Msg("People"), Msg("Who signs in, with which role.")),
    ("/office/company", Msg("Company details"), Msg("Name and telephone on the records.")),
    ("/office/company/logo", Msg("Logo"), Msg("The picture on the first sheet of records.")),
    ("/office/webhooks", Msg("Webhooks"), Msg("Other programs that are told what happens.")),
    ("/office/tokens", Msg("Data for programs"), Msg("Tokens of programs that ask for data.")),
)


@router.get("")
def index_page(request: Request, person: Asker) -> Response:
    """List the office's other pages."""
    say = speaker_of(request).say
    places = [
        {"href": href, "text": say(words), "about": say(about)}
        for href, words, about in PLACES + (KEEPERS if person.role == "administrator" else ())
    ]
    return office_page(request, "office/index.html", Msg("Company"), {"places": places})
