"""The server's adapter for /office and /record: the field's, with the office's own device."""

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from app.access.forms import read_form
from app.access.who import need_person, need_supervisor
from app.field.server import Field, asked, response
from app.store.tables import Person

router = APIRouter()


def _office(request: Request) -> Field:
    found: Field = request.app.state.office
    return found


@router.api_route("/office/{path:path}", methods=["GET", "HEAD"])
def show(request: Request, person: Annotated[Person, Depends(need_supervisor)]) -> Response:
    """Show a page of the office."""
    return response(_office(request).get(asked(request, "GET", {}), person), person)


@router.post("/office/{path:path}")
async def act(request: Request, person: Annotated[Person, Depends(need_supervisor)]) -> Response:
    """Take a form of the office."""
    form = asked(request, "POST", await read_form(request))
    return response(await run_in_threadpool(_office(request).post, form, person), person)


@router.api_route("/record/{opening}", methods=["GET", "HEAD"])
def record(request: Request, person: Annotated[Person, Depends(need_person)]) -> Response:
    """Show the completion record of an opening to those who may see it."""
    return response(_office(request).get(asked(request, "GET", {}), person), person)
