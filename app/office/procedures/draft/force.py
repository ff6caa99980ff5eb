"""/office/procedures/NAME/edit/force: what a draft would change, and how it is put in force."""

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.server import server_of
from app.access.who import FormFields
from app.core.kinds import Json
from app.office.procedures.draft import work
from app.office.procedures.draft.desk import Asker, Desk, gone_response
from app.office.procedures.forcing import ForceSheet, is_put_twice
from app.procedures import draft_text
from app.store import procedures
from app.store.procedure_tables import ProcedureDraft

router = APIRouter()


def _draft_sheet(desk: Desk) -> tuple[ForceSheet, str]:
    """Return what putting the draft in force would change, and its file with the next version."""
    versions = [one["version"] for one in desk.known.values() if one["id"] == desk.name]

    def set_version(data: Json) -> None:
        data["version"] = str(max(versions) + 1)

    text = draft_text.change_rest(desk.text, set_version)
    compiled = work.compiled_draft(text)
    action = f"{desk.path}/force"
    return ForceSheet(desk.request, desk.session, desk.person, compiled, action, desk.path), text


@router.get("/{name}/edit/force")
def draft_force_page(request: Request, person: Asker, name: str) -> Response:
    """Show in words what the draft would change for new openings."""
    with server_of(request).database.read() as session:
        sheet, _ = _draft_sheet(Desk(request, session, person, name))
    return sheet.page({})


@router.post("/{name}/edit/force")
def put_draft_in_force(request: Request, person: Asker, name: str, form: FormFields) -> Response:
    """Keep the draft as the next version, and have new openings issued with it."""
    server = server_of(request)
    with server.database.write() as session:
        before = is_put_twice(session, person, form)
        if before is not None:
            return RedirectResponse(f"/office/procedures/{name}@{before.version}", 303)
        if session.get(ProcedureDraft, name) is None:
            return gone_response(request, name, form, work.NoDraftError().message)
        desk = Desk(request, session, person, name)
        sheet, text = _draft_sheet(desk)
        refused = sheet.refused(session, form)
        if refused is not None:
            return refused
        procedures.take_in(session, sheet.new, desk.known, text)
        sheet.put_in_force(session, form, int(server.clock()))
        session.delete(desk.row)
    return RedirectResponse(f"/office/procedures/{procedures.key_of(sheet.new)}", 303)
