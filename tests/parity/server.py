"""A small server for the parity page, with the policies that the program itself uses."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

HERE = Path(__file__).parent
VENDOR = HERE.parents[1] / "static" / "vendor" / "micropython"
PAGE = (
    b'<!doctype html><html lang="en"><title>parity</title><script src="/page.js"></script></html>'
)

PAGE_POLICY = "default-src 'none'; script-src 'self'; worker-src 'self'"
# MicroPython may be started only where the response allows WebAssembly.
WORKER_POLICY = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'"

Answer = tuple[bytes, str, str]


def answers() -> dict[str, Answer]:
    """Return {path: (content, type, policy)} of all that is served."""
    script = "text/javascript; charset=utf-8"
    loose = f'{PAGE.decode()}<script src="/micropython.js"></script>'.encode()
    return {
        "/": (PAGE, "text/html; charset=utf-8", PAGE_POLICY),
        "/loaded-by-page": (loose, "text/html; charset=utf-8", WORKER_POLICY),
        "/page.js": ((HERE / "page.js").read_bytes(), script, PAGE_POLICY),
        "/worker.js": ((HERE / "worker.js").read_bytes(), script, WORKER_POLICY),
        "/service-worker.js": ((HERE / "service_worker.js").read_bytes(), script, WORKER_POLICY),
        "/micropython.js": ((VENDOR / "micropython.js").read_bytes(), script, PAGE_POLICY),
        "/micropython.wasm": (
            (VENDOR / "micropython.wasm").read_bytes(),
            "application/wasm",
            PAGE_POLICY,
        ),
    }


@contextmanager
def serving() -> Iterator[str]:
    """Serve on a free port of this machine alone; yields the address."""
    known = answers()

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_GET(self) -> None:
            content, kind, policy = known.get(self.path, (b"", "text/plain", PAGE_POLICY))
            self.send_response(200 if self.path in known else 404)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(content)))
            self.send_header("Content-Security-Policy", policy)
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, *_: object) -> None:
            """Say nothing: the tests speak."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    thread = threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
