"""No page is left out of what is looked at with axe-core and at every width."""

import re
from pathlib import Path
from typing import Any

from app.core import entry
from app.main import create_app
from app.settings import Settings
from tests.browser.accepted_states import ACCEPTED
from tests.browser.office_states import PAGES
from tests.browser.states import PATHS

# What answers a GET and is no page of its own, or is looked at elsewhere; route -> why.
ELSEWHERE = {
    "/": "leads on",
    "/new": "leads on",
    "/health": "a word for machines",
    "/health/details": "JSON, for machines and the keeper",
    "/sync": "JSON",
    "/sw.js": "a script",
    "/office-worker.js": "a script",
    "/sync/push": "JSON",
    "/field/{path:path}": "by the field's own pages, below",
    "/bundle/manifest.json": "JSON",
    "/bundle/{version}/{path:path}": "the phone's files",
    "/office/board": "a piece of the board",
    "/office/changes": "a stream",
    "/office/{path:path}": "the review: among the field's views",
    "/record/{opening}": "the draft: among the field's views",
    "/record/{opening}/r/{number}": "the issued record: test_issued.py",
    "/office/take-in/{token}": "after a file was chosen: test_office_desk.py",
    "/office/take-in/{token}/state": "a piece of it",
    "/office/rescue/{token}": "after a file was chosen: tests/faults",
    "/office/o/{opening}/entries/{entry}": "among the field's views: an entry",
    "/office/visits/photo/{id}": "a picture",
    "/company/logo.png": "a picture",
    "/office/load/{crew}": "a crew's sum: made like a job's set-out",
    "/office/webhooks/{webhook}": "test_webhooks.py",
    "/office/practice/{opening}": "test_practice_pages.py",
    "/office/aside/{key}": "what was set aside: test_office_people.py",
    "/office/instruments/{instrument}": "test_office_procedures.py",
    "/office/instruments/{instrument}/change": "test_office_procedures.py",
    "/office/procedures/{old}/against/{new}": "test_office_procedures.py",
    "/{name}/edit/file": "a file",
    "/{name}/edit": "test_office_drafts.py",
    "/{name}/edit/force": "test_office_drafts.py",
    "/{name}/edit/new": "test_office_drafts.py",
    "/{name}/edit/{step}": "test_office_drafts.py",
    "/{name}/edit/{step}/{what}/{id}/{group}": "test_office_drafts.py",
    "/{key}/force": "among the office's states",
    "/{key}/move": "test_office_procedures.py",
    "/{key}/openings": "test_office_procedures.py",
    "/{key}/openings/{opening}": "test_office_procedures.py",
    "/verify/{code}/qr.svg": "a picture",
    "/pair/opening/{opening}/qr.svg": "a picture",
}
FILE = re.compile(r"/api/|\.(csv|ics|json|pdf|pem|zip)$|/photos/|/\{file\}$")


def routes(given: list[Any]) -> list[str]:
    """Return the paths of every GET, those of routers within routers too."""
    out = []
    for route in given:
        inner = getattr(route, "original_router", None)
        if inner is not None:
            out += routes(inner.routes)
        elif "GET" in (getattr(route, "methods", None) or ()):
            out.append(route.path)
    return out


def paths_seen() -> list[str]:
    """Return the paths that are looked at; {what} stands for what only its test knows."""
    return [*(path for _, _, path in (*PAGES, *ACCEPTED)), *PATHS.values()]


def test_every_page_of_the_server_is_looked_at(tmp_path: Path) -> None:
    app = create_app(Settings(tmp_path))
    found = [path for path in routes(app.routes) if not FILE.search(path)]
    app.state.server.database.close()
    assert len(found) > 40
    seen = paths_seen()
    missing = []
    for path in found:
        shape = re.compile(re.sub(r"\\\{[^}]*\\\}", "[^/]+", re.escape(path)) + "$")
        if path not in ELSEWHERE and not any(shape.match(each) for each in seen):
            missing.append(path)
    assert missing == []


def test_every_page_of_the_field_book_is_looked_at() -> None:
    seen = paths_seen()
    kinds = {path.split("/")[4] if path.count("/") > 3 else "" for path in seen if "/o/" in path}
    kinds |= {path.partition("/o/")[2].partition("/")[2] for path in seen}  # setout/job
    # come to by its link: "one reading"; of an opening to practise on: test_practice_pages.py
    assert set(entry.PAGES) - kinds == {"reading", "practice"}
    own = {path.split("/")[2] for path in seen if path.startswith("/field/")}
    assert set(entry.OWN) - own == {"person"}  # of a phone with several persons: tests/phone
