"""Every page that these tests ask for is drawn by its template too, as the office draws it.

Under MicroPython they are run by tests/parity, without this file.
"""

import pytest

from app.core import entry
from app.core.kinds import Json
from app.core.quantity.speaker import Speaker
from app.templating.templates import render_page
from tests.core import book


@pytest.fixture(autouse=True)
def drawn_pages(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let each answer be drawn: a field that a template asks for and the core forgot is found."""

    def answer(request: Json) -> Json:
        got: Json = entry.answer(request)
        if got["template"]:
            render_page(got["template"], got["context"], Speaker(None, request["person"]["units"]))
        return got

    monkeypatch.setattr(book, "answer", answer)
