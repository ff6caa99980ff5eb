"""Files that are the same for everybody."""

from starlette.responses import Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope


class StaticWithValidators(StaticFiles):
    """Browsers may keep the files and ask each time whether they still hold (ETag, 304)."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """Return the file, or 304 where the browser has it."""
        response = await super().get_response(path, scope)
        response.headers["Cache-Control"] = "no-cache"
        return response
