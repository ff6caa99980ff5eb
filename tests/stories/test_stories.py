"""Stories of chance: 20 of 40, and those that failed once; a broken application is found out.

The other 20 are in test_more_stories.py: a file is one worker's, and would be the last to end.

No outside source: what holds after every act is said in the package's modules.
"""

import json
import re
from pathlib import Path

import pytest
from fastapi import FastAPI
from starlette.responses import RedirectResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from tests.stories.story import tell_story

FOUND = sorted((Path(__file__).parent / "found").glob("*.json"))


@pytest.mark.parametrize("seed", range(1, 21))
def test_story_ends_with_a_record_or_properly(seed: int) -> None:
    assert_ends_well(seed)


def assert_ends_well(seed: int) -> None:
    """Fail, with the acts and where they led, where a story breaks off."""
    told = tell_story(seed)
    assert not told.fault, "\n".join([told.door, str(told.acts), told.fault, *told.trail[-30:]])
    assert told.end


@pytest.mark.parametrize("path", FOUND, ids=lambda path: path.stem)
def test_story_that_failed_once_ends_well(path: Path) -> None:
    kept = json.loads(path.read_text(encoding="utf-8"))
    told = tell_story(kept["seed"], kept["acts"])
    assert not told.fault, "\n".join([kept["what"], told.fault, *told.trail[-30:]])


class Broken:
    """The application with one page that answers otherwise than it should."""

    def __init__(self, app: ASGIApp, ending: str, how: str) -> None:
        self.app, self.ending, self.how = app, ending, how

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        path = scope.get("path", "")
        if not path.endswith(self.ending) or scope["method"] != "GET":
            await self.app(scope, receive, send)
        elif self.how == "raises":
            raise ZeroDivisionError
        elif self.how == "gone":
            await RedirectResponse("/nowhere")(scope, receive, send)
        else:
            await self.app(scope, receive, _changed(send, self.how))


def _changed(send: Send, how: str) -> Send:
    """Return a send that changes the words of a page."""
    parts: list[bytes] = []

    async def send_changed(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = [h for h in message["headers"] if h[0].lower() != b"content-length"]
            message["headers"] = headers
            parts.append(b"")
            await send(message)
            return
        body = message.get("body", b"")
        await send({**message, "body": _rewritten(body, how)})

    return send_changed


def _rewritten(body: bytes, how: str) -> bytes:
    if how == "link":
        return body.replace(b"</main>", b'<a href="/field/nowhere">on</a></main>')
    if how == "blind":
        return body.replace(b"<a ", b"<b ").replace(b"<form", b"<section")
    return re.sub(rb"mark\d+", b"", body)


@pytest.mark.parametrize(
    ("ending", "how", "words"),
    [
        ("/step/A", "raises", "500"),
        ("/field", "gone", "404"),
        pytest.param("/field", "link", "/field/nowhere", marks=pytest.mark.long),
        ("/field", "blind", "no "),
        pytest.param("", "hides", "mark", marks=pytest.mark.long),
    ],
)
def test_engine_finds_a_broken_page(ending: str, how: str, words: str) -> None:
    def wrap(app: FastAPI) -> None:
        app.add_middleware(Broken, ending=ending, how=how)

    for seed in range(1, 31):
        told = tell_story(seed, wrap=wrap)
        if told.fault:
            assert words in told.fault
            return
    raise AssertionError("30 stories, and nothing was noticed")
