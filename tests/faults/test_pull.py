"""The first pull cut off at every page of it. Number 18 of the list of faults.

The office serves here from a copy of the program with small pages, so that the demo has many.
"""

import json
from pathlib import Path

from tests.browser.models import SEEN
from tests.browser.seen import expect
from tests.phone.device import Device
from tests.phone.fixtures import Site
from tests.phone.line import Answered
from tests.phone.office import newer_program
from tests.phone.work import all_is_well

PAGE = 40  # events


def with_small_pages(folder: Path) -> Path:
    """Return a copy of the program that gives news in small pages."""
    program = newer_program(folder)
    news = program / "app" / "store" / "news.py"
    text = news.read_text("utf-8")
    assert "\nPAGE = 500\n" in text
    news.write_text(text.replace("\nPAGE = 500\n", f"\nPAGE = {PAGE}\n"), "utf-8")
    return program


def cut_in_the_middle(exchange: Answered) -> None:
    """Let half of the answer through: where nothing came, the browser itself asks again."""
    inner = exchange.exchange
    inner.handler.send_response_only(inner.status)
    for name, value in inner.headers:
        inner.handler.send_header(name, value)
    inner.handler.send_header("Content-Length", str(len(inner.content)))
    inner.handler.end_headers()
    inner.handler.wfile.write(inner.content[: len(inner.content) // 2])
    inner.handler.wfile.flush()
    exchange.cut()


def takes_everything(site: Site, phone: Device) -> int:
    """Ask until the phone holds all that the office has for it; return how many entries."""
    for _ in range(200):
        phone.sync()
        phone.page.wait_for_timeout(200)
        book = phone.book()
        there = sum(len(site.office.events(opening["id"])) for opening in book["openings"])
        if there and len(book["events"]) == there:
            return there
    raise AssertionError(phone.book()["news"])


def test_18_a_first_pull_that_is_cut_at_every_page(site: Site) -> None:
    """Every page is lost once on its way: the pull goes on where it was, count and digest agree.

    Before that the office asks to wait, in words that the phone has.
    """
    site.office.stop()
    site.office.start(with_small_pages(site.folder / "small"))
    new = site.another("new")
    page = new.open()
    lost: set[str] = set()
    asked: list[str] = []

    def lose_once(exchange: Answered) -> None:
        if not exchange.path.startswith("/sync?"):
            return
        asked.append(exchange.path)
        if exchange.path not in lost:
            lost.add(exchange.path)
            cut_in_the_middle(exchange)

    def too_many(exchange: Answered) -> None:
        if (exchange.method, exchange.path) == ("POST", "/pair"):
            kind = [("Content-Type", "application/json")]
            said = {"error": {"code": "too-many-tries", "message": "", "details": {}}}
            exchange.reply(429, kind, json.dumps(said).encode())

    try:
        page.goto("/pair#" + site.code("tobin"))
        page.get_by_label("What this phone is called").fill("Plover's phone")
        site.line.before = too_many
        page.get_by_role("button", name="Pair this phone").click()
        expect(page.get_by_text("Too many tries. Wait a minute")).to_be_visible(timeout=SEEN)
        site.line.before, site.line.after = None, lose_once
        page.get_by_role("button", name="Pair this phone").click()
        expect(page.get_by_text("The office cannot be reached")).to_be_visible(timeout=SEEN)
        page.goto("/field")
        held = takes_everything(site, new)
        assert len(lost) >= held / PAGE > 3, (len(lost), held)
        assert asked[0] == asked[1], "the first page was asked for again"
        assert all(asked.count(path) >= 2 for path in lost if path != asked[-1])
        all_is_well(site, [], [new])
    finally:
        new.close()
