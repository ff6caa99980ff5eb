"""The arithmetic over HTTP: open without sign-in, small requests only, no data behind it."""

from typing import Any

from fastapi import APIRouter
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse

from app.access.forms import TooLargeError
from app.calculations import reading, registry, schemas
from app.calculations.calculation import Calculation

router = APIRouter(prefix="/api", default_response_class=JSONResponse)


@router.get("/calculations")
def list_all() -> JSONResponse:
    """Return every calculation with the schemas of its input and its answer."""
    return JSONResponse({"calculations": [_entry(made) for made in registry.CALCULATIONS]})


def _entry(made: Calculation) -> dict[str, Any]:
    return {
        "name": made.name,
        "title": made.title,
        "source": made.source,
        "limits": [{"name": one.name, "basis": one.basis} for one in made.limits],
        "input": schemas.request_schema(made),
        "answer": schemas.answer_schema(made),
    }


@router.post("/calculations/{name}")
async def work_out(name: str, request: Request) -> JSONResponse:
    """Return the answer to one request.

    Errors: MissingError (404), TooLargeError (413), InputError (422).
    """
    made = registry.find(name)
    data = reading.loaded(await _body(request))
    return JSONResponse(await run_in_threadpool(made.answer, data))


async def _body(request: Request) -> bytes:
    body = b""
    async for part in request.stream():
        body += part
        if len(body) > reading.MOST_BYTES:
            raise TooLargeError
    return body
