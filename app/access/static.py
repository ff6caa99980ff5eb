"""Files that are the same for everybody."""

from pathlib import Path

from anyio import to_thread
from starlette.datastructures import Headers
from starlette.responses import FileResponse, Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from app.packing import coding_for, packed_content

TEXTS = (".css", ".js", ".json", ".svg", ".wasm", ".webmanifest")
KEPT = ("content-type", "last-modified", "cache-control", "vary")


class StaticWithValidators(StaticFiles):
    """Browsers may keep the files and ask each time whether they still hold (ETag, 304).

    They come compressed to whoever takes that, each compressed once. Nothing secret is here:
    elsewhere a page's length would tell of what is in it.
    """

    def __init__(self, directory: Path) -> None:
        super().__init__(directory=directory)
        self._made: dict[tuple[str, str], tuple[str, bytes]] = {}  # path, coding -> ETag, bytes

    async def get_response(self, path: str, scope: Scope) -> Response:
        """Return the file, or 304 where the browser has it."""
        plain = await super().get_response(path, scope)
        plain.headers.update({"Cache-Control": "no-cache", "Vary": "Accept-Encoding"})
        asked = Headers(scope=scope)
        coding = coding_for(asked.get("accept-encoding", ""))
        if not isinstance(plain, FileResponse) or not coding or "range" in asked:
            return plain
        if Path(plain.path).suffix not in TEXTS or scope["method"] != "GET":
            return plain
        return await to_thread.run_sync(self._packed, plain, coding)

    def _packed(self, plain: FileResponse, coding: str) -> Response:
        """Return the file in a coding.

        Its validator is a weak one: it stands for the file in every coding (RFC 9110, 8.8.3).
        """
        etag = plain.headers["etag"]
        headers = {name: plain.headers[name] for name in KEPT}
        headers |= {"etag": "W/" + etag, "content-encoding": coding}
        return Response(self._body(Path(plain.path), coding, etag), headers=headers)

    def _body(self, path: Path, coding: str, etag: str) -> bytes:
        known, body = self._made.get((str(path), coding), ("", b""))
        if known != etag:
            name = path.relative_to(str(self.directory)).as_posix()
            body = packed_content(path.read_bytes(), coding, "/static/" + name)
            self._made[str(path), coding] = etag, body
        return body
