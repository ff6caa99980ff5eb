"""The first pull cut off at every page of it. Number 18 of the list of faults.

The office gives its news here in small pages, so that the demo has many.
"""

import json

import pytest

from app.core.record.canonical import digest
from tests.browser.models import SEEN
from tests.browser.seen import expect
from tests.phone.device import Device
from tests.phone.fixtures import Site
from tests.phone.line import Answered
from tests.phone.office import SMALL_PAGE, with_small_pages
from tests.phone.work import all_is_well, tick


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
    site.office.start(altered=with_small_pages)
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
        assert len(lost) >= held / SMALL_PAGE > 3, (len(lost), held)
        assert asked[0] == asked[1], "the first page was asked for again"
        assert all(asked.count(path) >= 2 for path in lost if path != asked[-1])
        all_is_well(site, [], [new])
    finally:
        new.close()


def rewritten(site: Site, event: dict[str, object], *, with_hash: bool) -> None:
    """Have an entry say something else in the office's database, as nobody may."""
    body = json.dumps({**event, "at": "2026-01-01T00:00:00+00:00"}, ensure_ascii=False)
    hash_ = f", hash = '{digest(json.loads(body))}'" if with_hash else ""
    site.office.stop()
    for (name,) in site.office.rows(
        "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'event'"
    ):
        site.office.change(f"DROP TRIGGER {name}")
    quoted = body.replace("'", "''")
    site.office.change(f"UPDATE event SET body = '{quoted}'{hash_} WHERE id = '{event['id']}'")
    site.office.start()


def says_altered(phone: Device) -> None:
    """Ask some times more: it is said, and everything is not taken again each time."""
    phone.page.goto("/field/status")
    for _ in range(4):
        phone.sync()
        phone.page.wait_for_timeout(500)
    expect(phone.page.get_by_role("main")).to_contain_text(
        "The office's book no longer matches", timeout=SEEN
    )
    rounds = phone.book()["news"]["round"]
    phone.sync()
    phone.page.wait_for_timeout(500)
    assert phone.book()["news"]["round"] == rounds


def test_an_entry_rewritten_with_its_hash_is_noticed_by_the_phone_that_has_it(site: Site) -> None:
    """What the phone holds stays as it was, its own and what it got. It hashes as the core does."""
    tick(site.phone.page, 0)
    assert site.phone.is_sent()
    (own,) = site.phone.own()
    odd = {
        "b": ["é\u2028\U0001f6aa", '"\\/', "\x00\x1f\n\t\x7f", ""],
        "a": {"z": -7, "A": None},
        "9": True,
    }
    assert site.phone.in_worker(f"() => ids.hashOf({json.dumps(odd)})") == digest(odd)
    rewritten(site, own, with_hash=True)
    says_altered(site.phone)
    assert site.phone.own() == [own]


@pytest.mark.long
def test_an_entry_rewritten_without_its_hash_is_noticed_by_a_new_phone(site: Site) -> None:
    tick(site.phone.page, 0)
    assert site.phone.is_sent()
    (own,) = site.phone.own()
    rewritten(site, own, with_hash=False)
    new = site.another("new")
    new.open()
    new.pair(site.code("tobin"))
    says_altered(new)
