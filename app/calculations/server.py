"""The arithmetic over HTTP: open without sign-in, small requests only, no data behind it."""

from collections.abc import Callable, Coroutine
from typing import Annotated, Any

from fastapi import APIRouter, Body
from fastapi.exceptions import RequestValidationError
from fastapi.routing import APIRoute
from starlette.requests import Request
from starlette.responses import Response

from app.access.errors import ErrorOut
from app.access.forms import TooLargeError
from app.calculations import listing, reading
from app.calculations.calculation import Calculation
from app.calculations.registry import CALCULATIONS, find


class SmallRequest(Request):
    """A request with at most so much JSON, whatever kind of content its sender says it is."""

    async def body(self) -> bytes:
        """Return the body; raises TooLargeError before more than that is kept."""
        if not hasattr(self, "_body"):
            body = b""
            async for part in self.stream():
                body += part
                if len(body) > reading.MOST_BYTES:
                    raise TooLargeError
            self._body = body
        return self._body

    async def json(self) -> Any:
        """Return the object in the body; raises InputError."""
        return reading.loaded(await self.body())


class CalculationRoute(APIRoute):
    """A route that reads a small request and refuses it in our words."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """Return what answers a request: the handler of FastAPI, with our reading before it."""
        handle = super().get_route_handler()
        made = find(self.name)

        async def answer(request: Request) -> Response:
            headers = [pair for pair in request.scope["headers"] if pair[0] != b"content-type"]
            headers.append((b"content-type", b"application/json"))
            small = SmallRequest({**request.scope, "headers": headers}, request.receive)
            await small.json()  # here, because FastAPI would swallow what it raises
            try:
                return await handle(small)
            except RequestValidationError as error:
                errors = [{**one, "loc": one["loc"][1:]} for one in error.errors()]
                raise made.refusal(errors) from error

        return answer


router = APIRouter(prefix="/api/calculations")


@router.get("", operation_id="list")
def list_calculations() -> dict[str, list[dict[str, Any]]]:
    """Return every calculation with the JSON Schema of its input and its answer."""
    return {"calculations": [listing.as_entry(made) for made in CALCULATIONS]}


def _add(made: Calculation) -> None:
    """Add the route of one calculation."""
    model: Any = Annotated[made.request, Body(examples=[listing.example(made.name)])]

    def work_out(given: model) -> Any:
        return made.worked_out(given)

    router.add_api_route(
        "/" + made.name,
        work_out,
        methods=["POST"],
        name=made.name,
        operation_id=made.name,
        summary=made.title,
        description=f"Source: {made.source}.",
        response_model=made.response,
        responses={413: {"model": ErrorOut}, 422: {"model": ErrorOut}},
        route_class_override=CalculationRoute,
    )


for _made in CALCULATIONS:
    _add(_made)


@router.post("/{name}", include_in_schema=False)
def refuse_name(name: str) -> None:
    """Say that there is no such calculation; raises MissingError (404)."""
    find(name)
