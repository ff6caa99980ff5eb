"""What a phone cannot write is said on a page that has all its template asks. Our own rule."""

import pytest

from app.core import phone
from app.core.kinds import Any, Json
from app.core.quantity.speaker import Speaker
from app.templating.templates import render_page
from tests.core.book import GAP, Book


class Shown:
    """A compiled page, made by the office's engine instead."""

    def __init__(self, name: str) -> None:
        self.name = name.removeprefix("pages.").replace("_", "/", 1) + ".html"

    def render(self, context: Json, say: Any) -> str:
        return render_page(self.name, context, Speaker(None, "in"))


@pytest.mark.parametrize("why", phone.WHY)
def test_what_was_typed_and_what_to_do_are_said(why: str) -> None:
    asked = Book().request("POST", GAP, {"value": "7 5/16", "act": "keep"})
    got = phone.unwritten(asked, why, Shown)
    assert got["status"] == {"photo": 422, "empty": 503}.get(why, 507)
    for said in ("7 5/16", phone.WHY[why].template, phone.WAY_OUT[why].template):
        assert said in got["html"]
    assert got["events"] == []
